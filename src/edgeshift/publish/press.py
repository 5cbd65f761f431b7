"""Pictures and pages that stand alone: SVG to PNG, pages to PDF through Typst, SVG with its fonts inside."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib.resources import files
from typing import Any, NamedTuple

from edgeshift.drawing.font_subset import subset
from edgeshift.errors import Refusal


class Face(NamedTuple):
    """One font file, what it is called in a picture, and the markup that tells that it is used."""

    package: str
    file: str
    family: str
    weight: int
    style: str
    used_when: str


FACES = (
    Face(
        "fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Regular.ttf", "Atkinson Hyperlegible", 400,
        "normal", "<text",
    ),
    Face(
        "fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Bold.ttf", "Atkinson Hyperlegible", 700,
        "normal", 'font-weight="700"',
    ),
    Face(
        "fontpkg_literata", "Literata-Italic[opsz,wght].ttf", "Literata", 400,
        "italic", 'font-style="italic"',
    ),
)  # fmt: skip
PAGE_LETTERS = (
    "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x180)))) + "‐‑–—‘’‚“”„•…‰′″€−×÷±≈≠≤≥→←↑↓σαβμπΔ²³⁻"
)
"""What a page may have to print: Latin, its accents, and the signs of numbers."""
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


def pdf(page: str, data: Mapping[str, Any], pictures: Mapping[str, str]) -> bytes:
    """The page `layout/<page>.typ` over `data`, with SVG `pictures` by file name, as PDF/UA.

    Nothing is read but our own layouts and fonts; nothing is written; the same input gives the same bytes.
    Raises NoPicture.
    """
    return _set(page, data, pictures, format="pdf", pdf_standards=["ua-1"])


def sheets(
    page: str, data: Mapping[str, Any], pictures: Mapping[str, str], scale: float = 1.0
) -> list[bytes]:
    """The same as one PNG a page, `scale` pixels for each point."""
    made = _set(page, data, pictures, format="png", ppi=72.0 * scale)
    return made if isinstance(made, list) else [made]


def _set(page: str, data: Mapping[str, Any], pictures: Mapping[str, str], **how: Any) -> Any:
    import typst

    layouts = files("edgeshift.publish") / "layout"
    given = {name: (layouts / name).read_bytes() for name in ("house.typ", f"{page}.typ")}
    given |= {name: svg.encode() for name, svg in pictures.items()}
    given["data.json"] = json.dumps(data, ensure_ascii=False).encode()
    given["main.typ"] = f'#include "{page}.typ"'.encode()
    try:
        return typst.compile(given, font_paths=_fonts(), **how)
    except typst.TypstError as trouble:
        needed = "a layout that Typst can set"
        raise NoPicture(f"the page {page}", needed, str(trouble), "Please report this.") from trouble


def with_fonts(svg: str) -> str:
    """`svg` with the letters it uses inside it, for a place where our fonts are not installed.

    Meant for a picture that stands alone, such as a file or an `<img>`: a page with strict content rules
    serves the fonts itself and takes the picture as drawn.
    """
    letters = "".join(sorted(set(svg)))
    used = "".join(_face(face, letters) for face in FACES if face.used_when in svg)
    head, tag_end, rest = svg.partition(">")
    return f"{head}{tag_end}<style>{used}</style>{rest}"


def faces(page: str) -> str:
    """Rules of a style sheet that hold every font of ours, cut to the letters of `page`."""
    letters = "".join(sorted(set(page)))
    return "".join(_face(face, letters) for face in FACES)


def _face(face: Face, letters: str) -> str:
    """One font as a rule of the style sheet."""
    packed = b64encode(_cut(face, letters)).decode()
    return (
        f"@font-face{{font-family:'{face.family}';font-weight:{face.weight};font-style:{face.style};"
        f"src:url(data:font/ttf;base64,{packed})}}"
    )


def page_fonts() -> dict[str, bytes]:
    """The fonts of a page, cut to the letters of European languages and to our signs, by file name."""
    return {f"{_plain_name(face)}.ttf": _cut(face, PAGE_LETTERS) for face in FACES}


def _cut(face: Face, letters: str) -> bytes:
    """A font with these letters alone."""
    return subset((files(face.package) / "files" / face.file).read_bytes(), letters)


def _plain_name(face: Face) -> str:
    weight = "bold" if face.weight > 400 else "italic" if face.style == "italic" else "regular"
    return f"{face.family.split()[0].lower()}-{weight}"


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
    return [str(files(package) / "files") for package in FAMILIES]
