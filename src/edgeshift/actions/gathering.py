"""Gather what goes home: every answer of a room with its picture, what was done, and what people said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from importlib.metadata import version

from edgeshift.actions.aside import catch_up
from edgeshift.actions.day import day_of_the_book
from edgeshift.actions.looking import kept_sets
from edgeshift.actions.opening import scans_seen, with_and_without
from edgeshift.actions.room import Room
from edgeshift.actions.session import NO_EDGE, Known
from edgeshift.actions.story import room_story
from edgeshift.drawing import picture, picture_height
from edgeshift.drawing.small import trace_thumbnail
from edgeshift.figures import tables_of
from edgeshift.figures.stations import stations
from edgeshift.publish.material import (
    Claimed,
    Material,
    Measured,
    Moment,
    Picture,
    Result,
    Said,
    Shelved,
    Told,
)
from edgeshift.records.answer import Answer
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.figure import Blank, Figure
from edgeshift.records.room import SLOTS
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import moment
from edgeshift.tables.absorption_values import SETS
from edgeshift.tables.edges import ENERGY_SOURCES
from edgeshift.wording import documents as words
from edgeshift.wording.day import clock
from edgeshift.wording.names import Naming
from edgeshift.wording.numbers import earned, with_give_or_take
from edgeshift.wording.plain import fact_line

WIDTH, LADDERS, DAY = 1104, 640, 112
OF_THE_HOUR = ("minutes",)
"""Questions whose answers are about the next hour: they stay in the room."""
SMALL = (240, 110)
"""Pixels: the width of a picture and of the ladders of all edges, whose letters are small, the height of the
day line, and a small trace."""


def gather(room: Room) -> Material:
    """What documents may show of the room as it stands, behind its curtain where one is drawn.

    Slow questions are asked here and now. Raises as `actions.ask` does.
    """
    catch_up(room, room.session)
    known, naming = room.seen(), room.naming()
    found = {q: told for q, told in room.all_answers().items() if told is not None and q not in OF_THE_HOUR}
    answers = [one for told in found.values() if isinstance(told, list) for one in told]
    sets = kept_sets(room.session, known)
    last = room.folder.events()[-1]
    return Material(
        question=Said(known.experiment.question, "text", "question"),
        design=_design(known),
        measured_heads=words.MEASURED_HEADS,
        measured=tuple(_measured(edge, known, sets.get(edge)) for edge in known.scans if edge != NO_EDGE),
        answers=tuple(told_of_answer(answer, naming) for answer in answers if answer.question != "say"),
        day=_day(room, naming),
        story=tuple(_story(room)),
        shelf=tuple(_shelved(room, naming)),
        results=tuple(_results(room, naming)),
        claims=tuple(_claimed(known, _carried(answers, naming))),
        words=_slots(known),
        methods=(*_methods(known, sets.values()), *_chances(known)),
        sources=tuple(Said(one, "source") for one in dict.fromkeys((*ENERGY_SOURCES, *SETS))),
        cautions=_cautions(answers, naming),
        marks={one.question: one.state for one in stations(found)},
        made_by=Said(words.made_by(version("edgeshift"), last.number), "book", str(last.number)),
        last=last.time,
    )


def _design(known: Known) -> tuple[Said, ...]:
    """One line an arm, its units by name."""
    experiment = known.experiment
    return tuple(
        Said(
            words.arm_line(
                arm.words or arm.name,
                [unit.name for unit in experiment.units if unit.arm == arm.name],
                arm == experiment.control,
            ),
            "text",
            arm.name,
        )
        for arm in experiment.arms
    )


def _measured(edge: str, known: Known, edge_set: EdgeSet | None) -> Measured:
    scans: tuple[Scan, ...] = known.scans[edge]
    kept = len(edge_set.scans) if edge_set else 0
    spots = len(edge_set.spots) if edge_set else 0
    cells = (
        words.range_ev(*_range_of(scans)),
        str(len(scans)),
        str(kept),
        str(spots),
        words.dwell_s(*_dwells_of(scans)),
        words.between([moment for scan in scans for moment in (scan.started, scan.ended) if moment]),
    )
    return Measured(edge, tuple(Said(cell, "book", edge) for cell in cells))


def told_of_answer(answer: Answer, naming: Naming, width: int | None = None) -> Told:
    """An answer as documents show it, its picture `width` pixels wide (None: as wide as a page wants it)."""

    def said(text: str) -> Said:
        return Said(naming(text), "answer", answer.identity)

    name = "-".join(part.replace(" ", "_") for part in (answer.question, answer.edge or "all") if part)
    treated = answer.detail.get("treated") or ()
    name = f"{name}-{treated[0]}" if len(treated) == 1 else name
    return Told(
        answer.question,
        answer.edge,
        answer.verdict,
        said(answer.sentence),
        answer.identity,
        tuple(said(fact_line(fact)) for fact in answer.because),
        tuple(map(said, answer.would_change_it)),
        tuple(map(said, answer.cautions)),
        None if _is_blank(answer.figure) else _picture(name, answer, naming, width),
    )


def _is_blank(figure: Figure) -> bool:
    """Whether there is nothing in it to take home: what is not there yet is said by its sentence."""
    return any(isinstance(panel, Blank) for panel in figure.panels)


def _picture(name: str, answer: Answer, naming: Naming, width: int | None) -> Picture:
    figure = answer.figure
    width = width or (LADDERS if figure.kind == "board" else WIDTH)
    svg = picture(figure, width, picture_height(figure, width), naming=naming)
    said = Said(naming(figure.alt or answer.sentence), "answer", answer.identity)
    return Picture(naming(name), svg, said, *size_of(svg), _tables(figure, naming))


def _tables(figure: Figure, naming: Naming) -> tuple:
    return tuple(
        (naming(table.title), table.columns, tuple(_row(row, naming) for row in table.rows))
        for table in tables_of(figure)
    )


def _row(row: tuple, naming: Naming) -> tuple[str, ...]:
    return tuple(_cell(value, naming) for value in row)


def _cell(value: str | float | None, naming: Naming) -> str:
    return "" if value is None else naming(value) if isinstance(value, str) else earned(value, None)


def _day(room: Room, naming: Naming) -> Picture:
    figure = day_of_the_book(room)
    svg = picture(figure, WIDTH, DAY, naming=naming)
    return Picture("day", svg, Said(words.HEADS["day"], "house"), *size_of(svg))


def _story(room: Room) -> Iterable[Moment]:
    """Every moment of the day by its clock, in our words and, where somebody spoke, in theirs."""
    told = room_story(room, whole=True)
    for one in told.story.moments:
        line = ", ".join(map(str, one.lines))
        own = Said(told.naming(one.own), "group", line) if one.own else None
        yield Moment(clock(moment(one.time), 0), Said(told.naming(one.words), "book", line), own)


def _shelved(room: Room, naming: Naming) -> Iterable[Shelved]:
    for one in scans_seen(room).values():
        if one.said["verdict"] == "set-aside":
            reason = one.said["reasons"][0]
            svg = trace_thumbnail(one.trace, "light", *SMALL, reason["code"])
            title = ", ".join(part for part in (one.name, one.place.specimen, one.edge) if part)
            why = naming(reason["sentence"])
            small = Picture(one.key, svg, Said(title, "book", one.key), *size_of(svg))
            yield Shelved(Said(title, "book", one.key), Said(why, "answer", one.key), small)


def _results(room: Room, naming: Naming) -> Iterable[Result]:
    for one in with_and_without(room):
        title = naming(f"{one.edge}: {one.words}, {{arm:{one.treated}}} minus {{arm:{one.control}}}")
        yield Result(
            *(
                Said(text, "answer", one.edge)
                for text in (title, *(_range(each, one.unit) for each in (one.with_them, one.without)))
            )
        )


def _range(found: tuple[float, float | None, float | None], unit: str) -> str:
    value, low, high = found
    half = None if low is None or high is None else (high - low) / 2
    return with_give_or_take(value, half, None if unit == "ratio" else unit)


def _carried(answers: list[Answer], naming: Naming) -> dict[int, Told]:
    """What the data carry of each claim, by the line of the claim."""
    said = [answer for answer in answers if answer.question == "say" and answer.detail.get("claim")]
    return {answer.detail["claim"]["line"]: told_of_answer(answer, naming) for answer in said}


def _claimed(known: Known, carried: Mapping[int, Told]) -> Iterable[Claimed]:
    for one in known.state.claims:
        if one.stands:
            said = (
                Said(t, "group", str(one.number)) for t in (one.claim, one.evidence, one.reason, one.unless)
            )
            level = Said(str(one.level), "group", str(one.number))
            yield Claimed(*said, level, carried.get(one.number))


def _slots(known: Known) -> dict[str, Said | None]:
    """The last text of each slot, word for word."""
    last = {one.slot: Said(one.text, "group", str(one.number)) for one in known.state.words}
    return {slot: last.get(slot) for slot in SLOTS}


def _methods(known: Known, sets: Iterable[EdgeSet]) -> tuple[Said, ...]:
    """How each edge was scanned, and every sentence of a step that ran, once, with the edges it ran for."""
    ran: dict[str, list[str]] = {}
    for edge_set in sets:
        for sentence in (_scanned(known.scans[edge_set.edge]), *edge_set.methods):
            ran.setdefault(sentence, []).append(edge_set.edge)
    return tuple(Said(sentence, "method", ", ".join(edges)) for sentence, edges in ran.items())


def _scanned(scans: tuple[Scan, ...]) -> str:
    """Range, dwell, and how long the light lay on each spot; a dose in gray needs a flux that no file has."""
    on_spot: dict[tuple, float] = {}
    for scan in scans:
        place = (scan.place.specimen or scan.key, scan.place.spot)
        on_spot[place] = on_spot.get(place, 0.0) + float(scan.dwell_s.sum())
    return words.scanned(_range_of(scans), _dwells_of(scans), len(scans), list(on_spot.values()))


def _chances(known: Known) -> Iterable[Said]:
    """What was drawn by lot, with its seed, and how chance entered the numbers."""
    yield Said(words.FIXED_SEEDS, "house", words.EVERYWHERE)
    for event in known.state.events:
        if event.payload.get("seed") is not None:
            yield Said(words.lot(event.kind, event.payload["seed"]), "book", words.EVERYWHERE)


def _range_of(scans: tuple[Scan, ...]) -> tuple[float, float]:
    return (
        min(float(scan.energy_ev.min()) for scan in scans),
        max(float(scan.energy_ev.max()) for scan in scans),
    )


def _dwells_of(scans: tuple[Scan, ...]) -> tuple[float, float]:
    every = [float(value) for scan in scans for value in (scan.dwell_s.min(), scan.dwell_s.max())]
    return min(every), max(every)


def _cautions(answers: list[Answer], naming: Naming) -> tuple[Said, ...]:
    """Each caution once, under the first answer that gave it."""
    first: dict[str, str] = {}
    for answer in answers:
        for caution in answer.cautions:
            first.setdefault(naming(caution), answer.identity)
    return tuple(Said(text, "answer", identity) for text, identity in first.items())


def size_of(svg: str) -> tuple[float, float]:
    """Width and height that a drawing states, in pixels."""
    import xml.etree.ElementTree as tree

    root = tree.fromstring(svg)
    return float(root.get("width")), float(root.get("height"))
