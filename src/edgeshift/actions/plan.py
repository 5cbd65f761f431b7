"""Scan lists, the day in minutes, and the sheets to print, from the experiment text."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from edgeshift.actions.desk import Desk
from edgeshift.errors import QuestionRefused
from edgeshift.folder.durable import kind_about_disk, write_durably
from edgeshift.folder.experiment_folder import PLAN
from edgeshift.planning.budget import Budget, Now, budget
from edgeshift.planning.feasibility import feasible, lying, moisture, reach
from edgeshift.planning.holder import in_turn, loads
from edgeshift.planning.scan_lists import ScanList, csv_rows, scan_lists
from edgeshift.recipe.experiment import Experiment
from edgeshift.wording import feasibility as seen_words
from edgeshift.wording import planning as words

BALLOTS = 12
BEGIN = Now()
REFUSED = words.REFUSED
DAY_LINE = "day-line.svg"
PRINTED = "sheets.pdf"
DAY_SIZE = (1280, 230)
"""Pixels of the planned day."""


@dataclass(frozen=True)
class Planned:
    """The lists, the day (None: not even the closing check fits), and every sheet by its file's name."""

    lists: tuple[ScanList, ...]
    day: Budget | None
    sheets: Mapping[str, str]


def plan(path: str | Path, desk: Desk, now: Now = BEGIN, write: bool = True) -> Planned:
    """Plan the experiment at `path` from `now` on; the sheets are written into its `plan/`.

    Raises QuestionRefused where the text plans no edge, FolderRefused for a folder that is none.
    """
    from edgeshift.formats.experiment_text import load

    opened = desk.load(path)
    with opened.folder as folder:
        experiment = load(opened.state.experiment_text, "experiment.yaml")
        if not experiment.edges:
            act = "Name the edges in experiment.yaml, as edges: [{edge: Al K}]."
            raise QuestionRefused("plan", "edges to plan for", "none", act)
        unknown = set(now.done or ()) - {each.edge for each in experiment.edges}
        if unknown:
            named = ", ".join(each.edge for each in experiment.edges)
            raise QuestionRefused(
                "--done", f"one of {named}", ", ".join(sorted(unknown)), "Type it as 'Al K=2'."
            )
        lists = scan_lists(experiment)
        found = budget(experiment, lists, now)
        planned = Planned(lists, found, _sheets(experiment, lists, found))
        if write and folder.writable:
            _write(folder.path / PLAN, experiment, planned)
    return planned


def minute_now(path: str | Path, desk: Desk, left: float) -> float:
    """Which minute of the shift it is where so many are left."""
    from edgeshift.formats.experiment_text import load

    opened = desk.load(path)
    opened.folder.close()
    return load(opened.state.experiment_text, "experiment.yaml").day.lasts_min - left


def _sheets(experiment: Experiment, lists: tuple[ScanList, ...], found: Budget | None) -> dict[str, str]:
    table = io.StringIO()
    csv.writer(table, lineterminator="\n").writerows(csv_rows(lists))
    day = experiment.day
    sheets = {
        "scan-lists.txt": words.scan_sheet(lists),
        "scan-lists.csv": table.getvalue(),
        "holder-map.txt": words.holder_map(loads(experiment), day.holder_places),
        "ballots.txt": words.ballots(BALLOTS),
        "checklist.txt": words.checklist(),
    }
    if experiment.matter is not None:
        sheets["feasibility.txt"] = words.sheet([words.PRINTED["seen"], "", *seen(experiment, lists)])
    if found is not None:
        zero = words.begins(day.ends, day.lasts_min)
        sheets["run-sheet.txt"] = words.run_sheet(found, zero, turns(experiment))
        sheets[DAY_LINE] = day_picture(found, zero, day.lasts_min)
    return sheets


def turns(experiment: Experiment) -> tuple[tuple[str, ...], ...]:
    """The order of specimens in a round, load by load."""
    return tuple(in_turn(experiment, holder) for holder in loads(experiment))


def seen(experiment: Experiment, lists: tuple[ScanList, ...]) -> list[str]:
    """What can be seen of the typed material, line by line."""
    matter, beamline = experiment.matter, experiment.beamline
    found = [feasible(matter, one, beamline) for one in lists]
    water = moisture(matter, experiment.lock, experiment.limits.pressure_mbar)
    return seen_words.seen_lines(found, reach(matter, beamline), water, lying(matter, beamline))


def day_picture(found: Budget, zero: str | None, lasts_min: float) -> str:
    """The planned day, drawn as the lived one is."""
    from edgeshift.drawing import picture
    from edgeshift.figures.day_plan import day_plan

    return picture(day_plan(found, zero, lasts_min), *DAY_SIZE)


def _write(place: Path, experiment: Experiment, planned: Planned) -> None:
    """Every sheet as text, and all of them as one file for a printer."""
    from edgeshift.actions.press import with_fonts
    from edgeshift.actions.sheets import pdf

    with kind_about_disk(place):
        place.mkdir(exist_ok=True)
    for name, text in planned.sheets.items():
        whole = with_fonts(text) if name == DAY_LINE else text
        write_durably(place / name, whole.encode("utf-8"))
    write_durably(place / PRINTED, pdf(experiment, planned))
