"""Every sheet of a planned shift as one PDF to print: from the run sheet to the checklists."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from edgeshift.publish.press import typst_fonts
from edgeshift.wording import planning as words

if TYPE_CHECKING:
    from edgeshift.actions.plan import Planned
    from edgeshift.recipe.experiment import Experiment


def pdf(experiment: Experiment, planned: Planned) -> bytes:
    """All sheets on A4, in memory; the same plan gives the same bytes."""
    import typst

    from edgeshift.actions.plan import DAY_LINE

    told = json.dumps(_told(experiment, planned), ensure_ascii=False)
    page = {
        "main.typ": files("edgeshift.actions").joinpath("sheets.typ").read_bytes(),
        "plan.json": told.encode(),
        "day.svg": planned.sheets.get(DAY_LINE, "").encode(),
    }
    return typst.compile(page, format="pdf", font_paths=typst_fonts(), timestamp=0)


def _told(experiment: Experiment, planned: Planned) -> dict[str, Any]:
    """What the page prints: words alone."""
    from edgeshift.actions.plan import BALLOTS, planned_loads, seen, turns

    day, found = experiment.day, planned.day
    zero = words.begins(day.ends, day.lasts_min)
    lines = [] if found is None else [
        {
            "from": words.at(one.start_min, zero), "to": words.at(one.end_min, zero),
            "minutes": f"{one.end_min - one.start_min:.0f}",
            "what": words.stretch(one, found.loads > 1),
            "mind": mind,
        }
        for one, mind in zip(found.stretches, words.minded(found.stretches), strict=True)
    ]  # fmt: skip
    return {
        "words": words.PRINTED, "foot": words.FOOT, "question": experiment.question, "run": lines,
        "before": [] if found is None else words.headlines(found),
        "after": [planned.refused] if found is None else words.fits(found, zero),
        "order": words.orders(turns(experiment, found)),
        "lists": [
            {
                "head": words.scan_line(one), "notes": words.scan_times(one),
                "regions": [_region(each) for each in one.regions],
            }
            for one in planned.lists
        ],
        "loads": [
            [*holder, *[""] * (day.holder_places - len(holder))]
            for holder in planned_loads(experiment, found)
        ],
        "ballots": BALLOTS,
        "checklists": [
            {"title": title, "ticks": list(ticks), "mind": [words.mind(head) for head in heads]}
            for title, heads, ticks in words.CHECKLISTS
        ],
        "seen": seen(experiment, planned.lists) if experiment.matter is not None else [],
    }  # fmt: skip


def _region(region: Any) -> list[str]:
    """As it is typed in."""
    return [f"{region.low_ev:.2f}", f"{region.high_ev:.2f}", f"{region.step_ev:.2f}", f"{region.points}"]
