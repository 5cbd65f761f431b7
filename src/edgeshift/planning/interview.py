"""The design interview as a state machine: answers so far -> the next question, or the finished design.

Each later question depends on the earlier answers, so two designs that differ in one answer may be asked
different things from there on. Nothing is kept: the same answers always lead to the same place.
"""

from __future__ import annotations

from collections.abc import Generator, Mapping
from dataclasses import dataclass
from typing import Any

from edgeshift.errors import TextRefused
from edgeshift.planning import said
from edgeshift.planning.design import ArmSaid, Design, EdgeSaid, Pairing
from edgeshift.planning.mentioned import elements_named
from edgeshift.wording.design import ways_of
from edgeshift.wording.element_names import element_name
from edgeshift.wording.interview import ASKED


@dataclass(frozen=True)
class Question:
    """One question: the key an answers file uses, the words, and `read`, which raises TextRefused.

    `choices` are the answers that make sense where they can be counted; `needed` is False where a blank
    answer means that nobody knows, or none.
    """

    key: str
    words: str
    read: said.Read
    choices: tuple[str, ...] = ()
    needed: bool = False


@dataclass(frozen=True)
class Step:
    """Where the answers have led: what was asked so far with its answer, then a question or the design."""

    asked: tuple[tuple[Question, str], ...]
    question: Question | None
    design: Design | None


Script = Generator[Question, Any, Any]
YES_NO = ("yes", "no")
WAYS = ("heat", "wet", "dry")


def walk(answers: Mapping[str, str]) -> Step:
    """Follow the answers as far as they lead. Raises TextRefused, its thing the key, where one has no sense.

    Answers to questions that were never reached are left aside.
    """
    script, asked = interviewed(), []
    question = next(script)
    while question.key in answers:
        text = answers[question.key]
        try:
            value = question.read(text)
        except TextRefused as trouble:
            raise TextRefused(question.key, trouble.needed, trouble.found, trouble.act) from None
        asked.append((question, text))
        try:
            question = script.send(value)
        except StopIteration as end:
            return Step(tuple(asked), None, end.value)
    return Step(tuple(asked), question, None)


def interviewed() -> Script:
    """Yields every Question, takes what its answer was read as, and returns the Design."""
    sentence = yield _ask("question", said.some_words, needed=True)
    names = yield _ask("arms", said.names(2), needed=True)
    chosen = said.one_of(names, none=True)
    control = yield _ask("control", chosen, (*names, said.NONE), needed=True, arms=", ".join(names))
    units = {}
    for arm in names:
        units[arm] = yield _ask("units", said.names(1), needed=True, arm=arm)
    pairing = yield from _pairing(units)
    made = (yield _choice("made", ("made", "found"))) != "found"
    arms = []
    for arm in names:
        arms.append((yield from _sharing(arm, units[arm], made, arm == control)))
    one_source = yield _yes_or_no("one-source")
    swap = (yield _yes_or_no("could-swap")) if made and not pairing.rows else None
    apart = yield _yes_or_no("steps-apart")
    ways, itself, same_ways = (yield from _by_the_way(names)) if made else ((), (), None)
    specimens = yield from _specimens(units)
    edges = yield from _edges()
    touches = yield _ask("touches" if made else "touches-found", said.elements)
    control_edge = yield _ask("control-edge", said.other_edge([each.edge for each in edges]))
    known = (*touches, *elements_named(" ".join((sentence, *names))), *_asked_about(edges, control_edge))
    concerns = yield from _concerns(control_edge, known)
    edges, taken = yield from _standards(edges, control_edge, _flat(specimens))
    blanks = yield _ask("blank", said.new_names((*_flat(specimens), *taken)))
    order = yield from _order(pairing)
    spots = yield _ask("spots", said.count(1))
    scans = yield _ask("scans", said.count(1))
    return Design(
        sentence, tuple(arms), control, pairing, made, one_source, swap, apart, ways, itself, same_ways,
        specimens, edges, touches, control_edge, concerns, blanks, order, spots or 1, scans or 1,
    )  # fmt: skip


def unit_names(units: Mapping[str, tuple[str, ...]]) -> dict[tuple[str, str], str]:
    """Every unit's own name by (arm, as said): one that is used in two arms gets the arm's in front."""
    everywhere = [name for names in units.values() for name in names]
    return {
        (arm, name): name if everywhere.count(name) == 1 else f"{arm}-{name}"
        for arm, names in units.items()
        for name in names
    }


def _pairing(units: Mapping[str, tuple[str, ...]]) -> Script:
    uneven = len({len(names) for names in units.values()}) > 1
    if uneven:
        rows = bool((yield _yes_or_no("some-pairs")))
    else:
        rows = yield _ask("pairs", said.yes_or_no, YES_NO, needed=True)
    if not rows:
        return Pairing(False)
    same = yield _yes_or_no("same-piece")
    kept = (yield _yes_or_no("kept-back")) if same else None
    return Pairing(True, uneven, same, kept)


