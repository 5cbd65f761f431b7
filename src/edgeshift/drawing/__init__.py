"""Figure descriptions into SVG in the language of the house."""

from edgeshift.drawing.notebook import svg_of
from edgeshift.drawing.page import draw, picture, picture_height
from edgeshift.drawing.strip import step_mark, strip, strip_places
from edgeshift.drawing.tokens import curtain_looks

__all__ = [
    "curtain_looks",
    "draw",
    "picture",
    "picture_height",
    "step_mark",
    "strip",
    "strip_places",
    "svg_of",
]
