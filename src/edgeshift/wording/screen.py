"""Words of the page that belong to no answer."""

from __future__ import annotations

NOT_YET = "Not yet. Nothing has landed that this question could rest on."
NOT_BUILT = "Not yet. This question cannot be asked here so far."
FIRST_ACT = "Take in a first scan."
SHORT_QUESTIONS = {
    "begin": "Can we begin?",
    "here": "What have we got here?",
    "trust": "Do we trust this trace?",
    "real": "Is the difference real?",
    "minutes": "What shall our minutes buy?",
    "say": "What may we say aloud?",
}
"""The six questions, as they stand in the strip."""
