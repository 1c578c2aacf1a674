"""When the ending of a run is decided, and its word.

Since the last command a truck that swings on is looked at half swing by half swing, each against all before it. Four in
a row that leaned no further and came no nearer to a line decide, if the last was no livelier.

Source: [Own]
"""

from math import hypot

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.layout import Memory
from tipline.kernels.watching import (
    BY_CALM,
    BY_ENERGY,
    BY_ERROR,
    BY_FALL,
    BY_REST,
    BY_SWING,
    BY_TIME,
    DOWN,
    L_STEER,
    LEANS,
    N_LOW,
    NO_RESULT,
    NOT_YET,
    OVER,
    R_CAP,
    R_DURATION,
    R_EARLY,
    R_GOES_ON,
    R_HOLD,
    R_QUIET,
    R_QUIET_FROM,
    R_SINKS,
    R_STILL,
    R_TELLS,
    R_WINDOW,
    RESTING,
    S_CALM,
    S_CLEAR,
    S_DEPTH,
    S_EVEN,
    S_EVENS,
    S_EVER_OFF,
    S_FELL,
    S_INSIDE,
    S_LEFT,
    S_LOW,
    S_LOW_BEFORE,
    S_OFF,
    S_ON_BODY,
    S_PEAK,
    S_PEAK_BEFORE,
    S_REST,
    S_SINCE,
    S_STILL,
    S_WEIGHT,
    S_WHY,
    S_WINDOWS,
    S_X,
    S_Y,
    TOO_LIGHT,
    TYRE_LIFTED,
    TYRE_OFF,
    UNDECIDED,
    Y_BACK_AT,
    Y_LIGHT,
    Y_SWUNG,
    Watch,
)

ALIKE, NEARER, SLOW, EVEN_HALVES = RULES.alike, RULES.nearer, RULES.slow, RULES.even_halves
FALLEN, MOSTLY, LIGHT_TO_STEER = RULES.fallen, RULES.mostly, RULES.light_to_steer
TRAVEL, SUNK_ON, CREEPS, EARLY_HALVES = RULES.travel, RULES.sunk_on, RULES.creeps, RULES.early_halves
_NONE = 1e300
"""Greater than any value of which the least is kept (numerical)."""


def decide(k: int, lean: float, line: int, kinetic: float, mem: Memory, watch: Watch) -> int:
    """Return what decides the ending at step k, NOT_YET if nothing; line: that the weight is past, -1 none."""
    seen, rule = watch.seen, watch.rule
    if line >= 0 and lean > FALLEN:
        seen[S_FELL] = 1.0
    seen[S_PEAK] = max(seen[S_PEAK], kinetic)
    count_rest(k, line, kinetic, mem, watch)
    since = k - int(rule[R_QUIET_FROM])
    ends = since >= 0 and since % int(rule[R_WINDOW]) < seen[S_SINCE]
    if ends:
        if since < seen[S_SINCE]:
            seen[S_WINDOWS] = -1.0
        half_swing(mem, watch)
    if seen[S_FELL] > 0.0:
        return BY_FALL
    if rule[R_EARLY] > 0.0:
        if seen[S_STILL] >= rule[R_QUIET]:
            return BY_REST
        if ends and seen[S_EVEN] >= EARLY_HALVES and seen[S_CLEAR] >= rule[R_WINDOW]:
            return BY_SWING
    return at_end(k, line, watch) if k >= rule[R_DURATION] else NOT_YET


def at_end(k: int, line: int, watch: Watch) -> int:
    """Return what decides the ending of a run that has had its duration; line as for `decide`."""
    seen, rule = watch.seen, watch.rule
    if seen[S_REST] >= rule[R_QUIET]:
        return BY_REST
    if seen[S_CLEAR] >= rule[R_HOLD]:
        return BY_ENERGY
    if seen[S_CALM] > 0.0 and line < 0 and seen[S_INSIDE] >= EVEN_HALVES * rule[R_WINDOW]:
        return BY_CALM
    return BY_TIME if k >= rule[R_CAP] else NOT_YET


def goes_on(k: int, watch: Watch) -> bool:
    """Whether a run whose ending is decided is stepped on at k: as told, and what fell until it lies still."""
    rule, seen = watch.rule, watch.seen
    falls: bool = rule[R_TELLS] > 0.0 and seen[S_FELL] > 0.0 and seen[S_REST] < rule[R_QUIET]
    return falls or k <= rule[R_GOES_ON]


