"""Run the command line as `python -m tipline`."""

from tipline.cli import main

main()
