"""Columns of the arrays that `watch` and its parts read and keep: rules of a run, what was seen, what was least."""

from typing import NamedTuple

from tipline.endings import LINES, Decided, TruckEnd
from tipline.kernels.layout import Floats

# words of an ending, and what decided it, by their places in `endings`
(DOWN, TOO_LIGHT, TYRE_LIFTED, TYRE_OFF, RESTING, OVER, UNDECIDED, NO_RESULT) = range(len(TruckEnd))
(BY_FALL, BY_REST, BY_SWING, BY_ENERGY, BY_CALM, BY_TIME, BY_ERROR) = range(len(Decided))
NOT_YET = -1

(FRONT, BACK, LEFT, RIGHT, SWING_LEFT, SWING_RIGHT) = range(len(LINES) + 2)
N_LINES = len(LINES) + 2
"""Tip lines, then the lines about which the frame swings on a pivoting axle."""

# rules of one run
(
    R_DURATION, R_CAP, R_QUIET_FROM, R_WINDOW, R_STILL, R_QUIET, R_HOLD, R_OFF_STEPS, R_LOOK, R_EARLY, R_EVERY,
    R_BEGINS, R_TELLS, R_EXACT, R_SINKS, R_GOES_ON, R_AT_ONCE, R_SMOOTH,
) = range(18)  # fmt: skip
N_RULE = 18
"""Steps: duration, longest, last commanded change, half a swing, of stillness, of a hold at the end, of a tyre off the
floor, between looks at the ledger. R_STILL: kinetic energy [J]; R_EARLY 0: no run ends before its duration but by
falling; R_EVERY: steps between looks at the lines by which a run is decided; R_BEGINS: where the truck stands, the
steps before this one, at which commands begin, are left out, 0: none; R_TELLS: 1 where all is told of every step, not
only what may decide; R_EXACT: 1 where C_SOFT counts from rest, 0 where it is a bound; R_SINKS: depth that a place gains
in a step [m] from which the truck is not at rest; R_GOES_ON: step up to which a run goes on though it is decided;
R_AT_ONCE: steps taken at once at most; R_SMOOTH: how far changing accelerations may take a part within those [m]."""

# the truck's outline; after it 1 for each tyre of the left side, -1 for each of the right
(
    O_FRONT_LEFT, O_FRONT_RIGHT, O_REAR_LEFT, O_REAR_RIGHT, O_PIVOTS, O_LIGHT, O_HANGS, O_X, O_Y, O_Z,
) = range(10)  # fmt: skip
N_OUTLINE = 10
"""Outermost tyres; 1 where the steer axle pivots; load [N] below which a corner counts as hardly pressed; 1 where a
lifted load that is a body of its own weighs at the hook, 0 where at its own centre; the point under the drive axle from
the chassis' centre."""

# crests, a row a tip line: the ends of the line in chassis axes when the truck is balanced on it, the wheel's radius
# there, energy [J] that springs give on the crest
(C_START, C_END, C_RADIUS, C_SOFT) = (0, 3, 6, 7)
N_CREST = 8

# places to open under tyres
(W_STEP, W_PLACE, W_TYRE, W_ASIDE, W_HX, W_HY, W_LAW, W_SOIL) = range(8)
N_WAIT = 11

# a load on the forks: 0 none, 1 fixed, 2 free; its centre from the carriage's, tilt of the forks, how far its base
# reaches ahead and aside, its centre's height, friction; steps for which it must slip or topple, and hang in the air;
# how far the rope lets a hung load's centre down below the hook
(
    F_KIND, F_X, F_Y, F_Z, F_COS, F_SIN, F_REACH, F_HALF, F_HIGH, F_MU, F_LASTING, F_FLOATING, F_STRAIGHT,
) = range(13)  # fmt: skip
N_FORKS = 13
FIXED, FREE = 1.0, 2.0

# what became of it: steps for which it slips, topples, hangs in the air; when it began to [s], -1 never. A free load:
# where it lay in carriage axes [m], how far it slid at most [m], the last step at which it was off the forks
(J_SLIPS, J_TOPPLES, J_FLOATS, J_SLID_AT, J_TOPPLED_AT, J_LEFT_AT, J_X, J_Y, J_Z, J_FAR, J_LOW) = range(11)
N_JOB = 11

