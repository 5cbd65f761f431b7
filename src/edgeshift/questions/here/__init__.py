"""What have we got here? Each element: seen, not seen with the smallest amount that would have shown, or
cannot tell and why; with every impostor excluded or not yet."""

from __future__ import annotations

from edgeshift.questions.here.answering import answer, excluded_for_here, with_form

__all__ = ["answer", "excluded_for_here", "with_form"]
