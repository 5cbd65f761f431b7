"""What form is it in? Shares of references with the fan of equally good fits, for one specimen at one edge."""

from __future__ import annotations

from edgeshift.questions.mixtures.answering import answer
from edgeshift.questions.mixtures.views import Reference

__all__ = ["Reference", "answer"]
