"""The Wing itself: everything that a host keeps an eye on while talking."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from typing import Any

import segno
from markupsafe import Markup
from starlette.responses import Response

from edgeshift.actions.ballots import count_votes
from edgeshift.actions.clock import by_day, offset_min
from edgeshift.actions.opening import ScanSeen, scans_seen, with_and_without
from edgeshift.actions.session import NO_EDGE, Known
from edgeshift.actions.staging import Staged, staged
from edgeshift.actions.worrying import worries_of
from edgeshift.drawing.small import (
    Range,
    card_back,
    curtain_icon,
    minutes_bar,
    ranges_on_one_ruler,
    trace_thumbnail,
)
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.room import SLOTS, Round, View
from edgeshift.records.shift_state import moment
from edgeshift.records.worry import Worry
from edgeshift.web.door import Call, Door
from edgeshift.web.fragments import address, day_line, strip
from edgeshift.web.pages import drawing, page, say_of, theme_of
from edgeshift.wording.day import clock
from edgeshift.wording.here import element_with_number, suspect_line
from edgeshift.wording.names import scan_words
from edgeshift.wording.numbers import with_give_or_take
from edgeshift.wording.screen import Say

WIDTH, STRIP, DAY = 1440, 68, 130
"""Pixels of the sheet, its strip and its day line."""
MOST_NOTES, MOST_CARDS, MOST_SUSPECTED, MOST_SHY = 6, 5, 6, 5


def wing(call: Call) -> Response:
    """The Wing of this moment."""
    room = call.house.room
    now, known = staged(room, say=say_of(call)), room.seen()
    told = clock_of(known)
    return page(
        call,
        "wing/wing.html",
        shown=now,
        strip=strip(call, now, WIDTH, STRIP, "/wing/look"),
        worries=_worries(call, now, told),
        curtain=_curtain(call, known, told),
        moves=_moves(known, now, say_of(call)),
        cards=_cards(call, known, told),
        sketches=_sketches(known, say_of(call)),
        notes=[(told(each.time), each.payload["text"]) for each in known.state.notes[-MOST_NOTES:]],
        home=_home(known),
        shy=_shy(known, told),
        files=_files(call),
        impostors=_impostors(call, now),
        join=_join(call),
        shelf=_shelf(call, now),
        results=_results(call, now),
        day_line=day_line(call, now, WIDTH, DAY),
    )


def _home(known: Known) -> list[tuple[str, str, int | None]]:
    """Each slot of what goes home: its key, the words that stand in it, and their line of the book."""
    last = {one.slot: one for one in known.state.words}
    return [
        (slot, last[slot].text, last[slot].number) if slot in last else (slot, "", None) for slot in SLOTS
    ]


@dataclass(frozen=True)
class Clock:
    """Times as the room's own clock says them; `by_day` leads from a time of the book to one of the day."""

    offset_min: int
    by_day: Callable[[str], str] = str

    def __call__(self, time: str) -> str:
        """As 14:40."""
        return clock(moment(self.by_day(time)), self.offset_min)


def clock_of(known: Known) -> Clock:
    """The clock of what the book tells."""
    return Clock(offset_min(known.experiment), by_day(known))


@dataclass(frozen=True)
class WorryShown:
    """A worry, ready to be written."""

    worry: Worry
    sentence: str
    why: str
    picture: Markup
    look: str
    minutes: str
    decided: str


def _worries(call: Call, now: Staged, told: Clock) -> dict[str, Any]:
    room, naming, say = call.house.room, now.naming, say_of(call)
    found, scans = worries_of(room), scans_seen(room)
    decided = {each.card: told(each.time) for each in room.seen().state.decisions}

    def shown(worry: Worry) -> WorryShown:
        opened = scans.get(worry.scan)
        look = f"/wing/scan?scan={worry.scan}" if opened else address("/wing/look", worry.look)
        minutes = say("minutes", minutes=worry.act.minutes) if worry.act else ""
        done = decided.get(worry.act.decision, "") if worry.act else ""
        picture = drawing(thumbnail(call, opened)) if opened else Markup("")
        return WorryShown(worry, naming(worry.sentence), naming(worry.why), picture, look, minutes, done)

    accepted = [(naming(worry.sentence), worry.key, why) for worry, why in found.accepted]
    return {"open": list(map(shown, found.open)), "more": found.more, "accepted": accepted}


