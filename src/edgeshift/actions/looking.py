"""Looks at the units: taken when one is due, entered in the book, and what each saw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from edgeshift.actions.session import Known, Session
from edgeshift.errors import FolderRefused
from edgeshift.questions import real, trust
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.event import PEOPLE, Event
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import Judgement


def set_aside(session: Session, known: Known) -> frozenset[str]:
    """Keys of the scans not to be used, by the tool's judgement and people's."""
    flagged = session.flagged(known)
    return trust.set_aside(trust.answer(known.state, known.experiment, flagged, remembered=session.memory))


def kept_sets(session: Session, known: Known) -> dict[str, EdgeSet]:
    """Every known edge, reduced without the scans set aside."""
    return session.edge_sets(known, set_aside(session, known))


def look(session: Session, known: Known) -> Known:
    """Enter every look that is due in the book; what is known then.

    A rewound question takes no look, and on a disk that cannot be written none is taken either.
    """
    if known.state.until is not None or not session.folder.writable:
        return known
    waiting = real.due(kept_sets(session, known), known.experiment, known.state)
    if not waiting:
        return known

    def decide(newer: tuple[Event, ...]) -> list[Event]:
        """Somebody else may have taken the same look in the meantime."""
        taken = {(e.payload.get("edge"), e.payload.get("treated")) for e in newer if e.kind == "look"}
        fresh = [each for each in waiting if (each.edge, each.treated) not in taken]
        return [Event(0, session.now(), "look", "tool", "", each.payload) for each in fresh]

    try:
        session.folder.append_from(decide, after=session.read_up_to)
    except FolderRefused:
        return known
    return session.known()


def standings(session: Session, known: Known, sets: Mapping[str, EdgeSet]) -> real.Standings:
    """How every edge and treated arm stands with its looks, each with the edge as of its last one."""
    live = known.state.until is None
    unwritten = {(one.edge, one.treated) for one in real.due(sets, known.experiment, known.state) if live}
    treated = [arm.name for arm in known.experiment.arms if arm != known.experiment.control]
    return {
        edge: {arm: _standing(session, known, edge_set, arm, (edge, arm) in unwritten) for arm in treated}
        for edge, edge_set in sets.items()
    }


def _standing(session: Session, known: Known, edge_set: EdgeSet, arm: str, unwritten: bool) -> real.Standing:
    looks = real.looks_in(known.state.looks, edge_set.edge, arm)
    if not looks:
        return real.Standing((), unwritten=unwritten)
    scans = _in_by(looks[-1].arrivals, known, edge_set.edge)
    sight = edge_set
    if len(scans) < len(known.scans[edge_set.edge]):
        sight = _sight(session, known, edge_set.edge, scans)
    return real.Standing(looks, sight, _acts_since(looks[-1], known, scans), unwritten)


def _in_by(number: int, known: Known, edge: str) -> tuple[Scan, ...]:
    """The scans of an edge whose files had all arrived by this line of the book."""
    arrivals = known.state.arrivals
    return tuple(
        scan
        for scan in known.scans[edge]
        if all(arrivals[key].number <= number for key in scan.regions or (scan.key,))
    )


def _sight(session: Session, known: Known, edge: str, scans: tuple[Scan, ...]) -> EdgeSet:
    """The edge reduced from these scans alone, as if nothing had come since, under all present decisions."""
    judged = tuple(_verdict(known.state.judgements.get(scan.key)) for scan in scans)
    key = ("sight", edge, tuple(map(id, scans)), judged, id(known.experiment))
    then = replace(known, scans={edge: scans})
    return session.once(key, lambda: kept_sets(session, then)[edge])


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
