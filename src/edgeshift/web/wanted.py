"""What a page is asked for in its address: a view, and a moment."""

from __future__ import annotations

from pydantic import Field

from edgeshift.records.answer import QUESTIONS
from edgeshift.records.room import View
from edgeshift.web.door import Body


class Wanted(Body):
    """Which view, at which moment; empty: what the host shows, now."""

    question: str | None = Field(None, max_length=20)
    edge: str | None = Field(None, max_length=40)
    a: str | None = Field(None, max_length=300)
    b: str | None = Field(None, max_length=300)
    until: str | None = Field(None, max_length=40)

    @property
    def view(self) -> View | None:
        """The view that was asked for, if any."""
        if self.question not in QUESTIONS:
            return None
        return View(self.question, self.edge, (self.a, self.b) if self.a and self.b else None)
