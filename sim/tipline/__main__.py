"""Start the command line: `tipline` and `python -m tipline`."""

import gc
import os
import sys

_COLLECTED_EVERY = 20_000, 20, 20
"""Objects between two looks for circles (Python's own: 700): loading and reading make many and leave hardly any."""


def main() -> None:
    """Run the command line; a request to end while it is still being loaded ends it in one line too."""
    _leave_current_folder()
    gc.set_threshold(*_COLLECTED_EVERY)
    import signal  # from here on it is Python's own

    signals: list[int] = []

    def interrupt(number: int, _frame: object) -> None:
        signals.append(number)  # what is being loaded may pass over what is raised here
        raise KeyboardInterrupt(number)

    try:
        for end in (signal.SIGINT, signal.SIGTERM):
            signal.signal(end, interrupt)
        from tipline import cli

        if signals:
            raise KeyboardInterrupt
        cli.main()
    except KeyboardInterrupt as stopped:
        sys.stderr.write("tipline: interrupted; nothing was left behind\n")
        by = (*signals, *stopped.args, signal.SIGINT)[0]
        raise SystemExit(128 + by) from None
    finally:
        gc.freeze()  # what is left goes with the process: to look through it takes half a second after a run
        # an interrupt in code that is executed from text, as a library's is while it loads, would make Python end by
        # SIGINT whatever the exit code; text that is executed to its end makes it forget
        exec("")


def _leave_current_folder() -> None:
    """Look for no module in the current folder, where anybody's files may lie; `python -m` would do so first of all."""
    try:
        here = os.getcwd()  # noqa: PTH109 - pathlib would be looked for there
    except OSError:  # it was removed
        return
    program = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))  # noqa: PTH100, PTH120
    named = {program, *os.environ.get("PYTHONPATH", "").split(os.pathsep)}
    sys.path[:] = [place for place in sys.path if place and (place != here or here in named)]


if __name__ == "__main__":
    main()
