"""Open questions to the room, by what stands on the Stage. The screen asks; the people answer.

Each can be answered by anyone who looks, and none gives the answer away.
"""

from __future__ import annotations

from edgeshift.records.answer import Answer

FIRST = "What do you notice first?"
BY_VERDICT = {
    ("trust", "all-kept"): "Would the same spot draw this line again?",
    ("trust", "some-set-aside"): "What could have hurt the ones we set aside?",
    ("real", "units"): "What should not have moved, and did it stay?",
    ("real", "spots"): "Is it the pot, or the place on the pot?",
    ("real", "scans"): "Is it the pot, or the place on the pot?",
    ("real", "not-shown"): "How small a change would we still have seen?",
    ("real", "no-change"): "What did we expect to move, and why?",
    ("real", "cannot-tell"): "Which one more measurement would help us most?",
}
BY_QUESTION = {
    "begin": "Where do you think the air is hiding?",
    "here": "What else could make that bump?",
    "minutes": "If these were the last minutes, what would you keep?",
    "say": "Can you say it without the word proves?",
}
FOR_GUESSED = "Was that on your sketch?"
FOR_TWO = "Which of these differences could the beam have made?"


def prompt(question: str, answer: Answer | None) -> str:
    """The open question that fits what is shown."""
    if answer is None:
        return BY_QUESTION.get(question, FIRST)
    if answer.detail.get("causes"):
        return FOR_TWO
    return BY_VERDICT.get((question, answer.verdict), BY_QUESTION.get(question, FIRST))
