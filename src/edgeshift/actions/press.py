"""From SVG to PNG, through Typst, in memory, with the fonts we ship and no others."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from edgeshift.errors import Refusal

FAMILIES = ("fontpkg_atkinson_hyperlegible", "fontpkg_literata")
_SHEET = """#set page(width: {width}pt, height: auto, margin: 0pt, fill: none)
#image("figure.svg", width: 100%)
"""


class NoPicture(Refusal):
    """The text is not an SVG that can be pressed."""


def png(svg: str, scale: float = 1.0) -> bytes:
    """`svg` as a PNG, `scale` pixels for each of its own.

    Nothing is read but the fonts of our own packages; nothing is written. Raises NoPicture.
    """
    import typst

    width = _width(svg)
    source = _SHEET.format(width=width).encode()
    try:
        return typst.compile(
            {"main.typ": source, "figure.svg": svg.encode()},
            format="png", ppi=72.0 * scale, font_paths=_fonts(),
        )  # fmt: skip
    except typst.TypstError as trouble:
        raise NoPicture(
            "the picture", "an SVG that Typst can read", str(trouble), "Draw it again."
        ) from trouble


def _width(svg: str) -> float:
    """The width that the root element states, in pixels."""
    import xml.etree.ElementTree as tree

    try:
        return float(tree.fromstring(svg).get("width") or "")
    except (tree.ParseError, ValueError) as trouble:
        raise NoPicture("the picture", "an SVG with a width", str(trouble), "Draw it again.") from trouble


@lru_cache(maxsize=1)
def _fonts():
    """The fonts of our packages as Typst wants them; system fonts stay out, so every machine agrees."""
    import typst

    return typst.Fonts(font_paths=font_folders(), include_system_fonts=False)


def font_folders() -> Sequence[str]:
    """Where the font packages keep their files."""
    from importlib.resources import files

    return [str(files(package) / "files") for package in FAMILIES]
