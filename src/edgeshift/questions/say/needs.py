"""What each claim level asks for, need by need: which answer meets it, with what number, and what would."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

from edgeshift.questions.say.grounds import Grounds, element_of, treated_of
from edgeshift.records.answer import Answer
from edgeshift.records.room import Claim
from edgeshift.wording import say as words

State = Literal["met", "not-met", "cannot-tell", "not-asked"]
FEWEST_UNITS = 3
"""Claim level 3 asks for at least so many units in each arm (our rule; fewer rarely show anything)."""
FEWEST_REFERENCES = 2
"""A change from A to B needs both of them measured."""
STATE_OF_RUNG: Mapping[str, State] = {"lit": "met", "not-shown": "not-met", "cannot-test": "cannot-tell"}


@dataclass(frozen=True)
class Need:
    """One thing that a level asks for. `question` and `edge` name the answer that tells; `act` is what would
    help, where it is not met. A `design` need counts what was made rather than reads what was measured.
    """

    code: str
    state: State
    what: str
    question: str | None = None
    edge: str | None = None
    value: float | None = None
    uncertainty: float | None = None
    unit: str | None = None
    act: str = ""
    design: bool = False


def measured(claim: Claim, grounds: Grounds) -> Iterator[Need]:
    """Level 0: a scan that may be trusted."""
    state: State = "met" if grounds.kept else "not-met"
    told = words.kept(grounds.kept, grounds.taken, claim.edge)
    act = "" if grounds.kept else words.scan_once(claim.edge, grounds.taken)
    yield Need("scan-kept", state, told, "trust", claim.edge, float(grounds.kept), None, "scans", act)


def seen(claim: Claim, grounds: Grounds) -> Iterator[Need]:
    """Level 1: the element, by its own edge."""
    if claim.edge is None:
        yield _edge_unnamed()
        return
    element = element_of(claim.edge)
    found = (grounds.here.detail.get("elements") or {}).get(element) if grounds.here else None
    verdict = found["verdict"] if found else "not-seen"
    states: Mapping[str, State] = {"seen": "met", "not-seen": "not-met", "cannot-tell": "cannot-tell"}
    act = "" if verdict == "seen" else words.look_closer(claim.edge)
    yield Need("element-seen", states[verdict], words.element(element, verdict), "here", claim.edge, act=act)


def differ(claim: Claim, grounds: Grounds) -> Iterator[Need]:
    """Level 2: these specimens differ by more than repeats and spots do; at the feature, if it names one."""
    if claim.edge is None:
        yield _edge_unnamed()
        return
    if grounds.real is None or "would_have_shown" not in grounds.detail:
        yield _no_comparison(claim, grounds)
        return
    yield _beyond_spots(grounds.real)
    if claim.feature is not None:
        yield _feature_apart(grounds.real)
    if claim.higher is not None:
        yield _direction(claim, grounds.real)


def units_differ(claim: Claim, grounds: Grounds) -> Iterator[Need]:
    """Level 3: more than other units, and enough of them."""
    if grounds.real is None or "would_have_shown" not in grounds.detail:
        return
    real, detail = grounds.real, grounds.detail
    rung = detail["rungs"]["units"]
    yield _of_rung(real, "units", STATE_OF_RUNG[rung], "units-lit", _act(real, words.MORE_UNITS))
    count, paired = grounds.units, bool(detail["paired"])
    enough = count >= FEWEST_UNITS
    yield Need(
        "three-units",
        "met" if enough else "not-met",
        words.units(count, paired),
        "real",
        real.edge,
        float(count),
        None,
        "pairs" if paired else "units",
        "" if enough else words.measure_units(FEWEST_UNITS - count, paired),
        design=True,
    )


def resembles(claim: Claim, grounds: Grounds) -> Iterator[Need]:
    """Level 4: a change of shares between references that were measured here or lent."""
    if grounds.shares is None:
        yield Need("references", "not-asked", words.NOT_ASKED, "here", claim.edge)
        return
    references = sorted({name for one in grounds.shares for name in one.detail.get("shares") or {}})
    enough = len(references) >= FEWEST_REFERENCES
    yield Need(
        "references",
        "met" if enough else "not-met",
        words.references(len(references)),
        "here",
        claim.edge,
        float(len(references)),
        None,
        "references",
        "" if enough else words.measure_references(claim.edge),
        design=True,
    )
    yield _shares_apart(claim, grounds, references)


def caused(claim: Claim, grounds: Grounds) -> Iterator[Need]:
    """Level 5: a control, a treatment given to each unit on its own, an edge that stayed, arms in turn."""
    if grounds.real is None or "would_have_shown" not in grounds.detail:
        return
    edge, detail = grounds.real.edge, grounds.detail
    named = bool(detail["control_named"])
    yield Need("control", "met" if named else "not-met", words.control(named, detail["control"]), None, edge,
               act="" if named else words.NAME_CONTROL, design=True)  # fmt: skip
    yield _control_edge(grounds)
    turn = not grounds.confounded
    yield Need("in-turn", "met" if turn else "not-met", words.in_turn(turn), "trust", edge,
               act="" if turn else words.measure_in_turn(edge), design=True)  # fmt: skip


def everywhere(claim: Claim, grounds: Grounds) -> Iterator[Need]:
    """Level 6: what no single shift can carry."""
    yield Need("all-such", "not-met", words.ALL_SUCH, act=words.REPEAT_ELSEWHERE, design=True)


class Asks(NamedTuple):
    """A level and what gives its needs."""

    level: int
    needs: Callable[[Claim, Grounds], Iterator[Need]]


ASKS = (
    Asks(0, measured),
    Asks(1, seen),
    Asks(2, differ),
    Asks(3, units_differ),
    Asks(4, resembles),
    Asks(5, caused),
    Asks(6, everywhere),
)


def _edge_unnamed() -> Need:
    return Need("edge", "not-met", words.NO_EDGE, act=words.NAME_EDGE)


def _no_comparison(claim: Claim, grounds: Grounds) -> Need:
    """Why there is nothing to compare: the claim's arms, or what was kept of them."""
    if treated_of(claim, grounds.experiment) is None:
        return Need("two-arms", "cannot-tell", words.NO_TWO_ARMS, "real", claim.edge, act=words.NAME_ARMS)
    act = _act(grounds.real, words.BOTH_ARMS) if grounds.real else words.BOTH_ARMS
    return Need("two-arms", "cannot-tell", words.NOTHING_TO_COMPARE, "real", claim.edge, act=act)


