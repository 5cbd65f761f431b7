"""Do we trust this trace? A verdict with reasons for every scan; and for any two, why they differ."""

from __future__ import annotations

from edgeshift.questions.trust.answering import answer, set_aside
from edgeshift.questions.trust.comparing import compare

__all__ = ["answer", "compare", "set_aside"]
