"""What shall our minutes buy? Three to five cards: what each costs, what it settles, what it cannot fix."""

from __future__ import annotations

from edgeshift.questions.minutes.answering import Asked, Open, answer
from edgeshift.questions.minutes.costs import scan_minutes

__all__ = ["Asked", "Open", "answer", "scan_minutes"]