def _sharing(arm: str, units: tuple[str, ...], made: bool, is_control: bool) -> Script:
    """Spots and portions first. What is one thing was treated once, but a place may hold more of it."""
    if len(units) == 1:
        return ArmSaid(arm, units, (), None, ())
    example = "+".join(units[:2])
    portions = yield _ask("portions", said.groups(units), arm=arm, example=example)
    kinds = ("spots", "powder", "pieces")
    are = (yield _choice("portions-are", kinds, arm=arm)) if portions else None
    if made and len(ArmSaid(arm, units, portions).things) == 1:
        return ArmSaid(arm, units, portions, are, ())
    kind = "together-found" if not made else "together-kept" if is_control else "together"
    together = yield _ask(kind, said.groups(units), arm=arm, example=example)
    shared = together and made and not is_control
    apart = (yield _ask("apart", said.count(0, len(units)), arm=arm)) if shared else None
    return ArmSaid(arm, units, portions, are, together, apart)


def _by_the_way(names: tuple[str, ...]) -> Script:
    ways = yield _ask("by-the-way", said.some_of(WAYS))
    if not ways:
        return ways, (), None
    itself = yield _ask("itself", said.some_of(ways), ways=" or ".join(ways), example=ways[0])
    comes = tuple(way for way in ways if way not in (itself or ()))
    if not comes:
        return ways, itself, None
    read = said.maybe(said.one_of(names, none=True))
    blanks = {"ways": ways_of(comes), "arms": ", ".join(names)}
    same = yield _ask("same-by-the-way", read, (*names, said.NONE), **blanks)
    return ways, itself, same


def _specimens(units: Mapping[str, tuple[str, ...]]) -> Script:
    found: dict[str, tuple[str, ...]] = {}
    for name in unit_names(units).values():
        found[name] = (yield _ask("specimens", said.new_names(_flat(found)), unit=name)) or (name,)
    return found


def _edges() -> Script:
    found = []
    for edge in (yield _ask("edges", said.edges, needed=True)):
        feature = yield _ask("feature", said.feature, edge=edge)
        scatter = (yield _ask("scatter", said.amount, edge=edge)) if feature else None
        matters = (yield _ask("matters", said.amount, edge=edge)) if feature else None
        found.append(EdgeSaid(edge, feature, scatter, matters))
    return tuple(found)


def _asked_about(edges: tuple[EdgeSaid, ...], control_edge: str) -> tuple[str, ...]:
    """Elements of the edges that the question is about."""
    return tuple(each.edge.split()[0] for each in edges if each.edge != control_edge)


def _concerns(control_edge: str, known: tuple[str, ...]) -> Script:
    """Whether question or treatment concern the control edge's element: asked where nothing said tells it."""
    element = control_edge.split()[0] if control_edge else ""
    if not element or element in known:
        return True if element else None
    return (yield _yes_or_no("concerns", element=element, name=element_name(element)))


def _order(pairing: Pairing) -> Script:
    """What was left as it was and is measured both times tells drift from the rest, whatever the order."""
    if pairing.same_piece and pairing.kept_back:
        return None
    return (yield _choice("order-again" if pairing.same_piece else "order", ("turn", "arms")))


def _standards(edges: tuple[EdgeSaid, ...], control_edge: str, specimens: tuple[str, ...]) -> Script:
    """The edges with their standards, the control edge among them, and the standards' names."""
    found, taken = [], []
    for each in edges:
        name = None
        if each.edge != control_edge:
            one = yield _ask("standard", said.new_names(specimens, 1), edge=each.edge)
            name = one[0] if one else None
        taken += [name] if name and name not in taken else []
        found.append(EdgeSaid(each.edge, each.feature, each.scatter, each.matters, name))
    if control_edge and control_edge not in [each.edge for each in edges]:
        found.append(EdgeSaid(control_edge))
    return tuple(found), tuple(taken)


def _flat(specimens: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(name for names in specimens.values() for name in names)


def _ask(
    kind: str, read: said.Read, choices: tuple[str, ...] = (), needed: bool = False, **fill: str
) -> Question:
    key, words = ASKED[kind]
    return Question(key.format(**fill), words.format(**fill), read, choices, needed)


def _choice(kind: str, choices: tuple[str, ...], **fill: str) -> Question:
    return _ask(kind, said.maybe(said.word(choices)), choices, **fill)


def _yes_or_no(kind: str, **fill: str) -> Question:
    return _ask(kind, said.maybe(said.yes_or_no), YES_NO, **fill)
