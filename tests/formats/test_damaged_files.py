"""Five hundred damaged files: each becomes a scan or a refusal, never anything else.

`benchmarks/fuzz_readers.py` does the same with ten thousand.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from raw_files import SEEDS, damaged, taken

QUIET = {"deadline": None, "derandomize": True, "database": None, "suppress_health_check": list(HealthCheck)}
OUTCOMES = ("scan", "UnreadableFile", "NotAScan", "UnclearColumns")


@settings(max_examples=300, **QUIET)
@given(damaged(SEEDS))
def test_a_damaged_file_is_taken_or_refused(file: tuple[str, bytes]) -> None:
    assert taken(*file) in OUTCOMES


@settings(max_examples=100, **QUIET)
@given(st.binary(max_size=2000))
def test_random_bytes_are_taken_or_refused(data: bytes) -> None:
    assert taken("unknown.bin", data) in OUTCOMES


def test_damaged_open_data_are_taken_or_refused(open_data: Path) -> None:
    small = (path for path in sorted(open_data.rglob("*")) if path.is_file() and path.stat().st_size < 40_000)
    seeds = {path.name: path.read_bytes() for path in small}

    @settings(max_examples=100, **QUIET)
    @given(damaged(seeds))
    def each(file: tuple[str, bytes]) -> None:
        assert taken(*file) in OUTCOMES

    each()


@pytest.mark.parametrize("name", sorted(SEEDS))
def test_the_undamaged_seeds_become_scans(name: str) -> None:
    assert taken(name, SEEDS[name]) == "scan"