def _beyond_spots(real: Answer) -> Need:
    """More than other spots; more than other units says that too. Repeats alone say it of one spot."""
    rungs = real.detail["rungs"]
    if rungs["units"] == "lit":
        return _of_rung(real, "units", "met", "beyond-spots")
    if rungs["spots"] == "cannot-test" and rungs["scans"] != "not-shown":
        return _of_rung(real, "spots", "cannot-tell", "beyond-spots", words.SECOND_SPOT)
    rung = "scans" if rungs["spots"] == "cannot-test" else "spots"
    act = words.MORE_SCANS if rung == "scans" else words.MORE_SPOTS
    return _of_rung(real, rung, STATE_OF_RUNG[rungs[rung]], "beyond-spots", act)


def _of_rung(real: Answer, rung: str, state: State, code: str, act: str = "") -> Need:
    """A rung of "real" as a need, with the difference that would have shown where none is."""
    shown = real.detail["would_have_shown"].get(rung)
    told = words.rung(rung, real.detail["rungs"][rung], real.detail["rung_words"].get(rung, ""))
    return Need(code, state, told, "real", real.edge, shown, act="" if state == "met" else act)


def _feature_apart(real: Answer) -> Need:
    """The feature's own give-or-take leaves zero."""
    feature = real.detail["feature"]
    if feature is None or feature["low"] is None:
        return Need("feature", "cannot-tell", words.FEATURE_UNREAD, "real", real.edge, act=words.FEATURE_ACT)
    apart = _apart(feature)
    return Need("feature", "met" if apart else "not-met", words.feature(feature["words"], apart), "real",
                real.edge, *_number(feature), "" if apart else _act(real, words.MORE_UNITS))  # fmt: skip


