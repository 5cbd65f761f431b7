"""Open questions to the room, by what stands on the Stage. The screen asks; the people answer.

Each can be answered by anyone who looks, and none gives the answer away.
"""

from __future__ import annotations

from edgeshift.records.answer import Answer
from edgeshift.wording.screen import ENGLISH, LANGUAGES, Say


def prompt(question: str, answer: Answer | None, say: Say = ENGLISH) -> str:
    """The open question that fits what is shown."""
    if answer is not None and answer.detail.get("causes"):
        return say("ask.two")
    closest = [f"ask.{question}.{answer.verdict}"] if answer else []
    fitting = (key for key in (*closest, f"ask.{question}") if key in LANGUAGES["en"])
    return say(next(fitting, "ask.first"))
