"""How an answer or a figure shows itself in a notebook."""

from __future__ import annotations

from typing import Any

from edgeshift.drawing.naming import Names
from edgeshift.drawing.page import KEYS_AS_NAMES, draw
from edgeshift.figures import figure_of
from edgeshift.records.figure import Figure

NOTEBOOK_WIDTH = 900


def svg_of(shown: Any, naming: Names = KEYS_AS_NAMES) -> str:
    """The SVG of an `Answer` (its attached figure, or one made from it) or of a `Figure`.

    Register as `_repr_svg_` of both; a notebook then draws them where they stand.
    """
    figure = shown if isinstance(shown, Figure) else getattr(shown, "figure", None) or figure_of(shown)
    return draw(figure, width=NOTEBOOK_WIDTH, naming=naming)
