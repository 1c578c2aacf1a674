"""Start the command line: `tipline` and `python -m tipline`."""

import sys


def main() -> None:
    """Run the command line; a Ctrl-C while it is still being loaded ends it in one line too."""
    try:
        from tipline import cli

        cli.main()
    except KeyboardInterrupt:
        sys.stderr.write("tipline: interrupted; nothing was left behind\n")
        raise SystemExit(130) from None


if __name__ == "__main__":
    main()
