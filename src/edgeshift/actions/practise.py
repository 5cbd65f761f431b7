"""A whole practice shift: invented specimens on an invented beamline, taken and answered as on the day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from edgeshift.actions.ask import ask_all
from edgeshift.actions.desk import Desk
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.practice import scenario_from_text, shift
from edgeshift.records.answer import Answer

SCENARIO = "riverbank"


@dataclass(frozen=True)
class Practised:
    """Where the shift lies, how many files were taken, its answers, and what truly was in it."""

    path: Path
    taken: int
    answers: tuple[Answer, ...]
    truth: object


def practise(
    path: str | Path | None,
    seed: int,
    *,
    desk: Desk,
    tell: Callable[[int, int], None] = lambda done, whole: None,
) -> Practised:
    """Make a practice shift at `path` (None: the first free name beside us), take it and ask what it says.

    The files go the same way as real ones: nothing after `take` knows that they were invented. The same
    seed gives the same files. Raises FolderRefused where something else stands at `path`.
    """
    made = shift(practice_scenario(), seed)
    place = Path(path) if path is not None else _free_name(SCENARIO)
    with ExperimentFolder.create(place, made.experiment_text, desk.now()) as folder:
        done = [0]

        def heard(_: object) -> None:
            done[0] += 1
            tell(done[0], len(made.files))

        take(folder, [(f.name, f.data) for f in made.files], desk, tell=heard)
        answers = ask_all(Session(folder, desk))
    return Practised(place, done[0], tuple(answers), made.truth)


def practice_scenario():
    """The riverbank scenario that ships with the package."""
    text = files("edgeshift.practice").joinpath(f"{SCENARIO}.yaml").read_text(encoding="utf-8")
    return scenario_from_text(text)


def _free_name(stem: str) -> Path:
    """`riverbank`, or `riverbank-2` and so on where that is taken."""
    place, number = Path(stem), 1
    while place.exists():
        number += 1
        place = Path(f"{stem}-{number}")
    return place
