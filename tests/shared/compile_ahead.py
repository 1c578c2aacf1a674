"""Have all kernels compiled by two processes side by side: each worker of the tests would else compile every one."""

from __future__ import annotations

import subprocess
import sys

SCENARIO = "front-tyre-breaks-through-load-high"
SHORT = {"run.duration": 0.2, "run.extend_to": 0.2, "event.0.at": 0.1}


def steps() -> None:
    """Compile what steps a truck in time, with its poses at rest found by the uncompiled kernels."""
    from tipline.engines import prepare, simulate
    from tipline.kernels import equilibrium
    from tipline.results import COMPILED
    from tipline.scenario import read

    compiled, plain = prepare.compiled, {"solve": equilibrium.solve}
    prepare.compiled = lambda name: plain.get(name) or compiled(name)  # type: ignore[assignment]
    simulate(read(SCENARIO, SHORT), engine=COMPILED)


def poses() -> None:
    """Compile what finds poses at rest."""
    import tipline
    from tipline.engines.prepare import prepare
    from tipline.scenario import read

    prepare(read(SCENARIO))
    tipline.slopes("service-stop-load-high", heights=[1.0])


def compile_ahead() -> None:
    """Compile what is not kept yet; what goes wrong is left to the tests."""
    from tipline.kernels.compiled import kept

    if all(map(kept, ("roll_out", "slope_limits"))):
        return
    begun = [subprocess.Popen([sys.executable, __file__, part], **QUIET) for part in PARTS]
    for process in begun:
        process.wait()


QUIET = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
PARTS = {"steps": steps, "poses": poses}
if __name__ == "__main__":
    del sys.path[0]  # modules of the tests
    PARTS[sys.argv[1]]()