def count_rest(k: int, line: int, kinetic: float, mem: Memory, watch: Watch) -> None:
    """Count for how long it has been at rest, parked, and out of reach of every line by its energy."""
    seen, rule = watch.seen, watch.rule
    sinking = 0.0
    for j in range(mem.lowered.shape[0]):
        sinking = max(sinking, mem.lowered[j] / seen[S_SINCE])
    quiet = k >= rule[R_QUIET_FROM]
    still = quiet and kinetic < rule[R_STILL]
    seen[S_REST] = seen[S_REST] + seen[S_SINCE] if still and sinking < rule[R_SINKS] else 0.0
    # a truck that drives on may meet something: it does not end early
    parked = still and mem.energy[at.E_KINETIC] < rule[R_STILL] and sinking < CREEPS * rule[R_SINKS]
    seen[S_STILL] = seen[S_STILL] + seen[S_SINCE] if parked else 0.0
    barred = quiet and line < 0 and seen[S_LEFT] > 0.0 and seen[S_ON_BODY] == 0.0 and sinking < rule[R_SINKS]
    seen[S_CLEAR] = seen[S_CLEAR] + seen[S_SINCE] if barred else 0.0


def sunk(mem: Memory) -> float:
    """Return the depths of all places together [m]."""
    deep = 0.0
    for j in range(mem.depth.shape[0]):
        deep += mem.depth[j]
    return deep


def half_swing(mem: Memory, watch: Watch) -> None:
    """Close a half swing: whether it was even, whether it was calm, and whether the truck stayed in place meanwhile.

    Even: it leans no further and comes no nearer to a tip line than in those before, and sinks no more. Calm: so were
    the last ones, and it moves less than in the one before.
    """
    seen = watch.seen
    x, y, deep = mem.state[at.CHASSIS, 0], mem.state[at.CHASSIS, 1], sunk(mem)
    even = seen[S_WINDOWS] >= 1.0 and deep - seen[S_DEPTH] < SUNK_ON
    for j in range(N_LOW):
        even = even and seen[S_LOW + j] >= seen[S_LOW_BEFORE + j] - (ALIKE if j < LEANS else NEARER)
    seen[S_EVENS] = seen[S_EVENS] + 1.0 if even else 0.0
    calm = seen[S_EVENS] >= EVEN_HALVES and seen[S_PEAK] <= max(seen[S_PEAK_BEFORE], SLOW * seen[S_WEIGHT])
    seen[S_CALM] = 1.0 if calm else 0.0
    stays = seen[S_OFF] == 0.0 and hypot(x - seen[S_X], y - seen[S_Y]) < TRAVEL
    seen[S_EVEN] = seen[S_EVEN] + 1.0 if even and stays else 0.0
    for j in range(N_LOW):
        # what was before the last command does not count
        least = min(seen[S_LOW_BEFORE + j], seen[S_LOW + j])
        seen[S_LOW_BEFORE + j] = _NONE if seen[S_WINDOWS] < 0.0 else least
        seen[S_LOW + j] = _NONE
    seen[S_PEAK_BEFORE], seen[S_PEAK] = seen[S_PEAK], 0.0
    seen[S_OFF] = 0.0
    seen[S_WINDOWS] += 1.0
    seen[S_X], seen[S_Y], seen[S_DEPTH] = x, y, deep


def stays_off(still: bool, watch: Watch) -> bool:
    """Whether a tyre is off where nothing moves, or went off and never came back, or was off for most of a swing."""
    for i in range(watch.tyre.shape[0]):
        tyre = watch.tyre[i]
        stays = still or tyre[Y_BACK_AT] < 0.0
        if stays and tyre[Y_LIGHT] >= watch.rule[R_HOLD]:
            return True
        if not still and tyre[Y_SWUNG] >= MOSTLY * watch.swing.shape[0]:
            return True
    return False


def name_ending(line: int, watch: Watch) -> int:
    """Say how the truck ended; line: that its weight is past, -1 none."""
    seen, why = watch.seen, int(watch.seen[S_WHY])
    if why == BY_ERROR:
        return NO_RESULT
    on_body = seen[S_ON_BODY] >= watch.rule[R_HOLD]
    if line >= 0 and (seen[S_FELL] > 0.0 or not on_body):
        return OVER
    if on_body:
        return RESTING
    if why in (BY_TIME, NOT_YET):
        return UNDECIDED
    if stays_off(why == BY_REST, watch):
        return TYRE_OFF
    if seen[S_EVER_OFF] > 0.0:
        return TYRE_LIFTED
    return TOO_LIGHT if watch.least[L_STEER, 0] < LIGHT_TO_STEER else DOWN
