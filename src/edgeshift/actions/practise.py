"""A whole practice shift: invented specimens on an invented beamline, taken and answered as on the day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from edgeshift.actions.ask import ask_all
from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.errors import TextRefused
from edgeshift.folder.durable import kind_about_disk, write_durably
from edgeshift.folder.experiment_folder import LANDING, SEAL, ExperimentFolder
from edgeshift.practice import SCENARIOS, Scenario, Shift, built_on, planted, scenario_from_text, shift
from edgeshift.practice.seal import sealed
from edgeshift.records.answer import Answer

SCENARIO = "riverbank"
LIBRARY = "riverbank-3"
"""The scenario whose invented materials a rehearsal borrows: it knows the most edges."""
PIECES = 20
"""Parts in which a file lands that grows."""


@dataclass(frozen=True)
class How:
    """Which practice: the scenario, the traps (none, all, or T1,T4), and how many times faster than the day
    files land (None: all at once). `plan` is the text of a person's own experiment to rehearse instead.
    `asked` is whether the questions are put at the end, which takes the looks that are due."""

    scenario: str = SCENARIO
    traps: str = "none"
    speed: float | None = None
    plan: str | None = None
    asked: bool = True


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
    how: How = How(),
) -> Practised:
    """Make a practice shift at `path` (None: the first free name beside us), take it and ask what it says.

    An invented instrument writes files into `landing/`, at the day's own pace times `how.speed`; they go
    the same way as real ones, and nothing after `take` knows that they were invented. The truth stands
    sealed beside them for `score`. The same seed gives the same files. Raises FolderRefused where something
    else stands at `path`, TextRefused for a scenario, a plan or a trap that does not hold.
    """
    scenario = practice_scenario(how.scenario) if how.plan is None else _rehearsed(how.plan, seed)
    made = shift(scenario, seed, planted(scenario, how.traps))
    place = Path(path) if path is not None else free_name(scenario.name)
    with ExperimentFolder.create(place, made.experiment_text, desk.now()) as folder:
        write_durably(place / SEAL, sealed(scenario, made, seed).encode("ascii"))
        taken = _land(folder, made, desk, how.speed, tell)
        answers = ask_all(Session(folder, desk)) if how.asked else ()
    return Practised(place, taken, tuple(answers), made.truth)


def practice_scenario(name: str = SCENARIO) -> Scenario:
    """A scenario that ships with the package. Raises TextRefused where there is none of that name."""
    if name not in SCENARIOS:
        found, act = repr(name), "Choose one of these."
        raise TextRefused("the scenario", f"one of {', '.join(SCENARIOS)}", found, act)
    texts = [_packaged(name)]
    while earlier := built_on(texts[-1]):
        texts.append(_packaged(earlier))
    return scenario_from_text(texts[0], *reversed(texts[1:]))


def free_name(stem: str) -> Path:
    """`riverbank`, or `riverbank-again-2` and so on where that is taken."""
    place, number = Path(stem), 1
    while place.exists():
        number += 1
        place = Path(f"{stem}-again-{number}")
    return place


def _packaged(name: str) -> str:
    return files("edgeshift.practice").joinpath(SCENARIOS[name]).read_text(encoding="utf-8")


def _rehearsed(text: str, seed: int) -> Scenario:
    from edgeshift.actions.rehearse import rehearsal

    return rehearsal(text, seed, practice_scenario(LIBRARY))


def _land(
    folder: ExperimentFolder,
    made: Shift,
    desk: Desk,
    speed: float | None,
    tell: Callable[[int, int], None],
) -> int:
    """Let every file land in its turn and take it; of gauges' logs the readings are noted."""
    landing = folder.path / LANDING
    with kind_about_disk(landing):
        landing.mkdir(exist_ok=True)
    clock_s, done = 0.0, 0
    for file in sorted((*made.logs, *made.files), key=lambda each: each.at_s):
        for_s, clock_s = max(0.0, file.at_s - clock_s), max(clock_s, file.at_s)
        if speed:
            _grow(landing / file.name, file.data, desk, for_s / speed)
        else:
            write_durably(landing / file.name, file.data)
        if file in made.logs:
            _note_pressures(folder, file.name, file.data, desk)
            continue
        take(folder, [(file.name, (landing / file.name).read_bytes)], desk)
        done += 1
        tell(done, len(made.files))
    return done


def _grow(path: Path, data: bytes, desk: Desk, for_s: float) -> None:
    """Write a file line by line, as an instrument does while it measures: it stands open until its end."""
    lines = data.splitlines(keepends=True)
    with kind_about_disk(path), path.open("wb", buffering=0) as growing:
        for piece in range(PIECES):
            desk.sleep(for_s / PIECES)
            growing.write(b"".join(lines[piece * len(lines) // PIECES : (piece + 1) * len(lines) // PIECES]))


def _note_pressures(folder: ExperimentFolder, name: str, data: bytes, desk: Desk) -> None:
    """A load lock's log, as the host's watch would read it; its minutes count from when pumping began."""
    from edgeshift.actions.pumping import Given, pressure_log

    given = Given(name, data)
    pressure_log(folder, desk, Who("host", "the gauge's log"), given, from_start=True)
