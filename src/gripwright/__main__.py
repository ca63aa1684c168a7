"""Run the command line as ``python -m gripwright``."""

from gripwright.cli.main import main

main()