def thumbnail(call: Call, scan: ScanSeen, width: int = 96, height: int = 56) -> str:
    """The trace of a scan, small, its hurt in plum."""
    reasons = scan.said["reasons"]
    short = reasons[0]["code"] if reasons else ""
    return trace_thumbnail(scan.trace, theme_of(call), width, height, short)


def _curtain(call: Call, known: Known, told: Clock) -> dict[str, Any]:
    last = next((e for e in reversed(known.state.events) if e.kind == "curtain"), None)
    drawn = known.state.curtain is not None
    since = say_of(call)("since", time=told(last.time)) if last else ""
    return {"drawn": drawn, "since": since, "icon": drawing(curtain_icon(drawn, theme_of(call)))}


def _moves(known: Known, now: Staged, say: Say) -> dict[str, Any]:
    """What is shown, what comes next, and whatever could be chosen, as JSON that an act takes."""
    shown = known.state.shown
    coming = list(shown.next) if shown else []
    edges = [edge for edge in known.scans if edge != NO_EDGE]
    narrowed = [View(question, edge) for question in ("trust", "real") for edge in edges]
    return {
        "now": view_json(now.view),
        "coming": [(name, view_words(view, say), view_json(view)) for name, view in _in_turn(coming)],
        "rest": json.dumps([plain_view(view) for view in coming[1:]]),
        "choices": [(view_json(v), view_words(v, say)) for v in (*map(View, QUESTIONS), *narrowed)],
        "questions": [(view_json(View(q)), say(f"question.{q}")) for q in QUESTIONS],
    }


def _in_turn(coming: list[View]) -> Iterator[tuple[str, View | None]]:
    for place, name in enumerate(("next", "then", "after")):
        yield name, coming[place] if place < len(coming) else None


def plain_view(view: View) -> dict[str, Any]:
    """A view as an act takes it, without what it does not narrow."""
    return {name: value for name, value in asdict(view).items() if value is not None}


def view_json(view: View | None) -> str:
    """The same as JSON; empty where there is no view."""
    return json.dumps(plain_view(view)) if view else ""


def view_words(view: View | None, say: Say) -> str:
    """What a view is called, as "Is the difference real? Al K"."""
    if view is None:
        return ""
    asked = say(f"question.{view.question}")
    two = " / ".join(map(scan_words, view.compare)) if view.compare else ""
    return " ".join(part for part in (asked, view.edge, two) if part)


def _cards(call: Call, known: Known, told: Clock) -> dict[str, Any]:
    """The last vote: none yet, open (nobody sees a count), or closed with its result and what was decided."""
    votes = [each for each in known.state.rounds.values() if each.sort == "vote"]
    theme = theme_of(call)
    back = drawing(card_back(theme))
    decided = [(told(each.time), each) for each in known.state.decisions]
    if not votes:
        return {"state": "none", "backs": [back] * 4, "decided": decided}
    there = votes[-1]
    common = {"round": there, "decided": decided, "voted": _voted(there, say_of(call))}
    if there.is_open:
        return {"state": "open", **common, "faces": _faces(call, there, {})}
    return {"state": "closed", **common, "faces": _faces(call, there, count_votes(known.state, there.name))}


def _sketches(known: Known, say: Say) -> dict[str, Any]:
    """The open round of sketches with how many are in, or what the next could be about."""
    there = next((r for r in known.state.rounds.values() if r.is_open and r.sort == "guess"), None)
    told = say.several("sketches-in", len(there.guesses)) if there else ""
    planned = [plan.edge for plan in known.experiment.edges]
    edges = list(dict.fromkeys([*planned, *(edge for edge in known.scans if edge != NO_EDGE)]))
    specimens = [one.name for one in known.experiment.specimens if one.kind == "specimen"]
    return {"open": there, "told": told, "edges": edges, "specimens": specimens}


def _voted(there: Round, say: Say) -> str:
    number = len(there.votes)
    return say("voted", count=say.count(number).capitalize()) if number else say("nobody-voted")


def _faces(call: Call, there: Round, counts: dict[str, int]) -> list[dict[str, Any]]:
    """Cards in the order of the lot; what they would gain is told with the result, never before."""
    most, say, theme = max(card.minutes for card in there.cards), say_of(call), theme_of(call)
    return [
        {
            "card": card,
            "minutes": say("minutes", minutes=card.minutes),
            "bar": drawing(minutes_bar(card.minutes, most, theme)),
            "votes": say("votes", count=say.count(counts[card.title])) if counts else "",
            "gain": say("predicted", percent=100 * card.predicted_ratio)
            if counts and card.predicted_ratio is not None
            else "",
        }
        for card in there.cards
    ]