def _direction(claim: Claim, real: Answer) -> Need:
    feature = real.detail["feature"]
    if feature is None or feature["low"] is None:
        return Need("direction", "cannot-tell", words.NO_DIRECTION, "real", real.edge, act=words.DECLARE)
    up = feature["difference"] > 0
    higher = real.detail["treated"][0] if up else real.detail["control"]
    met = _apart(feature) and higher == claim.higher
    told = words.direction(claim.higher, higher == claim.higher, _apart(feature))
    act = "" if met else words.LOOK_AT_SIGN
    return Need("direction", "met" if met else "not-met", told, "real", real.edge, *_number(feature), act)


def _apart(feature: Mapping[str, Any]) -> bool:
    return feature["low"] > 0 or feature["high"] < 0


def _number(feature: Mapping[str, Any]) -> tuple[float, float, str | None]:
    return feature["difference"], (feature["high"] - feature["low"]) / 2, feature["unit"]


def _shares_apart(claim: Claim, grounds: Grounds, references: list[str]) -> Need:
    """Whether the mean interval of some reference's share lies elsewhere in the treated arm."""
    by_arm = _by_arm(claim, grounds)
    if not all(by_arm):
        told, act = words.NO_SHARES, words.ask_shares(claim.edge)
        return Need("resembles", "cannot-tell", told, "here", claim.edge, act=act)
    gaps = {name: _gap(by_arm, name) for name in references}
    name = max(gaps, key=lambda one: gaps[one][1])
    moved, clear = gaps[name]
    met = clear > 0
    act = "" if met else words.ask_shares(claim.edge)
    return Need("resembles", "met" if met else "not-met", words.share_moves(name, met), "here", claim.edge,
                100 * moved, None, "%", act)  # fmt: skip


def _by_arm(claim: Claim, grounds: Grounds) -> tuple[list[Answer], list[Answer]]:
    """The answers about specimens of the control and of the treated arm that can tell their shares."""
    arm_of = {unit.name: unit.arm for unit in grounds.experiment.units}
    unit_of = {one.name: one.unit for one in grounds.experiment.specimens}
    arms = grounds.detail.get("control"), treated_of(claim, grounds.experiment)
    told = [one for one in grounds.shares or () if one.verdict != "cannot-tell"]
    control, treated = (
        [one for one in told if arm_of.get(unit_of.get(one.detail["specimen"])) == arm] for arm in arms
    )
    return control, treated


def _gap(by_arm: tuple[list[Answer], list[Answer]], name: str) -> tuple[float, float]:
    """How far the mean share moves, and how far the arms' mean intervals lie apart (below 0: they meet)."""

    def mean(some: list[Answer], part: str) -> float:
        held = [one.detail["shares"].get(name, {}).get(part, 0.0) for one in some]
        return sum(held) / len(held)

    control, treated = by_arm
    moved = mean(treated, "value") - mean(control, "value")
    up, down = mean(treated, "low") - mean(control, "high"), mean(control, "low") - mean(treated, "high")
    return moved, max(up, down)


def _control_edge(grounds: Grounds) -> Need:
    """An edge that should not move, looked at, and still."""
    edge = grounds.real.edge
    judged = [one for one in grounds.controls if one.detail["rungs"]["units"] in ("lit", "not-shown")]
    moved = [one.edge for one in judged if one.detail["rungs"]["units"] == "lit"]
    stayed = [one.edge for one in judged if one.edge not in moved]
    state: State = "not-met" if moved or not grounds.controls else "met" if stayed else "cannot-tell"
    told = words.control_edge(moved, stayed, [one.edge for one in grounds.controls])
    act = "" if state == "met" else words.control_edge_act(moved, [one.edge for one in grounds.controls])
    where = (moved or stayed or [edge])[0]
    size = next((one.detail["would_have_shown"].get("units") for one in judged if one.edge == where), None)
    return Need("control-edge", state, told, "real", where, size, act=act)


def _act(real: Answer, otherwise: str) -> str:
    """The next act that the answer itself names, else ours."""
    return real.would_change_it[0] if real.would_change_it else otherwise
