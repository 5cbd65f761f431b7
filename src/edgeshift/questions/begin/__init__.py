"""Can we begin? Minutes until the pressure limit that the host typed, with an interval and a likely cause."""

from __future__ import annotations

from edgeshift.questions.begin.answering import answer
from edgeshift.questions.begin.on_specimen import Foreign

__all__ = ["Foreign", "answer"]