def _shy(known: Known, told: Clock) -> dict[str, Any]:
    """The newest questions that wait, newest first, and how many more: guests push no tool away."""
    waiting = [(told(each.time), each) for each in known.state.shy if not each.heard]
    return {"newest": waiting[: -MOST_SHY - 1 : -1], "more": max(0, len(waiting) - MOST_SHY)}


def _files(call: Call) -> dict[str, Any]:
    """Files that grow and files that could not be taken, as the room may see them."""
    room, say = call.house.room, say_of(call)
    return {
        "running": [(r.name, say("bytes", kilobytes=r.size / 1000)) for r in room.running_seen],
        "refused": [(one.name, one.sentence) for one in room.refused_seen],
    }


def _impostors(call: Call, now: Staged) -> list[tuple[str, list[str]]] | None:
    """Who else each element could be, those asked for first; None: not yet."""
    answers = call.house.room.all_answers()["here"]
    if not isinstance(answers, list):
        return None
    elements = [
        pair for answer in answers for pair in answer.detail["elements"].items() if pair[1]["impostors"]
    ]
    elements.sort(key=lambda pair: (not pair[1]["asked"], pair[1]["at_ev"]))
    return [
        (
            now.naming(element_with_number(*pair)),
            [now.naming(suspect_line(each)) for each in pair[1]["impostors"]],
        )
        for pair in elements[:MOST_SUSPECTED]
    ]


def _join(call: Call) -> dict[str, Any] | None:
    """The code, and the same as a picture for a phone's camera."""
    house = call.house
    others = [a for a in house.addresses if "127.0.0.1" not in a and "localhost" not in a]
    if not house.lan or not others:
        return None
    code = house.doors.join_code
    picture = segno.make(f"{others[0]}/join?code={code}", error="m").svg_inline(
        scale=4, border=3, dark="#14201F", light="#F8FAF7"
    )
    return {"code": code, "address": others[0], "picture": drawing(picture)}


def _shelf(call: Call, now: Staged) -> list[dict[str, Any]]:
    """Every scan that is set aside, with its hurt and why."""
    aside = [one for one in scans_seen(call.house.room).values() if one.said["verdict"] == "set-aside"]
    return [
        {
            "scan": one,
            "picture": drawing(thumbnail(call, one, 168, 60)),
            "title": ", ".join(p for p in (one.name, one.place.specimen, one.edge) if p),
            "why": now.naming(one.said["reasons"][0]["sentence"]),
        }
        for one in aside
    ]


def _results(call: Call, now: Staged) -> list[dict[str, Any]]:
    """The result of what is shown, else of the first edge with scans set aside: with them and without."""
    say = say_of(call)
    found = with_and_without(call.house.room)
    found = sorted(found, key=lambda one: one.edge != now.view.edge)[:1]
    shown = []
    for one in found:
        unit = None if one.unit == "ratio" else one.unit
        rows = [
            Range(say(name), *numbers, bold=name == "without")
            for name, numbers in (("with-them", one.with_them), ("without", one.without))
        ]
        arms = {name: now.naming(f"{{arm:{getattr(one, name)}}}") for name in ("treated", "control")}
        ruler = ranges_on_one_ruler(rows, unit or one.words, theme_of(call))
        said = [say("range", words=row.words, value=_read(row, unit)) for row in rows]
        title = say("difference-of", edge=one.edge, words=one.words, **arms)
        shown.append({"title": title, "picture": drawing(ruler), "said": said})
    return shown


def _read(row: Range, unit: str | None) -> str:
    half = None if row.low is None or row.high is None else (row.high - row.low) / 2
    return with_give_or_take(row.value, half, unit)


def cards(call: Call) -> Response:
    """Where the host writes the cards of a vote."""
    return page(call, "wing/cards.html", numbers=range(1, MOST_CARDS + 1))


DOORS = (
    Door("GET", "/wing", "host", wing, "The Wing.", kind="page"),
    Door("GET", "/wing/cards", "host", cards, "Where the cards of a vote are written.", kind="page"),
)
