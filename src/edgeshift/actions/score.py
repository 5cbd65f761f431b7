"""Open the seal of a practice shift and say what was caught, by the answers and by people."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import Desk
from edgeshift.actions.session import Known, Session
from edgeshift.errors import FolderRefused
from edgeshift.folder.durable import kind_about_disk
from edgeshift.folder.experiment_folder import SEAL
from edgeshift.practice.scoring import (
    Act,
    Call,
    Evidence,
    Found,
    asks_what_is_here,
    false_alarms,
    found_by,
    trap_calls,
    untouched,
)
from edgeshift.practice.seal import check_files, opened
from edgeshift.records.answer import Answer
from edgeshift.records.flags import FLAGS
from edgeshift.records.shift_state import ShiftState
from edgeshift.records.spectrum import Pass


@dataclass(frozen=True)
class Score:
    """Every trap as hit or miss and every false alarm, each with its moment on the day line.

    `clean` is how many scans no trap touched, of those that came; `clean_alarms` how many false alarms are
    about none but those. Of `planned` files `came` are there: where
    that is fewer, the shift was cut short. `edges` is the true feature of each arm by edge.
    """

    scenario: str
    seed: int
    calls: tuple[Call, ...]
    clean: int
    clean_alarms: int
    came: int
    planned: int
    edges: Mapping[str, Any]

    def count(self, outcome: str) -> int:
        """How many hits, misses or false-alarms."""
        return sum(call.outcome == outcome for call in self.calls)


def score(
    path: str | Path, *, desk: Desk, tell: Callable[[int, int], None] = lambda done, whole: None
) -> Score:
    """Score the practice shift at `path`; `tell` hears of each trap.

    Raises FolderRefused where no seal lies, TextRefused where it is broken or another shift's.
    """
    place = Path(path)
    with desk.open(place) as folder:
        told = opened(_seal(place))
        desk.accept_hand_edit(folder)
        session = Session(folder)
        check_files(told, _arrived(session))
        evidence = _evidence(session, told)
        calls, found = [], trap_calls(told, evidence)
        for done, (call, how) in enumerate(found, 1):
            calls.append(_placed(call, how, told, session))
            tell(done, len(found))
        calls += [_dated(call, told) for call in false_alarms(told, evidence)]
    touched = told["scans"].keys() - set(untouched(told))
    alarms = [call for call in calls if call.outcome == "false-alarm" and not touched & set(call.files)]
    return Score(
        told["scenario"],
        told["seed"],
        tuple(calls),
        len(untouched(told, evidence)),
        len(alarms),
        len(evidence.came & told["files"].keys()),
        len(told["files"]),
        told["edges"],
    )


def _seal(place: Path) -> str:
    path = place / SEAL
    if not path.is_file():
        raise FolderRefused(
            str(place), "a practice shift with its seal", f"no {SEAL}", "Score a practice shift."
        )
    with kind_about_disk(path):
        return path.read_text(encoding="ascii", errors="replace")


def _arrived(session: Session) -> dict[str, str]:
    """Every name under which a file came, with the digest of its bytes."""
    arrivals = session.known().state.arrivals.values()
    return {name: a.sha256 for a in arrivals for name in (a.given or a.file, *a.copies)}


def _evidence(
    session: Session, told: Mapping[str, Any], until: str | None = None, here: bool = True
) -> Evidence:
    """Everything that is scored, as it stood at `until`; without `here`, not what is asked of elements."""
    known = session.known(until)
    answers: list[Answer] = list(answer(session, "trust", until=until))
    answers += answer(session, "here", until=until) if here else []
    if len(known.experiment.arms) > 1:
        answers += answer(session, "real", until=until)
    passes = [each for group in session.flagged(known).values() for each in group]
    came = frozenset(name for a in known.state.arrivals.values() for name in (a.given or a.file, *a.copies))
    return Evidence(
        tuple(answers),
        tuple(_acts(known, told)),
        {each.scan.file: _points(each) for each in passes},
        {each.scan.file: (each.scan.place.specimen, each.scan.place.unit) for each in passes},
        came,
    )


def _points(each: Pass) -> tuple[tuple[str, float], ...]:
    """Flagged points of a scan as (code, eV)."""
    return tuple(
        (flag.code, float(at_ev))
        for flag in FLAGS
        for at_ev in each.scan.energy_ev[(each.flags & flag.bit) != 0]
    )


def _acts(known: Known, told: Mapping[str, Any]) -> Iterable[Act]:
    """People's acts that stand, by the files they are about."""
    state = known.state
    for scan, judged in state.judgements.items():
        yield Act("judge", _names(state, [scan]), judged.verdict, None, judged.role, judged.time)
    for event in state.events:
        if event.kind == "place":
            names = _names(state, [event.payload["scan"]])
            true = {told["places"][name][1] for name in names if name in told["places"]}
            right = "right" if event.payload["specimen"] in true else "wrong"
            yield Act("place", names, right, role=event.role, time=event.time)
        if event.kind == "tie":
            payload = event.payload
            scans = payload.get("scans") or [s.key for s in known.scans.get(payload.get("edge"), ())]
            shift_ev = payload["shift_ev"]
            yield Act("tie", _names(state, scans), shift_ev=shift_ev, role=event.role, time=event.time)


def _names(state: ShiftState, scans: Iterable[str]) -> frozenset[str]:
    """Every name under which the bytes of these scans came."""
    arrivals = [state.arrivals[scan] for scan in scans if scan in state.arrivals]
    return frozenset(name for each in arrivals for name in (each.file, each.given, *each.copies))


def _placed(call: Call, found: Found | None, told: Mapping[str, Any], session: Session) -> Call:
    """The call with the moment of the practice day at which it could first be heard.

    The tool's: when the last file of the trap landed, where its answer stood then, else at the day's end.
    A person's: when they entered it, beside the file that had last landed by then.
    """
    if found is None:
        return _dated(call, told)
    state = session.known().state
    if found.time:
        landed = [a.given for a in state.arrivals.values() if a.time <= found.time]
        return replace(call, moment=_moment(told, landed))
    times = [a.time for a in state.arrivals.values() if {a.given, *a.copies} & set(call.files)]
    copies = [e.time for e in state.events if e.kind == "duplicate" and e.payload["file"] in call.files]
    heard = max((*times, *copies), default=None)
    asked_here = asks_what_is_here(told["traps"][call.trap])
    if heard and found_by(told["traps"][call.trap], _evidence(session, told, heard, asked_here)):
        return _dated(call, told)
    return replace(call, moment=_moment(told, told["landed_s"]))


def _dated(call: Call, told: Mapping[str, Any]) -> Call:
    return replace(call, moment=_moment(told, call.files))


def _moment(told: Mapping[str, Any], names: Iterable[str]) -> str:
    """Time of the practice day at which the last of these files landed, as ISO 8601; the end for none."""
    landed = told["landed_s"]
    known = [landed[name] for name in names if name in landed]
    at_s = max(known) if known else max(landed.values())
    return (datetime.fromisoformat(told["begins"]) + timedelta(seconds=at_s)).isoformat(timespec="seconds")
