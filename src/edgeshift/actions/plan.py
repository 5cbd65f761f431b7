"""Scan lists, the day in minutes, and the sheets to print, from the experiment text."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from edgeshift.actions.desk import Desk
from edgeshift.actions.session import Known, Session
from edgeshift.errors import QuestionRefused
from edgeshift.folder.durable import kind_about_disk, write_durably
from edgeshift.folder.experiment_folder import PLAN
from edgeshift.planning.budget import MOMENT_MIN, Budget, Now, budget
from edgeshift.planning.feasibility import feasible, lying, moisture, reach
from edgeshift.planning.holder import in_turn, loads
from edgeshift.planning.scan_lists import ScanList, csv_rows, scan_list, scan_lists
from edgeshift.recipe.experiment import Experiment, ScanWish
from edgeshift.records.figure import Moment
from edgeshift.records.pump_down import minutes_between
from edgeshift.wording import feasibility as seen_words
from edgeshift.wording import planning as words

BALLOTS = 12
BEGIN = Now()
DAY_LINE = "day-line.svg"
PRINTED = "sheets.pdf"
SEEN = "feasibility.txt"
DAY_SIZE = (1280, 230)
"""Pixels of the planned day."""


@dataclass(frozen=True)
class Planned:
    """The lists, the day (None: its closing check does not fit), every sheet by its file's name, and why
    there is no day.

    Where no edge is chosen yet there are no lists and no day, but a sheet on every edge within reach.
    """

    lists: tuple[ScanList, ...]
    day: Budget | None
    sheets: Mapping[str, str]
    refused: str = ""


def plan(path: str | Path, desk: Desk, now: Now = BEGIN, write: bool = True) -> Planned:
    """Plan the experiment at `path` from `now` on; the sheets are written into its `plan/`.

    Where the day has begun and nobody says what is done, the scans in the book say it.

    Raises QuestionRefused where the text names neither edge nor material, FolderRefused for a folder that is
    none.
    """
    from edgeshift.formats.experiment_text import load

    opened = desk.load(path)
    with opened.folder as folder:
        experiment = load(opened.state.experiment_text, "experiment.yaml")
        if not experiment.edges and experiment.matter is not None:
            planned = Planned((), None, {SEEN: _seen_sheet(experiment, usual_lists(experiment))})
            if write and folder.writable:
                _write(folder.path / PLAN, experiment, planned)
            return planned
        if not experiment.edges:
            act = words.NAME_EDGES
            raise QuestionRefused("plan", "edges to plan for", "none", act)
        unknown = set(now.done or ()) - {each.edge for each in experiment.edges}
        if unknown:
            named = ", ".join(each.edge for each in experiment.edges)
            raise QuestionRefused(
                "--done", f"one of {named}", ", ".join(sorted(unknown)), "Type it as 'Al K=2'."
            )
        if now.begun and now.done is None:
            known = Session(folder, desk).known()
            now = so_far(known, now.minute, now.eaten, now.decided)
        lists = scan_lists(experiment)
        found = budget(experiment, lists, now)
        refused = "" if found else words.REFUSED if now.begun else words.TOO_SHORT
        planned = Planned(lists, found, _sheets(experiment, lists, found), refused)
        if write and folder.writable:
            _write(folder.path / PLAN, experiment, planned)
    return planned


def day_ahead(known: Known, at: str) -> list[Moment]:
    """What is planned from `at` on, as moments of the day line; empty where nobody typed its end.

    Until the first scan the day goes as planned beforehand; after it, and so after a trip, the rest is
    planned anew for the minutes left.
    """
    from edgeshift.figures.day_plan import planned_moments

    day = known.experiment.day
    if day.ends is None or not known.experiment.edges:
        return []
    zero = words.begins(day.ends, day.lasts_min)
    minute = minutes_between(zero, at)
    if not -day.lasts_min < minute < day.lasts_min:
        return []
    now = so_far(known, minute) if known.state.arrivals and minute >= 0 else BEGIN
    found = budget(known.experiment, scan_lists(known.experiment), now)
    moments = planned_moments(found, zero) if found is not None else []
    return [one for one in moments if minutes_between(at, one.start) > -MOMENT_MIN]


def so_far(known: Known, minute: float, eaten: bool = False, decided: bool = False) -> Now:
    """Where the day stands by its book: a round counts when every specimen of its load has its scan."""
    holders = loads(known.experiment)
    scanned = Counter((scan.place.specimen, edge) for edge, group in known.scans.items() for scan in group)
    measured = {name for name, _ in scanned}
    seen_in = [n for n, holder in enumerate(holders, 1) if measured.intersection(_own(known, holder))]
    load = max(seen_in, default=1)
    here = _own(known, holders[load - 1])
    done = {
        plan.edge: min((scanned[name, plan.edge] for name in here), default=0)
        for plan in known.experiment.edges
    }
    return Now(minute, done, load, True, eaten, decided or bool(known.state.decisions))


def _own(known: Known, holder: tuple[str, ...]) -> list[str]:
    """The specimens of a load: standards come with every one."""
    mounted = {each.name for each in known.experiment.specimens if each.kind == "specimen"}
    return [name for name in holder if name in mounted]


def minute_now(path: str | Path, desk: Desk, left: float) -> float:
    """Which minute of the shift it is where so many are left. Raises QuestionRefused for more than it has."""
    from edgeshift.formats.experiment_text import load

    opened = desk.load(path)
    opened.folder.close()
    lasts = load(opened.state.experiment_text, "experiment.yaml").day.lasts_min
    if not 0 <= left <= lasts:
        needed, act = f"0 to {lasts:g} minutes, as the day lasts", "Type the minutes until the shift ends."
        raise QuestionRefused("--left", needed, f"{left:g}", act)
    return lasts - left


def _sheets(experiment: Experiment, lists: tuple[ScanList, ...], found: Budget | None) -> dict[str, str]:
    table = io.StringIO()
    csv.writer(table, lineterminator="\n").writerows(csv_rows(lists))
    day = experiment.day
    sheets = {
        "scan-lists.txt": words.scan_sheet(lists),
        "scan-lists.csv": table.getvalue(),
        "holder-map.txt": words.holder_map(planned_loads(experiment, found), day.holder_places),
        "ballots.txt": words.ballots(BALLOTS),
        "checklist.txt": words.checklist(),
    }
    if experiment.matter is not None:
        sheets[SEEN] = _seen_sheet(experiment, lists)
    if found is not None:
        zero = words.begins(day.ends, day.lasts_min)
        sheets["run-sheet.txt"] = words.run_sheet(found, zero, turns(experiment, found))
        sheets[DAY_LINE] = day_picture(found, zero, day.lasts_min)
    return sheets


def planned_loads(experiment: Experiment, found: Budget | None) -> tuple[tuple[str, ...], ...]:
    """The holders that come in by this plan; all of them where there is no plan."""
    return loads(experiment)[: found.loads if found is not None else None]


def usual_lists(experiment: Experiment) -> tuple[ScanList, ...]:
    """A usual scan of every edge of the material that is within reach, where nobody has chosen edges yet."""
    edges = reach(experiment.matter, experiment.beamline).whole
    return tuple(scan_list(edge, ScanWish(), experiment.beamline) for edge in edges)


def _seen_sheet(experiment: Experiment, lists: tuple[ScanList, ...]) -> str:
    return words.sheet([words.PRINTED["seen"], "", *seen(experiment, lists)])


def turns(experiment: Experiment, found: Budget | None) -> tuple[tuple[str, ...], ...]:
    """The order of specimens in a round, load by load, as far as they come in."""
    return tuple(in_turn(experiment, holder) for holder in planned_loads(experiment, found))


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
    from edgeshift.actions.sheets import pdf
    from edgeshift.publish.press import with_fonts

    with kind_about_disk(place):
        place.mkdir(exist_ok=True)
    for name, text in planned.sheets.items():
        whole = with_fonts(text) if name == DAY_LINE else text
        write_durably(place / name, whole.encode("utf-8"))
    if planned.lists:
        write_durably(place / PRINTED, pdf(experiment, planned))
