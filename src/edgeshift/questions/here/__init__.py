"""What have we got here? Each element: seen, not seen with the smallest amount that would have shown, or
cannot tell and why; with every impostor excluded or not yet."""

from __future__ import annotations

from edgeshift.questions.here.answering import Looked, amounts, answer, excluded_for_here, with_form
from edgeshift.questions.here.between_arms import AmountLooks, due, judging, looks_of

__all__ = [
    "AmountLooks",
    "Looked",
    "amounts",
    "answer",
    "due",
    "excluded_for_here",
    "judging",
    "looks_of",
    "with_form",
]
