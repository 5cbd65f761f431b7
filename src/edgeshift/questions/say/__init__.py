"""What may we say aloud? A claim as people make it, beside the level that the data carry.

Nothing here reads people's words, lowers a claim or writes a sentence for them.
"""

from __future__ import annotations

from edgeshift.questions.say.answering import answer, nothing_said
from edgeshift.questions.say.grounds import Grounds, element_of, treated_of
from edgeshift.questions.say.ladder import carried, carries, ladder
from edgeshift.questions.say.stress import LEVEL_OF_SHARES, Change, Tally, changes, survived, tallied

__all__ = [
    "LEVEL_OF_SHARES",
    "Change",
    "Grounds",
    "Tally",
    "answer",
    "carried",
    "carries",
    "changes",
    "element_of",
    "ladder",
    "nothing_said",
    "survived",
    "tallied",
    "treated_of",
]
