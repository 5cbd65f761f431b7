"""Every benchmark by name.

    python -m benchmarks                   what there is, one line each
    python -m benchmarks band_coverage     run one; its own options may follow
    python -m benchmarks all               run every one, one after another

Each one is a script of its own, prints what it measured, and ends with 0 only where its goal is met.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def scripts() -> dict[str, Path]:
    """Name -> script, sorted."""
    return {path.stem: path for path in sorted(HERE.glob("*.py")) if not path.stem.startswith("_")}


def first_line(path: Path) -> str:
    """What a benchmark says it measures."""
    return (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").partition("\n")[0]


def run(path: Path, options: list[str]) -> int:
    """Run one in a process of its own, so that none warms another's caches; its exit status."""
    return subprocess.run([sys.executable, str(path), *options], cwd=HERE.parent, check=False).returncode


def main(words: list[str]) -> int:
    """List, run one, or run all; 0 only where every goal was met."""
    known = scripts()
    if not words:
        for name, path in known.items():
            print(f"{name:18} {first_line(path)}")
        return 0
    if words[0] == "all":
        missed = []
        for name, path in known.items():
            print(f"\n== {name}", flush=True)
            if run(path, []):
                missed.append(name)
        print(f"\nmissed: {', '.join(missed) or 'none'}")
        return 1 if missed else 0
    if words[0] not in known:
        print(f"No benchmark {words[0]!r}. There are: {', '.join(known)}.", file=sys.stderr)
        return 2
    return run(known[words[0]], words[1:])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
