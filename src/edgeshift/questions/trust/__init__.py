"""Do we trust this trace? A verdict with reasons for every scan; and for any two, why they differ."""

from __future__ import annotations

from edgeshift.questions.trust.answering import TIE_AGE_H, answer, hours_since_tie, set_aside, trace
from edgeshift.questions.trust.comparing import compare

__all__ = ["TIE_AGE_H", "answer", "compare", "hours_since_tie", "set_aside", "trace"]
