"""What form is it in? Shares of references with the fan of equally good fits, for one specimen and edge."""

from __future__ import annotations

from edgeshift.questions.mixtures.answering import answer, answer_seen
from edgeshift.questions.mixtures.variety import variety
from edgeshift.questions.mixtures.views import Reference, seen_mean

__all__ = ["Reference", "answer", "answer_seen", "seen_mean", "variety"]
