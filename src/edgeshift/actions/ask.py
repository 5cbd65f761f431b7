"""Ask one of the questions of an experiment: the only way from a folder to an answer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from edgeshift.actions.desk import Desk
from edgeshift.actions.session import Known, Session, comparisons
from edgeshift.errors import QuestionRefused
from edgeshift.figures import compare_two, real as real_figure, trust as trust_figure
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.questions import real, trust
from edgeshift.records.answer import Answer
from edgeshift.reduction.pipeline import formed

ASKED = ("trust", "real")
"""The questions that can be asked of an experiment so far."""


def ask(
    path: str | Path,
    question: str,
    edge: str | None = None,
    compare: tuple[str, str] | None = None,
    *,
    desk: Desk,
) -> list[Answer]:
    """The answers to `question` for the experiment at `path`, each with its figure attached.

    `edge` narrows to one edge; `compare` names two scans and asks why they differ. Raises QuestionRefused
    for a question, an edge or a scan that is not there, FolderRefused for a folder that is none.
    """
    with ExperimentFolder.open(path) as folder:
        desk.accept_hand_edit(folder)
        return answer(Session(folder), question, edge, compare)


def answer(
    session: Session,
    question: str,
    edge: str | None = None,
    compare: tuple[str, str] | None = None,
    until: str | None = None,
) -> list[Answer]:
    """The same, of a folder already held open, as it stood at `until`."""
    known = session.known(until)
    if question not in ASKED:
        raise QuestionRefused("ask", f"one of {', '.join(ASKED)}", repr(question), "Ask one of these.")
    if edge is not None and edge not in known.scans:
        here = ", ".join(known.scans) or "no scans yet"
        raise QuestionRefused(f"edge {edge}", "an edge that was scanned", here, "Name one of these.")
    if question == "trust":
        return [_two(session, known, compare)] if compare else _trust(session, known, edge)
    return _real(session, known, edge)


def _trust(session: Session, known: Known, edge: str | None) -> list[Answer]:
    passes = session.flagged(known)
    chosen = {name: group for name, group in passes.items() if edge in (None, name)}
    found = trust.answer(known.state, known.experiment, chosen)
    return [_signed(session, known, found, tuple(chosen), trust_figure.figure)]


def _real(session: Session, known: Known, edge: str | None) -> list[Answer]:
    if len(known.experiment.arms) < 2:
        names = [arm.name for arm in known.experiment.arms]
        raise QuestionRefused(
            "real", "two arms, one of them the control", f"{names or 'none'}", "Add arms to experiment.yaml."
        )
    aside = trust.set_aside(trust.answer(known.state, known.experiment, session.flagged(known)))
    sets = session.edge_sets(known, aside)
    found = real.answers(sets, known.experiment, comparisons(known, tuple(sets)))
    wanted = [a for a in found if edge is None or a.edge == edge]
    return [_signed(session, known, a, tuple(sets), real_figure.figure) for a in wanted]


def _two(session: Session, known: Known, compare: tuple[str, str]) -> Answer:
    every = {each.scan.key: each for group in session.flagged(known).values() for each in group}
    by_file = {each.scan.file: each for each in every.values()}
    pair = []
    for name in compare:
        if name not in every and name not in by_file:
            raise QuestionRefused(
                f"scan {name}", "a scan of this experiment", "no such scan", "See: ask trust."
            )
        pair.append(every.get(name) or by_file[name])
    recipe = known.experiment.recipe_for(pair[0].scan.edge)
    first, second = (each.curve for each in formed(tuple(pair), recipe))
    found = trust.compare(first, second)
    edges = tuple(dict.fromkeys(each.scan.edge for each in pair if each.scan.edge))
    return _signed(session, known, found, edges, compare_two.figure)


def _signed(session: Session, known: Known, found: Answer, edges: tuple[str, ...], figure) -> Answer:
    identity = session.identity(known, f"{found.question}/{found.edge}", edges)
    signed = replace(found, identity=identity)
    return replace(signed, figure=figure(signed))
