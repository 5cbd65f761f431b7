"""`python -m edgeshift.cli` is the same as `edgeshift`."""

from edgeshift.cli import main

main()
