"""One line for all edges: what moved in the family, and whether the control edges stayed."""

from __future__ import annotations

from dataclasses import replace

from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.rungs import RUNGS
from edgeshift.records.answer import Answer
from edgeshift.wording import real as words

ORDER = ("cannot-tell", "not-shown", "no-change", *RUNGS)


def summary(each: list[Answer], asked: list[Asked]) -> Answer:
    """The answer with edge None; its verdict is the highest of the family edges'."""
    by_role = {
        role: [a for a, q in zip(each, asked, strict=True) if q.comparison.role == role]
        for role in ("family", "control", "outside")
    }
    family = by_role["family"] or each
    verdict = max((a.verdict for a in family), key=ORDER.index, default="cannot-tell")
    moved = moved_controls(each)
    return Answer(
        "real",
        verdict,
        words.summary(family, moved, _judged_controls(each)),
        None,
        cautions=words.control_moved(moved) if moved else (),
        detail={
            "edges": [
                {
                    "edge": a.edge,
                    "treated": a.detail.get("treated"),
                    "verdict": a.verdict,
                    "rungs": a.detail["rungs"],
                    "role": q.comparison.role,
                    "declared": q.comparison.declared,
                }
                for a, q in zip(each, asked, strict=True)
            ]
        },
    )


def _judged_controls(each: list[Answer]) -> list[str]:
    """Control edges whose units could be judged."""
    return [
        a.edge
        for a in each
        if a.detail.get("role") == "control" and a.detail["rungs"]["units"] != "cannot-test"
    ]


def moved_controls(each: list[Answer]) -> list[str]:
    """Control edges whose units rung is lit."""
    return [
        a.edge for a in each if a.detail.get("role") == "control" and a.detail["rungs"].get("units") == "lit"
    ]


def warn_all(each: list[Answer]) -> list[Answer]:
    """A control edge that moved warns on every other answer, on those of other moved ones too."""
    moved = moved_controls(each)
    return [_warned(a, [edge for edge in moved if edge != a.edge]) for a in each]


def _warned(answer: Answer, moved: list[str]) -> Answer:
    return replace(answer, cautions=(*answer.cautions, *words.control_moved(moved))) if moved else answer
