"""`python -m edgeshift` is the same as `edgeshift`."""

from edgeshift.cli import main

main()
