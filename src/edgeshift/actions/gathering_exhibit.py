"""Gather what an exhibit lets people try: every change is supposed here, and asked by the same questions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from edgeshift.actions.aside import catch_up
from edgeshift.actions.ask import answer_known, drawn
from edgeshift.actions.day import day_of_the_book
from edgeshift.actions.expecting import guess_sheet
from edgeshift.actions.gathering import size_of, told_of_answer
from edgeshift.actions.room import Room
from edgeshift.actions.session import NO_EDGE, Known, Session
from edgeshift.actions.story import moments_of_day
from edgeshift.drawing import picture
from edgeshift.errors import Refusal
from edgeshift.figures.day_line import day_line
from edgeshift.figures.revealed import curves_and_ladder, two_sheets
from edgeshift.figures.stations import stations
from edgeshift.publish.hands_on import Guess, HandsOn, Rewound, Slid, Station, Tried
from edgeshift.publish.material import Picture, Said
from edgeshift.records.answer import Answer
from edgeshift.records.event import Event
from edgeshift.records.figure import DayLine
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import moment
from edgeshift.records.story import KINDS, StoryMoment
from edgeshift.wording import exhibit as words
from edgeshift.wording.day import clock
from edgeshift.wording.figures import CURVE_UNITS
from edgeshift.wording.names import Naming

PHONE = 390
"""Pixels of a phone's width: pictures are drawn for it a second time."""
PAD = (390, 440)
"""Pixels of the sheet to guess on."""
DAYS = ((1184, 120), (PHONE, 172))
"""Pixels of the day line, wide and for a phone."""
SLIDES_EV = (-0.3, -0.2, -0.1, 0.1, 0.2, 0.3)
"""How far one arm is moved along the energy (our choice, no source)."""
MOST_WITHOUT = 12
"""Units, or pairs, that are left out one after the other."""
MOST_MOMENTS = 12
"""Moments to which the day can be rewound: each asks every question once more."""


def gather_hands_on(room: Room) -> HandsOn:
    """What can be tried of the room as it stands, behind its curtain where one is drawn."""
    catch_up(room, room.session)
    naming = room.naming()
    found = [one for answers in room.all_answers().values() if isinstance(answers, list) for one in answers]
    compared = [one for one in found if one.question == "real" and one.edge and one.detail.get("curves")]
    narrow = (told_of_answer(answer, naming, PHONE).picture for answer in found)
    return HandsOn(
        {one.name: one for one in narrow if one},
        _guess(room, compared, naming),
        tuple(_slid(room, compared, naming)),
        tuple(_rewound(room)),
    )


# --- Guess first -------------------------------------------------------------------------------------


def _guess(room: Room, compared: Sequence[Answer], naming: Naming) -> Guess | None:
    """The first edge of the family that is drawn, else the first of any."""
    family = [one for one in compared if one.detail.get("role") in (None, "family")]
    answer = next(iter((*family, *compared)), None)
    if answer is None:
        return None
    sheet = guess_sheet(room, answer.edge)
    detail = answer.detail
    alt = words.both(*(f"{{arm:{arm}}}" for arm in (detail["control"], detail["treated"][0])))
    empty, shown = two_sheets(sheet.figure, detail, alt)
    drawn_both = (
        Picture(name, svg, Said(naming(figure.alt), "answer", answer.identity), *size_of(svg))
        for name, figure in (("guess-sheet", empty), ("guess-shown", shown))
        for svg in (picture(figure, *PAD, naming=naming),)
    )
    unit = CURVE_UNITS.get(sheet.unit, sheet.unit)
    sentence = Said(naming(f"{answer.edge}: {answer.sentence}"), "answer", answer.identity)
    return Guess(answer.edge, unit, *drawn_both, sentence)


# --- Slide it yourself -------------------------------------------------------------------------------


class _Change(NamedTuple):
    """What is supposed, the lines that people would have entered, and the treated arm it is for (None: all).

    `ev` is how far that arm is moved.
    """

    kind: str
    words: str
    acts: list[Event]
    arm: str | None = None
    ev: float = 0.0


def _slid(room: Room, compared: Sequence[Answer], naming: Naming) -> Iterator[Slid]:
    """Every comparison with each change; one change is made at all edges at once, and asked of all."""
    seen = room.seen()
    aliases = seen.aliases.arms if seen.aliases else {}
    true = seen.open or seen
    nothing = _Change("as-it-is", words.TEXTS["as-measured"], [])
    found = [(nothing, one) for one in compared]
    for change in (*_along_energy(true), *_without(true)):
        arm = change.arm and aliases.get(change.arm, change.arm)
        answers = _supposed(room.session, seen, change.acts)
        found += [(change, one) for one in answers if arm in (None, *one.detail.get("treated", ()))]
    places = [(one.edge, one.detail["treated"][0]) for one in compared]
    several = len({arm for _, arm in places}) > 1
    for edge, arm in places:
        here = [
            (change, one) for change, one in found if one.edge == edge and one.detail.get("treated") == [arm]
        ]
        here.sort(key=lambda each: (each[0].kind == "without", each[0].ev))
        title = f"{edge}: {naming(f'{{arm:{arm}}}')}" if several else edge
        yield Slid(Said(title, "text", edge), tuple(_tried(seen, *each, naming) for each in here))


def _supposed(session: Session, seen: Known, acts: Sequence[Event]) -> list[Answer]:
    """What "real" answers had these things been done too, under the names that the room sees."""
    apart, then = session.supposing(seen, acts)
    if seen.aliases:
        then = apart.veiled(then, seen.aliases.lot)
    try:
        return drawn(answer_known(apart, then, "real"))
    except Refusal:  # with too little left there is nothing to compare
        return []


