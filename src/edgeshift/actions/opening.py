"""A scan opened: its trace, what was said of it, where it was measured; and every scan that was set aside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from edgeshift.actions.entering import find_scan
from edgeshift.actions.looking import standings
from edgeshift.actions.room import Room
from edgeshift.actions.session import NO_EDGE, Known, comparisons
from edgeshift.errors import NoteRefused
from edgeshift.figures.trust import trace_figure
from edgeshift.questions import real, trust
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Figure
from edgeshift.records.scan import Place
from edgeshift.records.shift_state import Judgement
from edgeshift.wording.names import scan_words


@dataclass(frozen=True)
class ScanSeen:
    """One scan as the room may see it. `said` is its entry of the trust answer, `trace` its numbers."""

    key: str
    edge: str | None
    file: str
    place: Place
    started: str | None
    said: Mapping[str, Any]
    trace: Mapping[str, Any]
    judgement: Judgement | None

    @property
    def name(self) -> str:
        """As people call it: "scan 24"."""
        return scan_words(self.key)

    @property
    def figure(self) -> Figure:
        """Its trace in its band, with every doubted point."""
        return trace_figure(Answer("trust", "all-kept", "", self.edge), self.trace)


@dataclass(frozen=True)
class WithAndWithout:
    """The feature of an edge, with every scan that was set aside and without: value, low, high, in `unit`."""

    edge: str
    words: str
    unit: str
    treated: str
    control: str
    with_them: tuple[float, float | None, float | None]
    without: tuple[float, float | None, float | None]


def scans_seen(room: Room, until: str | None = None) -> dict[str, ScanSeen]:
    """Every scan by its key, in the order in which they came."""

    def made() -> dict[str, ScanSeen]:
        known = room.seen(until)
        found = room.all_answers(until)["trust"]
        if not isinstance(found, list):
            return {}
        said = {each["scan"]: each for each in found[0].detail["scans"].values() if not each.get("copy_of")}
        passes = [each for group in room.session.flagged(known).values() for each in group]
        opened = {each.scan.key: _seen(each, said[each.scan.key], known) for each in passes}
        order = list(known.state.arrivals)
        return dict(sorted(opened.items(), key=lambda item: order.index(item[0])))

    return room.view(("scans", until), made)


def scan_seen(room: Room, said: str) -> ScanSeen:
    """The scan that somebody means; one of several regions is the scan that was joined from it."""
    known = room.seen()
    key, every = find_scan(known.state, said), scans_seen(room)
    whole = next((s.key for group in known.scans.values() for s in group if key in (s.key, *s.regions)), None)
    if whole not in every:
        raise NoteRefused(scan_words(key), "a scan that can be drawn", "none", "Open another one.")
    return every[whole]


def with_and_without(room: Room, until: str | None = None) -> list[WithAndWithout]:
    """For every edge with scans set aside and a feature: the result with them, and without as it is said."""

    def made() -> list[WithAndWithout]:
        found = room.all_answers(until)["real"]
        if not isinstance(found, list):
            return []
        known = room.seen(until)
        aside = {one.edge for one in scans_seen(room, until).values() if one.said["verdict"] == "set-aside"}
        without = {(a.edge, *a.detail["treated"]): a for a in found if a.edge in aside and _has(a)}
        both = [(without[name], a) for a in _with_all(room, known) if _has(a)
                for name in [(a.edge, *a.detail["treated"])] if name in without]  # fmt: skip
        return [_both(one, other) for one, other in both]

    return room.view(("with and without", until), made)


def _with_all(room: Room, known: Known) -> list[Answer]:
    """The same question, asked of every scan: nothing is entered, and nobody has looked at a new unit."""
    session = room.session
    sets = session.edge_sets(known, frozenset())
    compared = comparisons(session, known, tuple(sets))
    stand = standings(session, known, sets)
    return real.answers(sets, known.experiment, compared, session.memory, stand)


def _has(answer: Answer) -> bool:
    return bool(answer.edge and answer.edge != NO_EDGE and answer.detail.get("feature"))


def _both(without: Answer, with_them: Answer) -> WithAndWithout:
    feature, detail = without.detail["feature"], without.detail
    return WithAndWithout(
        without.edge,
        feature["words"],
        feature["unit"],
        detail["treated"][0],
        detail["control"],
        *((f["difference"], f["low"], f["high"]) for f in (with_them.detail["feature"], feature)),
    )


def _seen(each, said: Mapping[str, Any], known: Known) -> ScanSeen:
    scan = each.scan
    judged = known.state.judgements.get(scan.key)
    return ScanSeen(scan.key, scan.edge, scan.file, scan.place, scan.started, said, trust.trace(each), judged)
