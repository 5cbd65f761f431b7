"""Looks at the units: taken when one is due, entered in the book, and what each saw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from edgeshift.actions.session import Known, Session
from edgeshift.errors import FolderRefused
from edgeshift.questions import real, trust
from edgeshift.records.answer import Answer
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.event import PEOPLE, Event
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import Judgement


def kept_sets(session: Session, known: Known) -> dict[str, EdgeSet]:
    """Every known edge, reduced without the scans that the tool or people set aside."""
    aside = trust.set_aside
    return session.of(known)(("kept",), lambda: session.edge_sets(known, aside(trusted(session, known))))


def trusted(session: Session, known: Known) -> Answer:
    """What `trust` says of everything; `known` is one that the session remembers."""
    return session.of(known)(("trusted",), lambda: _trusted(session, known))


def _trusted(session: Session, known: Known) -> Answer:
    return trust.answer(known.state, known.experiment, session.flagged(known), remembered=session.memory)


def look(session: Session, known: Known) -> Known:
    """Enter every look that is due in the book; what is known then.

    A rewound question takes no look, and on a disk that cannot be written none is taken either. The book
    holds every look by its true names, also where it is taken from behind a curtain.
    """
    if known.state.until is not None or not session.folder.writable:
        return known
    due = real.due(kept_sets(session, known), known.experiment, known.state)
    if not due:
        return known
    waiting = [known.aliases.open_look(each.payload) if known.aliases else each.payload for each in due]

    def decide(newer: tuple[Event, ...]) -> list[Event]:
        """Somebody else may have taken the same look in the meantime."""
        taken = {(e.payload.get("edge"), e.payload.get("treated")) for e in newer if e.kind == "look"}
        fresh = [each for each in waiting if (each["edge"], each["treated"]) not in taken]
        return [Event(0, session.now(), "look", "tool", "", each) for each in fresh]

    try:
        session.folder.append_from(decide, after=session.read_up_to)
    except FolderRefused:
        return known
    return look(session, session.now_as(known))


def standings(session: Session, known: Known, sets: Mapping[str, EdgeSet]) -> real.Standings:
    """How every edge and treated arm stands with its looks, each with the edge as of its last one."""
    live = known.state.until is None
    unwritten = {(one.edge, one.treated) for one in real.due(sets, known.experiment, known.state) if live}
    treated = real.treated_in(known.experiment)
    return {
        edge: {arm: _standing(session, known, edge_set, arm, (edge, arm) in unwritten) for arm in treated}
        for edge, edge_set in sets.items()
    }


def _standing(session: Session, known: Known, edge_set: EdgeSet, arm: str, unwritten: bool) -> real.Standing:
    looks = real.looks_in(known.state.looks, edge_set.edge, arm, real.treated_in(known.experiment))
    if not looks:
        return real.Standing((), unwritten=unwritten)
    then = _then(session, known, edge_set.edge, looks[-1].arrivals)
    scans = then.scans.get(edge_set.edge, ())
    sight = edge_set if then is known else _sight(session, then, edge_set.edge)
    return real.Standing(looks, sight, _acts_since(looks[-1], known, scans), unwritten)


def _then(session: Session, known: Known, edge: str, number: int) -> Known:
    """What is known without the scans of an edge that came after this line of the book; at best the same.

    A scan of several files of which only some had come is read anew from those.
    """
    arrivals = known.state.arrivals
    here = known.scans[edge]
    came = [[arrivals[key].number <= number for key in scan.regions or (scan.key,)] for scan in here]
    if all(all(files) for files in came):
        return known
    if any(any(files) and not all(files) for files in came):
        return session.as_of(known, number)
    return replace(known, scans={edge: tuple(s for s, files in zip(here, came, strict=True) if all(files))})


def _sight(session: Session, then: Known, edge: str) -> EdgeSet:
    """The edge reduced from these scans alone, as if nothing had come since."""
    scans = then.scans.get(edge, ())
    judged = tuple(_verdict(then.state.judgements.get(scan.key)) for scan in scans)
    key = ("sight", edge, tuple(map(id, scans)), judged, id(then.experiment))
    alone = replace(then, scans={edge: scans})

    def made() -> EdgeSet:
        return session.edge_sets(alone, trust.set_aside(_trusted(session, alone)))[edge]

    return session.once(key, made)


def _verdict(judgement: Judgement | None) -> str | None:
    return judgement and judgement.verdict


def _acts_since(look: real.Look, known: Known, scans: tuple[Scan, ...]) -> int:
    """How many decisions of people since the look bear on what it saw."""
    seen = {key for scan in scans for key in (scan.key, *scan.regions)}
    later = [e for e in known.state.events[::-1] if e.number > look.number and e.role in PEOPLE]
    return sum(_bears(event, look.edge, seen) for event in later)


def _bears(event: Event, edge: str, seen: set[str]) -> bool:
    told = event.payload
    if event.kind in ("judge", "place"):
        return told["scan"] in seen
    if event.kind == "tie":
        return told.get("edge") == edge or bool(seen & set(told.get("scans") or ()))
    return event.kind == "experiment" or (event.kind == "declare" and told["edge"] == edge)
