"""The energy ledger of a run, and how fast its bodies are: whether it has broken down.

Source: [TextbookMechanics] (energy is kept)
"""

from math import isfinite

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.layout import Memory
from tipline.kernels.watching import LOOKS, S_BEGUN, S_BROKEN, S_LEDGER, S_MISSING, S_MOST, Watch

FASTEST, SHARE, FLOOR = RULES.fastest, RULES.ledger_share, RULES.ledger_floor


def audit(k: int, mem: Memory, watch: Watch) -> bool:
    """Look at speeds and ledger; return whether the run has broken down.

    The loss of a landing is booked a step late, and while a body strikes the floor the ledger stands open: so energy
    must be missing at several looks, apart in time.
    """
    e, seen = mem.energy, watch.seen
    for b in range(at.N_BODY):
        for j in range(6):
            if not abs(mem.now[b, j]) <= FASTEST:
                seen[S_BROKEN] = 1.0
    total = e[at.E_KINETIC] + e[at.E_GRAVITY] + e[at.E_ELASTIC] + e[at.E_DISSIPATED] + e[at.E_FLOOR] - e[at.E_WORK]
    if k == 0:
        seen[S_BEGUN] = total
    through = e[at.E_KINETIC] + abs(e[at.E_WORK]) + e[at.E_DISSIPATED] + abs(e[at.E_FLOOR])
    seen[S_MOST] = max(seen[S_MOST], through)
    for j in range(LOOKS - 1):
        seen[S_MISSING + j] = seen[S_MISSING + j + 1]
    seen[S_MISSING + LOOKS - 1] = abs(total - seen[S_BEGUN])
    lasting = seen[S_MISSING]
    for j in range(1, LOOKS):
        lasting = min(lasting, seen[S_MISSING + j])
    seen[S_LEDGER] = max(seen[S_LEDGER], lasting / max(seen[S_MOST], FLOOR / SHARE))
    if not isfinite(total) or lasting > FLOOR + SHARE * seen[S_MOST]:
        seen[S_BROKEN] = 1.0
    broken: bool = seen[S_BROKEN] > 0.0
    return broken