def _tried(seen: Known, change: _Change, answer: Answer, naming: Naming) -> Tried:
    whole = told_of_answer(replace(answer, figure=curves_and_ladder(answer.figure)), naming, PHONE)
    small = whole.picture and replace(whole.picture, tables=())
    said = Said(naming(_hushed(seen, change.words)), "text", answer.edge or "")
    return Tried(change.kind, said, replace(whole, picture=small))


def _without(known: Known) -> Iterator[_Change]:
    """Each unit, or each pair where every unit has one: half a pair would leave none."""
    units = known.experiment.units
    paired = bool(units) and all(unit.pair for unit in units)
    groups: dict[str, list[str]] = {}
    for unit in units:
        groups.setdefault(unit.pair if paired else unit.name, []).append(unit.name)
    for names in list(groups.values())[:MOST_WITHOUT]:
        scans = [scan for scan in _scans(known) if scan.place.unit in names]
        if scans:
            acts = [
                _event("judge", {"scan": (s.regions or (s.key,))[0], "verdict": "set-aside"}) for s in scans
            ]
            said = words.left_out([f"{{unit:{name}}}" for name in names])
            yield _Change("without", said, acts)


def _along_energy(known: Known) -> Iterator[_Change]:
    """Each treated arm, moved as a whole."""
    for arm in known.experiment.arms:
        if arm == known.experiment.control:
            continue
        scans = [scan for scan in _scans(known) if scan.place.arm == arm.name]
        for ev in SLIDES_EV if scans else ():
            acts = [_event("tie", _moved(scan, ev)) for scan in scans]
            yield _Change("energy", words.slid(f"{{arm:{arm.name}}}", ev), acts, arm.name, ev)


def _moved(scan: Scan, ev: float) -> dict:
    """A tie that lies so much beside the one that holds."""
    tie = scan.tie
    shift, sigma, source = (tie.shift_ev, tie.sigma_ev, tie.source) if tie else (0.0, 0.0, "supposed")
    said = {"shift_ev": shift + ev, "sigma_ev": sigma, "source": source}
    return {**said, "scans": [scan.key], "edge": None}


def _hushed(seen: Known, text: str) -> str:
    """Tokens of true names turned into those of the room."""
    if not seen.aliases:
        return text
    for kind, names in (("unit", seen.aliases.units), ("arm", seen.aliases.arms)):
        for name, alias in names.items():
            text = text.replace(f"{{{kind}:{name}}}", f"{{{kind}:{alias}}}")
    return text


def _scans(known: Known) -> list[Scan]:
    return [scan for edge, group in known.scans.items() if edge != NO_EDGE for scan in group]


def _event(kind: str, payload: dict) -> Event:
    return Event(0, "", kind, "host", "supposed", payload)


# --- The day, rewound --------------------------------------------------------------------------------


def _rewound(room: Room) -> Iterator[Rewound]:
    """The moments that matter, each with the six answers of then."""
    (whole,) = (panel for panel in day_of_the_book(room).panels if isinstance(panel, DayLine))
    for one in chosen(moments_of_day(room)):
        naming = room.naming(one.known)
        answers = {q: found for q, found in room.all_answers(one.known).items() if found is not None}
        six = tuple(
            Station(s.question, s.state, Said(naming(s.words), "answer", _identity(answers.get(s.question))))
            for s in stations(answers)
        )
        key = ", ".join(map(str, one.lines[:3]))
        own = Said(naming(one.own), "group", key) if one.own else None
        at = clock(moment(one.time), whole.offset_min)
        said = words.scanned(one.words) if one.kind == "scans" else one.words
        yield Rewound(at, Said(naming(said), "book", key), own, six, *_days(whole, one, naming))


def _identity(found: list[Answer] | Refusal | None) -> str:
    return found[-1].identity if isinstance(found, list) and found else ""


def _days(whole: DayLine, one: StoryMoment, naming: Naming) -> Iterator[Picture]:
    """The day up to this moment on the ruler of the whole, wide and for a phone."""
    happened = [each for each in whole.moments if moment(each.start) <= moment(one.time)]
    figure = day_line(happened, one.time, begin=whole.begin, live=whole.now, offset_min=whole.offset_min)
    for size in DAYS:
        svg = picture(figure, *size, naming=naming)
        name = f"day-{one.lines[0]}-{size[0]}"
        yield Picture(name, svg, Said(naming(figure.alt), "book", str(one.lines[0])), *size_of(svg))


def chosen(moments: Sequence[StoryMoment], most: int = MOST_MOMENTS) -> list[StoryMoment]:
    """At most so many, in order: what people did before what a tool did, and scans spread over the day.

    The last moment is always among them.
    """
    if len(moments) <= most:
        return list(moments)
    scans = [at for at, one in enumerate(moments) if one.kind == "scans"]
    acts = [at for at, one in enumerate(moments) if one.kind != "scans" and at != len(moments) - 1]
    acts.sort(key=lambda at: (KINDS.index(moments[at].kind), -at))
    kept = {len(moments) - 1, *acts[: max(0, most // 2)]}
    kept |= set(_spread([at for at in scans if at not in kept], most - len(kept)))
    kept |= set(acts[: most - len(kept)])
    return [one for at, one in enumerate(moments) if at in kept]


def _spread(places: Sequence[int], number: int) -> Iterable[int]:
    """So many of them, evenly."""
    if number <= 0 or not places:
        return ()
    step = max(1.0, len(places) / number)
    return (places[int(step * nth)] for nth in range(min(number, len(places))))
