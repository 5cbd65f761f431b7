"""What the room expects of the next trace: what phones draw over, and the sketches once it has landed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from edgeshift.actions.looking import kept_sets
from edgeshift.actions.room import Room
from edgeshift.actions.session import Known
from edgeshift.drawing.tokens import OPEN, Looks, curtain_looks
from edgeshift.errors import Refusal
from edgeshift.figures import answering, expected, with_ghosts
from edgeshift.questions import real
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Figure, Numbers, Plot
from edgeshift.records.once import Once
from edgeshift.records.room import Round, View
from edgeshift.records.shift_state import ShiftState
from edgeshift.tables.edges import edge_named

BELOW_EV, ABOVE_EV = 15.0, 45.0
"""How far an empty frame reaches beyond the tabulated edge (our choice, no source)."""
Sketches = Sequence[Sequence[Sequence[float]]]


class GuessSheet(NamedTuple):
    """What a guess is drawn over. Sketches are energies (eV) and heights in `unit`, the curve's own."""

    figure: Figure
    unit: str
    looks: Looks = OPEN


class Landed(NamedTuple):
    """The scan that answered a round of guesses, and the sketches, in `unit`."""

    scan: str
    sketches: Sketches
    unit: str


def open_round(state: ShiftState, sort: str) -> Round | None:
    """The round of this sort that is open, if any."""
    return next((there for there in state.rounds.values() if there.is_open and there.sort == sort), None)


def guess_sheet(room: Room, edge: str, until: str | None = None) -> GuessSheet:
    """The reference of `edge` in its band, else what there is of it, else an empty frame."""
    return room.view(("guess sheet", edge, until), lambda: _sheet(room, edge, until))


def landed(room: Room, edge: str | None, until: str | None = None) -> Landed | None:
    """The guessed trace of `edge`, while it is the last one of its edge that landed."""
    known = room.seen(until)
    scans = known.scans.get(edge or "", ())
    met = {there.met: there for there in known.state.rounds.values() if there.met and there.edge == edge}
    last = next((scan.key for scan in reversed(scans) if scan.key in known.state.arrivals), None)
    if last not in met:
        return None
    round_ = met[last]
    sketches = tuple(guess.points for guess in round_.guesses.values())
    return Landed(last, sketches, guess_sheet(room, edge, round_.opened).unit)


def with_sketches(
    room: Room, answer: Answer, figure: Figure, found: Landed, edge: str, until: str | None
) -> Figure:
    """`figure` of an answer at `edge` with the sketches beneath its curve; as it is where none fits it.

    In place of the shelf stands the trace that was guessed, scaled as the sketches are. A curve in another
    unit than theirs takes none.
    """
    if answer.question == "trust":
        curve = kept_sets(room.session, room.seen(until))[edge].scans.get(found.scan)
        figure = answering(answer, found.scan, curve) if curve is not None else figure
    units = {panel.bar.unit for panel in figure.panels if isinstance(panel, Plot) and panel.bar}
    return with_ghosts(figure, found.sketches) if units == {found.unit} else figure


def _sheet(room: Room, edge: str, until: str | None) -> GuessSheet:
    known = room.seen(until)
    curves = _compared(room, edge, until)
    if not curves:
        return _alone(room, known, edge)
    held = curves["control"]
    curve = _floats(curves["energy_ev"]), _floats(held["value"])
    figure = expected(edge, curves["unit"], _ends(known, edge), curve, _known_band(held), curves["arm"])
    return GuessSheet(figure, curves["unit"], _looks(known, curves["arm"]))


def _compared(room: Room, edge: str, until: str | None) -> dict | None:
    """The reference as the comparison of arms has it, with its band."""
    try:
        found = room.ask(View("real"), until)
    except Refusal:
        return None
    for answer in found:
        if answer.edge == edge and answer.detail.get("curves"):
            return {**answer.detail["curves"], "arm": answer.detail["control"]}
    return None


def _alone(room: Room, known: Known, edge: str) -> GuessSheet:
    """The reference before there is anything to compare it with, or the frame alone."""
    edge_set = kept_sets(room.session, known).get(edge)
    for arm in _references(known) if edge_set else ():
        mean = real.mean_of_arm(edge_set, known.experiment, arm, Once(room.session.memory))
        if mean:
            curve = tuple(mean.energy_ev.tolist()), tuple(mean.value.tolist())
            return GuessSheet(
                expected(edge, mean.unit, _ends(known, edge), curve, None, arm), mean.unit, _looks(known, arm)
            )
    unit = edge_set.spots[0].unit if edge_set and edge_set.spots else _unit_planned(known, edge)
    return GuessSheet(expected(edge, unit, _ends(known, edge)), unit)


def _references(known: Known) -> list[str]:
    """The control; behind the curtain, where there is none to tell, whichever arm was measured."""
    control = known.experiment.control
    return [arm.name for arm in known.experiment.arms] if known.aliases else [control.name] if control else []


def _looks(known: Known, arm: str) -> Looks:
    """How the one curve is drawn: as its arm is everywhere."""
    order = [each.name for each in known.experiment.arms]
    return curtain_looks([order.index(arm)]) if known.aliases else OPEN


def _unit_planned(known: Known, edge: str) -> str:
    method = known.experiment.recipe_for(edge).scale.method
    return "ratio" if method == "none" else method


def _ends(known: Known, edge: str) -> tuple[float, float]:
    scans = known.scans.get(edge, ())
    if scans:
        return min(float(s.energy_ev.min()) for s in scans), max(float(s.energy_ev.max()) for s in scans)
    family = edge_named(edge)
    low, high = (min(e.low_ev for e in family.edges), max(e.high_ev for e in family.edges))
    return low - BELOW_EV, high + ABOVE_EV


def _known_band(curve: dict) -> tuple[Numbers, Numbers] | None:
    low, high = _floats(curve["low"]), _floats(curve["high"])
    return (low, high) if any(value == value for value in low) else None


def _floats(values: Sequence[float | None]) -> Numbers:
    return tuple(float("nan") if value is None else float(value) for value in values)
