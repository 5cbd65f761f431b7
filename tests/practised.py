"""Practice shifts for tests: their files by edge, their text with changes, and folders that hold them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from pathlib import Path

from edgeshift.actions.ask import ask_all
from edgeshift.actions.desk import Desk, steady_desk
from edgeshift.actions.practise import Practised, practice_scenario
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.practice import shift
from edgeshift.practice.day import Shift

SEED = 3
PLAN = """\
question: does the rain change the paint?
arms: [{name: dry, control: true}, {name: rain}]
units: [{name: d1, arm: dry}, {name: r1, arm: rain}]
specimens: [{name: D1, unit: d1}, {name: R1, unit: r1}]
edges: [{edge: K L}]
"""
"""Somebody's own plan, to be rehearsed."""


@lru_cache(maxsize=4)
def made(seed: int = SEED) -> Shift:
    """The shift of a seed, made once."""
    return shift(practice_scenario(), seed)


def files(edge: str = "", seed: int = SEED) -> list[tuple[str, bytes]]:
    """Names and bytes in the order in which they landed; those of one edge, as "AlK", where one is said."""
    return [(file.name, file.data) for file in made(seed).files if edge in file.name]


def text_without(edge: str, seed: int = SEED) -> str:
    """The practice text with nothing declared at this edge."""
    lines = made(seed).experiment_text.splitlines(keepends=True)
    declared = next(n for n, line in enumerate(lines) if line.strip() == f"- edge: {edge}") + 1
    assert "feature" in lines[declared]
    return "".join(lines[:declared] + lines[declared + 1 :])


def begun(place: Path, raw: Iterable[tuple[str, bytes]], text: str | None = None, desk: Desk | None = None):
    """An open folder into which the files were taken, with a steady clock unless a desk is given."""
    desk = desk or steady_desk()
    folder = ExperimentFolder.create(place, made().experiment_text if text is None else text, desk.now())
    take(folder, raw, desk)
    return folder


def result_bytes(place: Path) -> dict[str, bytes]:
    """Every file under `results/`: name -> bytes."""
    results = place / "results"
    return {str(p.relative_to(results)): p.read_bytes() for p in sorted(results.rglob("*")) if p.is_file()}


def asked_again(place: Path, change: Callable[[Path], None] = lambda place: None) -> dict[str, bytes]:
    """The bytes of `results/` after a change and after asking everything once more."""
    change(place)
    with ExperimentFolder.open(place) as folder:
        ask_all(Session(folder))
    return result_bytes(place)


def judged(done: Practised) -> dict[str, dict]:
    """What "do we trust this trace?" says of every scan of a practice shift, by file."""
    return next(each for each in done.answers if each.question == "trust").detail["scans"]
