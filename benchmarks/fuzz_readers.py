"""Ten thousand damaged files through every reader, to a scan or a refusal; prints how each ended.

    python benchmarks/fuzz_readers.py [COUNT]

Seeds are the invented files of `tests/raw_files.py` and, where `$EDGESHIFT_OPEN_DATA` or `../shared/data`
is there, the open measured scans. Any other exception ends the run with the file that caused it.
"""

from __future__ import annotations

import argparse
import os
import sys
import warnings
from collections import Counter
from pathlib import Path

from hypothesis import HealthCheck, given, settings

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "tests"))

from raw_files import SEEDS, damaged, taken  # noqa: E402


def seeds() -> dict[str, bytes]:
    """Invented files, and the open data where they are."""
    place = Path(os.environ.get("EDGESHIFT_OPEN_DATA") or HERE.parents[1] / "shared" / "data")
    files = [path for path in sorted(place.rglob("*")) if path.is_file()] if place.is_dir() else []
    return {**SEEDS, **{path.name: path.read_bytes() for path in files}}


def main(count: int) -> None:
    """Damage, read, count; a failure is raised with the smallest file that shows it."""
    warnings.simplefilter("error")
    outcomes: Counter[str] = Counter()

    @settings(max_examples=count, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(damaged(seeds()))
    def each(file: tuple[str, bytes]) -> None:
        outcomes[taken(*file)] += 1

    each()
    total = sum(outcomes.values())
    ends = ", ".join(f"{kind} {number}" for kind, number in outcomes.most_common())
    print(f"{total} damaged files: {ends}; anything else 0")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", nargs="?", type=int, default=10_000, help="How many damaged files.")
    main(parser.parse_args().count)