# least values, a row each: (value, when [s]); after them the least load of each tyre
(L_DISTANCE, L_ENERGY, L_STEER) = (0, N_LINES, N_LINES + 4)
N_LEAST = L_STEER + 1

# a tip line: since when the weight is past it [s], -1 it is not; 1 once the balance point is too
(D_SINCE, D_BEYOND) = range(2)
N_LINE = 2

# a tyre: steps for which it has been light, load below which it is [N], steps of the last swing for which it was; when
# it first left the floor and first came back [s], -1 never; greatest load while the truck does not lie [N], and when
(Y_LIGHT, Y_LIMIT, Y_SWUNG, Y_OFF_AT, Y_BACK_AT, Y_PEAK, Y_PEAK_AT) = range(7)
N_TYRE_SEEN = 7

# what was seen of the whole
(
    S_WHY, S_FELL, S_WEIGHT, S_ON_BODY, S_OFF, S_EVER_OFF, S_ROLL_LEAST, S_ROLL_MOST, S_PITCH_LEAST, S_PITCH_MOST,
    S_START_X, S_START_Y, S_AWAY, S_AWAY_AT, S_LEFT_OUT,
    S_PEAK, S_PEAK_BEFORE, S_X, S_Y, S_DEPTH, S_REST, S_STILL, S_CLEAR, S_LEFT, S_INSIDE,
    S_WINDOWS, S_EVEN, S_EVENS, S_CALM, S_HELD,
    S_BROKEN, S_BEGUN, S_MOST, S_LEDGER, S_SINCE,
) = range(35)  # fmt: skip
LEANS, N_LOW, LOOKS = 4, 8, 4
S_LOW, S_LOW_BEFORE, S_MISSING = 35, 35 + N_LOW, 35 + 2 * N_LOW
N_SEEN = S_MISSING + LOOKS
"""S_WHY: what decides the ending at the last step, NOT_YET nothing; S_FELL 1 once fallen; S_ON_BODY: steps for which
something other than tyres carries; S_AWAY: how far it went before it fell [m], S_AWAY_AT: when it had rolled or slid;
S_LEFT_OUT: steps; S_PEAK: liveliest of this half swing [J]; S_REST, S_STILL: steps of rest, and parked; S_CLEAR: steps
since which energy rules out that it tips, S_LEFT: least energy left at the last look [J]; S_INSIDE: steps since which
the weight is within all tip lines; S_WINDOWS: half swings since the last command; S_EVENS: even ones running, S_EVEN:
those without a tyre off; S_CALM: whether the last was; S_HELD: what springs held at the start [J]; S_BROKEN 1 where
the run broke down; S_BEGUN, S_MOST, S_LEDGER: the ledger's sum at the start, what went through, greatest part missing;
S_SINCE: steps since the look before;
S_LOW: least of roll, -roll, pitch, -pitch and the distances to the tip lines in this half swing, S_LOW_BEFORE in those
before;
S_MISSING: energy missing at the last looks [J]."""


class Watch(NamedTuple):
    """What one run is watched by, and what was seen of it."""

    rule: Floats  # (N_RULE,)
    outline: Floats  # (N_OUTLINE + tyres,)
    forks: Floats  # (N_FORKS,)
    crest: Floats  # (4, N_CREST)
    waiting: Floats  # (n, N_WAIT)
    seen: Floats  # (N_SEEN,)
    tyre: Floats  # (tyres, N_TYRE_SEEN)
    swing: Floats  # (steps of a swing, tyres) whether each tyre was light at each, a ring
    line: Floats  # (4, N_LINE)
    least: Floats  # (N_LEAST + tyres, 2)
    kept: Floats  # (4, N_LEAST + tyres, 2) what was least until the weight was past each line
    foot: Floats  # (N_FOOT, 4) ends of the lines [scratch]
    sums: Floats  # (2, 6) of forces [scratch]
    ring: Floats  # (n, 15) speeds, rotations and gravity of a fixed load over the last steps
    job: Floats  # (N_JOB,) of a load on the forks
    deepest: Floats  # (places,) greatest depth of each [m]
