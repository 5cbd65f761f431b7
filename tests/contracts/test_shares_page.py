"""The page on shares shows the table that was measured, every cell of it, and the table keeps its goal."""

from __future__ import annotations

import re
from pathlib import Path

from benchmark_modules import benchmark

ROOT = Path(__file__).resolve().parents[2]
TABLE = (ROOT / "docs/why/share-coverage.txt").read_text(encoding="utf-8")
ROW = re.compile(r"^(\S.*?) +(\d+)% +([\d.]+) eV +([\d.]+) +([\d.]+)", re.MULTILINE)


def test_the_page_shows_the_table_as_it_was_measured():
    assert TABLE.rstrip() in (ROOT / "docs/why/shares.md").read_text(encoding="utf-8")


def test_the_table_has_every_cell_and_keeps_its_goal():
    module = benchmark("fan_coverage")
    found = {(kind, int(share) / 100, float(slide)): (float(fan), float(formal))
             for kind, share, slide, fan, formal in ROW.findall(TABLE)}  # fmt: skip
    assert set(found) == {(kind, *size) for kind in module.KINDS for size in module.SIZES}
    assert min(fan for fan, _ in found.values()) >= module.GOAL
    assert max(formal for _, formal in found.values()) < module.GOAL
