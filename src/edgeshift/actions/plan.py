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
from edgeshift.planning.feasibility import feasible, moisture
from edgeshift.planning.scan_lists import ScanList, csv_rows, scan_lists
from edgeshift.recipe.experiment import Experiment
from edgeshift.wording import planning as words

BALLOTS = 12
BEGIN = Now()
REFUSED = words.REFUSED


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
            _write(folder.path / PLAN, planned.sheets)
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
        "holder-map.txt": words.holder_map([each.name for each in experiment.specimens], day.holder_places),
        "ballots.txt": words.ballots(BALLOTS),
        "checklist.txt": words.checklist(),
    }
    if experiment.matter is not None:
        sheets["feasibility.txt"] = _feasibility(experiment, lists)
    if found is not None:
        sheets["run-sheet.txt"] = words.run_sheet(found, words.begins(day.ends, day.lasts_min))
    return sheets


def _feasibility(experiment: Experiment, lists: tuple[ScanList, ...]) -> str:
    matter = experiment.matter
    found = [feasible(matter, one, experiment.beamline) for one in lists]
    water = moisture(matter, experiment.lock, experiment.limits.pressure_mbar)
    return words.feasibility(found, water, matter.layered)


def _write(place: Path, sheets: Mapping[str, str]) -> None:
    with kind_about_disk(place):
        place.mkdir(exist_ok=True)
    for name, text in sheets.items():
        write_durably(place / name, text.encode("utf-8"))
