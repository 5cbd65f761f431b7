"""The report of one shift, A4: every answer with its picture, and lines where the group's words are due."""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from datetime import datetime
from typing import Any

from edgeshift.drawing import step_mark
from edgeshift.publish.material import Claimed, Material, Moment, Picture, Told
from edgeshift.publish.press import pdf
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.figure import StepState
from edgeshift.wording.documents import HEADS, level_line
from edgeshift.wording.screen import ENGLISH as say

SLOTS = (("why-we-care", 2), ("what-we-see", 4), ("what-we-cannot-say", 4), ("what-next", 2))
"""Where the group writes, and on how many lines."""


def report(material: Material) -> dict[str, bytes]:
    """`report.pdf`. The same material gives the same bytes."""
    return {"report.pdf": pdf("report", report_data(material), pictures(material))}


def report_data(material: Material) -> dict[str, Any]:
    """What the layout shows, as plain data; every text is one of the material's or of HEADS."""
    day = datetime.fromisoformat(material.last)
    shared = _shared(material)
    told = {said.text for answer in material.answers for said in answer.cautions}
    return {
        "heads": HEADS,
        "date": [day.year, day.month, day.day],
        "made_by": material.made_by.text,
        "question": material.question.text,
        "claim": next((claimed.claim.text for claimed in material.claims), None),
        "stations": [row for row in (station(q, material) for q in QUESTIONS) if row["sentences"]],
        "slots": SLOTS,
        "words": {name: said.text if said else None for name, said in material.words.items()},
        "design": [said.text for said in material.design],
        "measured": {
            "heads": material.measured_heads,
            "rows": [[row.edge, *(cell.text for cell in row.cells)] for row in material.measured],
        },
        "answers": [_answer(told, shared) for told in _in_order(material.answers)],
        "shelf": [
            {"scan": one.scan.text, "why": one.why.text, "small": _shown(one.small)} for one in material.shelf
        ],
        "results": [[one.title.text, one.with_them.text, one.without.text] for one in material.results],
        "claims": [_claim(claimed, told) for claimed in material.claims],
        "story": [_moment(moment) for moment in material.story],
        "methods": _by_edges(material),
        "sources": [said.text for said in material.sources],
        "cautions": [[of, text] for text, of in shared.items()],
        "day": _shown(material.day),
    }


def pictures(material: Material) -> dict[str, str]:
    """Every drawing by its file name."""
    every: Iterable[Picture | None] = (
        material.day,
        *(told.picture for told in (*material.answers, *_carried(material))),
        *(one.small for one in material.shelf),
    )
    marks = {_mark_file(state): step_mark(state) for state in {"not-yet", *material.marks.values()}}
    return {f"{one.name}.svg": one.svg for one in every if one} | marks


def station(question: str, material: Material) -> dict[str, Any]:
    """One question with its whole answers in a sentence each; where it has one for all edges, that one."""
    found = [told for told in (*material.answers, *_carried(material)) if told.question == question]
    whole = [told for told in found if told.edge is None] or found
    return {
        "question": say(f"question.{question}"),
        "sentences": [told.sentence.text for told in whole],
        "mark": _mark_file(material.marks.get(question, "not-yet")),
    }


def _carried(material: Material) -> list[Told]:
    """What the data carry of each claim."""
    return [claimed.carried for claimed in material.claims if claimed.carried]


def _mark_file(state: StepState) -> str:
    return f"mark-{state}.svg"


def _in_order(answers: Sequence[Told]) -> list[Told]:
    """By question; the answer for all edges stands before those of one."""
    return sorted(answers, key=lambda told: (QUESTIONS.index(told.question), told.edge is not None))


def _shared(material: Material) -> dict[str, str | None]:
    """Cautions of several answers, each with the edges it is for, None where it is for all there are.

    They are said once for all; every other one stands beside its answer.
    """
    every = [told.edge for told in material.answers if told.edge]
    shared = {}
    for text in (said.text for said in material.cautions):
        of = [told.edge for told in material.answers if text in {said.text for said in told.cautions}]
        if len(of) > 1:
            edges = [edge for edge in of if edge]
            shared[text] = ", ".join(edges) if edges and len(edges) < len(every) else None
    return shared


def title_of(told: Told) -> str:
    """The question, behind its edge where it has one."""
    question = say(f"question.{told.question}")
    return f"{told.edge}: {question}" if told.edge else question


def _answer(told: Told, shared: Container[str]) -> dict[str, Any]:
    return {
        "title": title_of(told),
        "sentence": told.sentence.text,
        "facts": [said.text for said in told.facts],
        "would_change_it": [said.text for said in told.would_change_it],
        "cautions": [said.text for said in told.cautions if said.text not in shared],
        "picture": _shown(told.picture),
    }


def _shown(picture: Picture | None) -> dict[str, Any] | None:
    if picture is None:
        return None
    return {"file": f"{picture.name}.svg", "alt": picture.alt.text, "pixels": picture.width}


def _moment(moment: Moment) -> dict[str, str | None]:
    return {"at": moment.at, "said": moment.said.text, "own": moment.own.text if moment.own else None}


def _claim(claimed: Claimed, told: Container[str]) -> dict[str, Any]:
    grounds = {"evidence": claimed.evidence, "reason": claimed.reason, "unless": claimed.unless}
    carried = claimed.carried
    return {
        "claim": claimed.claim.text,
        "grounds": [[HEADS[name], said.text] for name, said in grounds.items() if said.text],
        "level": level_line(claimed.level.text),
        "carried": _answer(carried, told) if carried else None,
    }


def _by_edges(material: Material) -> list[tuple[str, list[str]]]:
    """The sentences of the steps, those of the same edges in one paragraph."""
    paragraphs: dict[str, list[str]] = {}
    for said in material.methods:
        paragraphs.setdefault(said.key, []).append(said.text)
    return list(paragraphs.items())
