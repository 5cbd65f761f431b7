"""Can we begin? Minutes until the pressure limit that the host typed, with an interval and a likely cause."""

from __future__ import annotations

from edgeshift.questions.begin.answering import answer

__all__ = ["answer"]
