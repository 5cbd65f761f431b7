"""The command line: one file per verb, each printing what an action returns."""

from __future__ import annotations


def main() -> None:
    """Run one verb. Exit codes: 0 answered (also "cannot tell"), 2 refused, 1 a fault of ours."""
    import os
    import sys

    # our arrays are small: one thread is faster, and leaves the other core to the web page
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # an old terminal may lack a letter; that is no fault
    from edgeshift.cli.application import app
    from edgeshift.errors import Refusal

    try:
        app()
    except Refusal as refusal:
        print(refusal, file=sys.stderr)
        sys.exit(2)
    except Exception as fault:
        if os.environ.get("EDGESHIFT_DEBUG"):
            raise
        print(f"This is a fault of ours ({type(fault).__name__}: {fault}).", file=sys.stderr)
        print("Nothing already taken is lost. EDGESHIFT_DEBUG=1 shows where it broke.", file=sys.stderr)
        sys.exit(1)
