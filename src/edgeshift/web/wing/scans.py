"""One scan opened with all that can be decided about it, and the host's own look at any view."""

from __future__ import annotations

import json
from typing import Any

from markupsafe import Markup
from pydantic import Field
from starlette.responses import Response

from edgeshift.actions.clock import offset_min
from edgeshift.actions.opening import ScanSeen, scan_seen, scans_seen
from edgeshift.actions.staging import Staged, staged
from edgeshift.drawing import picture as drawn_picture
from edgeshift.figures import here
from edgeshift.records.event import VERDICTS_OF_A_PERSON
from edgeshift.records.room import View
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.fragments import address, day_line, drawn, picture, spoken, strip, then
from edgeshift.web.pages import drawing, page, say_of, theme_of
from edgeshift.web.wanted import Wanted
from edgeshift.web.wing.view import DAY, STRIP, WIDTH, Clock, plain_view, thumbnail, view_json, view_words
from edgeshift.wording.here import element_with_number, suspect_line
from edgeshift.wording.names import Naming

PICTURE = (1100, 400)


class OneScan(Body):
    """Which scan."""

    scan: str = Field(max_length=300)


def scan(call: Call) -> Response:
    """A scan: its trace, what is said of it, and the forms of every judgement."""
    room = call.house.room
    one, now, known = scan_seen(room, call.query.scan), staged(room, say=say_of(call)), room.seen()
    told = Clock(offset_min(known.experiment))
    trace = (
        drawn_picture(one.figure, *PICTURE, theme_of(call), naming=now.naming)
        if one.trace["energy_ev"]
        else ""
    )
    tie = next((s.tie for group in known.scans.values() for s in group if s.key == one.key), None)
    keys = [key for key, each in scans_seen(room).items() if each.edge == one.edge]
    place = keys.index(one.key)
    return page(
        call,
        "wing/scan.html",
        strip=strip(call, now, WIDTH, STRIP, "/wing/look"),
        one=one,
        trace=drawing(trace),
        suspects=_suspects(call, now.naming),
        started=told(one.started) if one.started else "",
        reasons=[now.naming(each["sentence"]) for each in one.said["reasons"]],
        verdicts=VERDICTS_OF_A_PERSON,
        specimens=[each.name for each in known.experiment.specimens],
        this_scan=json.dumps([one.key]),
        tie=tie,
        veiled=known.aliases is not None,
        before=keys[place - 1] if place else None,
        following=keys[place + 1] if place + 1 < len(keys) else None,
    )


def look(call: Call) -> Response:
    """Any view, for the host alone, with every scan to be opened and a key that shows it to the room."""
    room = call.house.room
    now = staged(room, call.query.view, call.query.until, say_of(call), for_host=True)
    shown = room.seen().state.shown
    scans = scans_seen(room, call.query.until)
    by_edge: dict[str, list[dict[str, Any]]] = {}
    for one in scans.values():
        by_edge.setdefault(one.edge or "", []).append(_small(call, one, now.naming))
    return page(
        call,
        "wing/look.html",
        shown=now,
        strip=strip(call, now, WIDTH, STRIP, "/wing/look"),
        then=then(call, now),
        now=address("/wing/look", now.view),
        sentence=spoken(now.sentence, now.naming),
        picture=picture(call, now, *PICTURE).drawing,
        trace=_to_point_at(call, now),
        suspects=_suspects(call, now.naming, call.query.until),
        edges=[(edge, address("/wing/look", View(now.view.question, edge), now.until)) for edge in now.edges],
        scans=by_edge if now.view.question == "trust" else {},
        words=view_words(now.view, say_of(call)),
        now_json=view_json(now.view),
        next_json=json.dumps([plain_view(each) for each in shown.next] if shown else []),
        day_line=day_line(call, now, WIDTH, DAY),
    )


def _to_point_at(call: Call, now: Staged) -> Markup:
    """Where elements are asked for, the scan that the line-up is about; empty elsewhere."""
    figure = here.pointed(now.answer) if now.answer and now.view.question == "here" else None
    return drawn(call, ("pointed", now.view, now.until), figure, now, *PICTURE) if figure else Markup("")


def _suspects(call: Call, naming: Naming, until: str | None = None) -> list[dict[str, Any]]:
    """Everybody in every line-up who has a stretch of the spectrum: from where to where, whose, and why."""
    answers = call.house.room.all_answers(until)["here"]
    return [
        {"low": one["window_ev"][0], "high": one["window_ev"][1],
         "words": naming(f"{element_with_number(symbol, told)}: {suspect_line(one)}")}
        for answer in (answers if isinstance(answers, list) else [])
        for symbol, told in answer.detail["elements"].items()
        for one in told["impostors"]
        if one["window_ev"]
    ]  # fmt: skip


def _small(call: Call, one: ScanSeen, naming: Naming) -> dict[str, Any]:
    reasons = one.said["reasons"]
    return {
        "scan": one,
        "picture": drawing(thumbnail(call, one, 72, 40)),
        "why": naming(reasons[0]["sentence"]) if reasons else "",
    }


DOORS = (
    Door("GET", "/wing/scan", "host", scan, "One scan, opened.", OneScan, kind="page"),
    Door("GET", "/wing/look", "host", look, "The host's own look at any view.", Wanted, kind="page"),
)
