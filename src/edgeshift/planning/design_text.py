"""The experiment text of a design, with remarks for people."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from itertools import takewhile

from edgeshift.planning.design import ArmSaid, Design, EdgeSaid, weakest
from edgeshift.planning.interview import unit_names


def text_of(design: Design) -> str:
    """An experiment text that holds: units that shared a run share a batch, so that they count as one."""
    # The smaller arm says how often there is something new to look at.
    plan = f"units_per_arm: {weakest(design).fewest}, spots_per_unit: {design.spots}"
    lines = [
        "# The experiment, for people to read and edit. A change counts when the folder is next opened.",
        f"question: {_said(design.question)}",
        "",
        "# What was done. The control did not get the treatment.",
        "arms:",
        *(
            f"  - {{name: {_said(arm.name)}, control: {_said(_is_control(design, arm))}}}"
            for arm in design.arms
        ),
        "",
        "# The smallest things that got their treatment each on its own. A pair was split before treating;",
        "# units of one batch were treated together, or are portions of one thing, and count as one.",
        "units:",
        *_unit_lines(design),
        "",
        "# What is mounted, named as in the files.",
        "specimens:",
        *_specimen_lines(design),
        "",
        "# What will be asked of each edge. A feature written before measuring counts as declared before;",
        "# `matters` is the smallest difference that matters: without it, 'no change' cannot be said.",
        "edges:",
        *(line for each in design.edges for line in _edge_lines(each, each.edge == design.control_edge)),
        "",
        "# How many of what; says when a unit is complete.",
        f"plan: {{{plan}, scans_per_spot: {design.scans}}}",
        "",
        "# Which column is what. `edgeshift look FILE` prints a proposal to put in place of this line.",
        "beamline: {}",
        "",
    ]
    return "\n".join(lines)


def _is_control(design: Design, arm: ArmSaid) -> bool:
    return arm.name == design.control


def _unit_lines(design: Design) -> Iterator[str]:
    units = {arm.name: arm.units for arm in design.arms}
    own, pairs = unit_names(units), _pairs(list(units.values())) if design.pairing.rows else None
    for arm in design.arms:
        batch = _batches(arm)
        for place, name in enumerate(arm.units):
            parts = [f"name: {_said(own[arm.name, name])}", f"arm: {_said(arm.name)}"]
            parts += [f"pair: {_said(pairs[place])}"] if pairs else []
            parts += [f"batch: {_said(batch[name])}"] if name in batch else []
            yield f"  - {{{', '.join(parts)}}}"


def _pairs(rows: Sequence[Sequence[str]]) -> list[str]:
    """A name for each row of units; what stands in it alone is a pair that is not whole."""
    found: list[str] = []
    for number in range(max(map(len, rows))):
        name = _begin([names[number] for names in rows if number < len(names)])
        found.append(name if name and name not in found else f"pair-{number + 1}")
    return found


def _begin(names: Sequence[str]) -> str:
    """The letters with which all names begin."""
    same = takewhile(lambda letters: len(set(letters)) == 1, zip(*names, strict=False))
    return "".join(letters[0] for letters in same).rstrip("-_ .")


def _batches(arm: ArmSaid) -> dict[str, str]:
    several = [group for group in arm.branches if len(group) > 1]
    return {
        unit: f"{arm.name} together {number}" for number, group in enumerate(several, 1) for unit in group
    }


def _specimen_lines(design: Design) -> Iterator[str]:
    for unit, specimens in design.specimens.items():
        for name in specimens:
            yield f"  - {{name: {_said(name)}, unit: {_said(unit)}}}"
    standards = dict.fromkeys(each.standard for each in design.edges if each.standard)
    for name in standards:
        yield f"  - {{name: {_said(name)}, kind: standard}}"
    for name in design.blanks:
        yield f"  - {{name: {_said(name)}, kind: blank}}"


def _edge_lines(each: EdgeSaid, stays: bool) -> Iterator[str]:
    yield f"  - edge: {each.edge}"
    if stays:
        yield "    role: control"
    if each.feature:
        windows = json.dumps(each.feature["windows"])
        yield f"    feature: {{kind: {each.feature['kind']}, windows: {windows}}}"
    yield f"    matters: {each.matters:g}" if each.matters else "    # matters: 0.05"


def _said(thing: object) -> str:
    """A word that YAML reads back as the same word (a JSON scalar is one)."""
    return json.dumps(thing, ensure_ascii=False)
