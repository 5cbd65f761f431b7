"""Ask one of the questions of an experiment: the only way from a folder to an answer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import find_scan
from edgeshift.actions.foreign import foreign
from edgeshift.actions.looking import (
    amount_standings,
    kept_sets,
    look,
    look_at_amounts,
    standings,
    trusted,
)
from edgeshift.actions.meeting import meeting
from edgeshift.actions.results import write_all
from edgeshift.actions.saying import Tell, looked, say_answers, silent
from edgeshift.actions.session import NO_EDGE, Known, Session, comparisons
from edgeshift.actions.shares import all_shares, shares_of
from edgeshift.errors import QuestionRefused
from edgeshift.figures import figure_of
from edgeshift.questions import begin, here, minutes, real, trust
from edgeshift.records.answer import Answer
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.pipeline import formed

ASKED = ("begin", "here", "trust", "real", "minutes", "say")
"""The questions that can be asked of an experiment so far."""


def ask(
    path: str | Path,
    question: str,
    edge: str | None = None,
    compare: tuple[str, str] | None = None,
    *,
    desk: Desk,
    **options: Any,
) -> list[Answer]:
    """The answers to `question` for the experiment at `path`, each with its figure attached.

    `edge` narrows to one edge; `compare` names two scans and asks why they differ; `options` as
    `answer_known` has them. A whole question also brings `results/` up to date. Raises QuestionRefused for
    a question or an edge that is not there, NoteRefused for a scan that is not, FolderRefused for a folder
    that is none.
    """
    with desk.open(path) as folder:
        complaint = desk.accept_hand_edit(folder)
        session = Session(folder, desk)
        found = drawn(answer(session, question, edge, compare, **options))
        if edge is None and compare is None:
            ask_all(session)
    return [replace(a, cautions=(str(complaint), *a.cautions)) for a in found] if complaint else found


def ask_all(session: Session) -> list[Answer]:
    """Every question that this experiment can be asked, in order; `results/` then holds them and no more."""
    found = every_answer(session)
    write_all(session, found, kept_sets(session, session.known()))
    return found


def every_answer(session: Session) -> list[Answer]:
    """The same, drawn, with nothing written but looks that are due."""
    return drawn(answers_of(session, session.known()))


def answers_of(session: Session, known: Known) -> list[Answer]:
    """The same of a moment that the session remembers, not drawn."""
    asked = ["begin"] if known.state.pumping else []
    asked += ["here", "trust"] + (["real"] if len(known.experiment.arms) > 1 else [])
    asked += ["say"] if any(claim.stands for claim in known.state.claims) else []
    found: list[Answer] = []
    for question in asked:
        found += answer_known(session, known, question)
        if known.state.until is None:
            known = session.now_as(known)  # a look may have been entered
    found += all_shares(session, known)
    return found


def answer(
    session: Session,
    question: str,
    edge: str | None = None,
    compare: tuple[str, str] | None = None,
    until: str | None = None,
    **options: Any,
) -> list[Answer]:
    """The same, of a folder already held open, as it stood at `until`; nothing is drawn.

    Nothing is written but a look at the units, where a new one is due: whoever sees a third rung has looked.
    """
    return answer_known(session, session.known(until), question, edge, compare, **options)


def answer_known(
    session: Session,
    known: Known,
    question: str,
    edge: str | None = None,
    compare: tuple[str, str] | None = None,
    *,
    against: str | None = None,
    shares: bool = False,
    specimen: str | None = None,
    left: float | None = None,
    named: Answer | None = None,
    stress: bool = False,
    tell: Tell = silent,
) -> list[Answer]:
    """The same of a moment that the session remembers: `session.known(...)` or `session.veiled(...)`.

    For `here` alone: `against` names the element that amounts are told against; `shares` asks in what form
    an edge's element is, one answer a specimen, or of one `specimen`. For `minutes`: `left` says how many
    there are. `named` is the answer to `here` that `begin` and `minutes` go by; None: it is asked now. For
    `say`: `stress` tries every claim under all that might overturn it, which takes seconds a claim; `tell`
    hears how far it is.
    """
    if question not in ASKED:
        raise QuestionRefused("ask", f"one of {', '.join(ASKED)}", repr(question), "Ask one of these.")
    if edge is not None and edge not in known.scans:
        here = ", ".join(e for e in known.scans if e != NO_EDGE) or "no scans yet"
        meant = _meant(edge, known)
        act = f"Did you mean --edge '{meant}'?" if meant else "Name one of these."
        raise QuestionRefused(f"edge {edge}", "an edge that was scanned", here, act)
    _fitting(question, edge, compare, against, shares, specimen, left)
    if question == "begin":
        return [_begin(session, known, named)]
    if shares:
        return shares_of(session, known, edge, specimen)
    if question == "here":
        return [_here(session, known, edge, against)]
    if question == "trust":
        return [_two(session, known, compare)] if compare else _trust(session, known, edge)
    if question == "minutes":
        return [_minutes(session, known, edge, left, named)]
    if question == "say":
        return _say(session, known, edge, stress, tell)
    return _real(session, known, edge)


def _meant(edge: str, known: Known) -> str | None:
    """The scanned edge that differs in capitals alone, or of which `edge` is one half, as Fe L3 of Fe L."""
    said = " ".join(edge.split()).casefold()
    near = (one for one in known.scans if one.casefold() in (said, said.rstrip("12345")))
    return next(near, None)


def _fitting(
    question: str,
    edge: str | None,
    compare: tuple[str, str] | None,
    against: str | None,
    shares: bool,
    specimen: str | None,
    left: float | None,
) -> None:
    """Refuse what another question was made for."""
    if compare and question != "trust":
        raise QuestionRefused("two scans", "the question trust", question, "Ask: trust FOLDER --compare A B.")
    if against and question != "here":
        raise QuestionRefused("a reference element", "the question here", question, "Ask: here --against Al.")
    if (shares or specimen) and not (shares and question == "here" and edge):
        needed, act = "the question here, and an edge", "Ask: here FOLDER --edge 'Fe L' --shares."
        found = "no edge" if shares and question == "here" else question
        raise QuestionRefused("shares", needed, found, act)
    if left is not None and question != "minutes":
        raise QuestionRefused("minutes left", "the question minutes", question, "Ask: minutes --left 120.")
    if left is not None and left < 0:
        act = "Type the minutes until the shift ends."
        raise QuestionRefused("--left", "minutes above zero", f"{left:g}", act)


def _begin(session: Session, known: Known, named: Answer | None) -> Answer:
    """Where the beam was looked for, scans that came since may show the mount: then they bear on it too."""
    if not (known.state.positions and known.scans):
        return _signed(session, known, begin.answer(known.state, known.experiment), ())
    named = named or _here(session, known, None, None)
    found = begin.answer(known.state, known.experiment, foreign(known, trusted(session, known), named))
    return _signed(session, known, found, tuple(known.scans), named.identity)


def _trust(session: Session, known: Known, edge: str | None) -> list[Answer]:
    chosen = {name: group for name, group in session.flagged(known).items() if edge in (None, name)}
    found = trust.answer(known.state, known.experiment, chosen, remembered=session.memory)
    return [_signed(session, known, found, tuple(chosen))]


def _here(session: Session, known: Known, edge: str | None, against: str | None) -> Answer:
    if against is not None:
        return _amounts(session, known, edge, against)
    return session.of(known)(("here", edge), lambda: _elements(session, known, edge))


def _elements(session: Session, known: Known, edge: str | None) -> Answer:
    found = here.answer(_telling(session, known), known.experiment, edge, session.memory)
    return _signed(session, known, _formed(session, known, found, edge), tuple(known.scans))


def _amounts(session: Session, known: Known, edge: str | None, against: str) -> Answer:
    """The same with amounts told against one element: whoever sees them compared between arms has looked."""

    def passes(moment: Known) -> list[Pass]:
        return _telling(session, moment)

    known = look_at_amounts(session, known, against, passes)
    looked = amount_standings(session, known, against, passes)
    found = here.answer(passes(known), known.experiment, edge, session.memory, against, looked)
    identity = session.identity(known, f"amounts/{edge}/{against}", tuple(known.scans))
    return replace(_formed(session, known, found, edge), identity=identity)


def _formed(session: Session, known: Known, found: Answer, edge: str | None) -> Answer:
    edge_set = kept_sets(session, known).get(edge) if edge else None
    return here.with_form(found, edge_set, known.experiment) if edge_set and edge_set.spots else found


def _telling(session: Session, known: Known) -> list[Pass]:
    """The scans that say anything of elements."""
    aside = here.excluded_for_here(trusted(session, known))
    return [p for group in session.flagged(known).values() for p in group if p.scan.key not in aside]


def _real(session: Session, known: Known, edge: str | None) -> list[Answer]:
    if len(known.experiment.arms) < 2:
        names = ", ".join(arm.name for arm in known.experiment.arms) or "none"
        raise QuestionRefused(
            "real",
            "two arms, one of them the control",
            names,
            "Add arms, units and specimens to experiment.yaml.",
        )
    known = look(session, known)
    sets = kept_sets(session, known)
    compared = comparisons(session, known, tuple(sets))
    stand = standings(session, known, sets)
    found = real.answers(sets, known.experiment, compared, session.memory, stand)
    wanted = [a for a in found if edge is None or a.edge == edge]
    return [_signed(session, known, a, tuple(sets)) for a in wanted]


def _minutes(
    session: Session, known: Known, edge: str | None, left: float | None, named: Answer | None
) -> Answer:
    compared = _real(session, known, edge) if len(known.experiment.arms) > 1 else []
    if known.state.until is None:
        known = session.now_as(known)  # a look may have been entered
    named = named or _here(session, known, None, None)
    found = minutes.answer(meeting(known, compared, trusted(session, known), named, left))
    return _signed(session, known, found, tuple(known.scans), f"{left}/{named.identity}")


def _say(session: Session, known: Known, edge: str | None, stress: bool, tell: Tell) -> list[Answer]:
    known = looked(session, known)
    found = say_answers(session, known, edge, stress, tell)
    edges = tuple(known.scans)
    return [_signed(session, known, one, edges, (one.detail.get("claim") or {}).get("line")) for one in found]


def _two(session: Session, known: Known, compare: tuple[str, str]) -> Answer:
    keys = [find_scan(known.state, said) for said in compare]
    every = {
        key: each
        for group in session.flagged(known).values()
        for each in group
        for key in (each.scan.key, *each.scan.regions)
    }
    pair = tuple(every[key] for key in keys)
    recipe = known.experiment.recipe_for(pair[0].scan.edge)
    shift = _trust(session, known, None)[0].detail.get("findings", ())
    found = trust.compare(*(each.curve for each in formed(pair, recipe)), passes=pair, shift=shift)
    edges = tuple(dict.fromkeys(each.scan.edge for each in pair if each.scan.edge))
    return _signed(session, known, found, edges)


def _signed(
    session: Session, known: Known, found: Answer, edges: tuple[str, ...], option: str | float | None = None
) -> Answer:
    """The answer with what it stands on, `option` included: what narrowed the question."""
    asked = f"{found.question}/{found.edge}" + (f"/{option}" if option is not None else "")
    return replace(found, identity=session.identity(known, asked, edges))


def drawn(answers: list[Answer]) -> list[Answer]:
    """The answers with their figures; apart from `answer`, because a page draws only what it shows."""
    return [replace(each, figure=figure_of(each)) for each in answers]
