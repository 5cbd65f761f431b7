"""Pack a practice shift here, prove it in a clean virtual environment made from the lock; the pack is timed.

    python benchmarks/prove_elsewhere.py
    python benchmarks/prove_elsewhere.py --python /path/to/another/python3

Needs a package registry, as `make demo` does. Prints the chain and what it took; ends with 1 where a link
breaks, where a changed byte is not found there, or where packing takes PACK_S or more of one core.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from edgeshift.actions.desk import Desk
from edgeshift.actions.pack import pack
from edgeshift.actions.practise import How, practise

HERE = Path(__file__).resolve().parents[1]
PACK_S = 20.0
"""The goal of the envelope. Packing uses one core, and others may be at work on this machine, so its own time
counts."""


def clean_environment(place: Path, python: str) -> Path:
    """A virtual environment with what the lock says and this package, built; its `edgeshift`."""
    subprocess.run([python, "-m", "venv", str(place)], check=True)
    tool = [str(place / "bin" / "python"), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    subprocess.run([*tool, "--require-hashes", "-r", str(HERE / "requirements.lock")], check=True)
    subprocess.run([*tool, "--no-deps", "--no-build-isolation", str(HERE)], check=True)
    return place / "bin" / "edgeshift"


def proved(tool: Path, envelope: Path, elsewhere: Path) -> subprocess.CompletedProcess:
    """What `prove` says there, in an empty folder and with nothing of ours on its path."""
    bare = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return subprocess.run(
        [str(tool), "prove", str(envelope)], cwd=elsewhere, env=bare, capture_output=True, encoding="utf-8"
    )


def main() -> int:
    """Pack, prove elsewhere, change a byte, prove again."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--python", default=sys.executable)
    python = parser.parse_args().python
    with tempfile.TemporaryDirectory(prefix="edgeshift-bench-") as room:
        place = Path(room)
        practise(place / "riverbank", 1, desk=Desk(), how=How(asked=False))
        begun, busy = time.perf_counter(), time.process_time()
        made = pack(place / "riverbank", desk=Desk())
        took, busy = time.perf_counter() - begun, time.process_time() - busy
        size = f"{made.files} files, {made.size / 1e6:.1f} MB"
        print(f"packed {size}, in {took:.1f} s, {busy:.1f} s of one core (goal: under {PACK_S:.0f})")
        tool = clean_environment(place / "clean", python)
        (place / "elsewhere").mkdir()
        whole = proved(tool, made.path, place / "elsewhere")
        print(whole.stdout, end="")
        hurt = place / "hurt.zip"
        hurt.write_bytes(made.path.read_bytes().replace(b"# XDI/1.0", b"# XDI/1.1", 1))
        other = proved(tool, hurt, place / "elsewhere")
        print(other.stderr, end="")
    met = whole.returncode == 0 and other.returncode == 2 and "scans/" in other.stderr and busy < PACK_S
    print("goals met" if met else "goals missed")
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
