"""The exhibit: one page that asks no network, for a phone in a hall: guess first, then what was found.

The page reckons nothing. Every number on it was answered before, and its script shows one or another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from itertools import count
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from markupsafe import Markup, escape

from edgeshift.drawing.for_page import for_page, page_colours
from edgeshift.drawing.strip import step_mark
from edgeshift.errors import Refusal
from edgeshift.publish.hands_on import HandsOn, Slid, Tried
from edgeshift.publish.material import Material, Picture, Said, Told
from edgeshift.publish.press import faces
from edgeshift.publish.report import title_of
from edgeshift.records.answer import QUESTIONS
from edgeshift.wording.exhibit import WORDS
from edgeshift.wording.glossary import Entry, known_words
from edgeshift.wording.screen import ENGLISH as say

MOST_BYTES = 3_000_000
"""What a phone opens from a stick without a wait, and a slow line brings in a minute."""
ROWS = 60
"""Rows of a table that is read on a page: of longer ones every so many."""


class TooHeavy(Refusal):
    """The page is too heavy for a phone, even without the pictures of what was tried."""


@dataclass
class _Page:
    """What is counted while one page is put together: its drawings, and the words that were explained."""

    places: Iterator[int]
    words: dict[str, Entry]

    def drawing(self, picture: Picture | None, pointing: bool = False) -> Markup:
        return self.svg(picture.svg, pointing) if picture else Markup("")

    def svg(self, svg: str, pointing: bool = False) -> Markup:
        return Markup(for_page(svg, next(self.places), pointing))  # noqa: S704

    def mark(self, state: Any) -> Markup:
        return self.svg(step_mark(state))

    def spoken(self, said: Said | str) -> Markup:
        """A text in which every word of the glossary can be touched."""
        return Markup("").join(self._piece(*each) for each in known_words(_text(said)))

    def _piece(self, text: str, entry: Entry | None) -> Markup:
        if entry is None:
            return escape(text)
        self.words[entry.key] = entry
        button = Markup('<button type="button" class="word" popovertarget="word-{}">{}</button>')
        return button.format(entry.key, text)


def exhibit(material: Material, hands_on: HandsOn | None = None) -> dict[str, bytes]:
    """`exhibit.html`. The same material gives the same bytes.

    Where the pictures of what was tried would make it too heavy, those of the last edges are left out, and
    their numbers stay. Raises TooHeavy.
    """
    tries = hands_on or HandsOn()
    page = _written(material, tries)
    for spared in range(1, len(tries.slid) + 1):
        if len(page) <= MOST_BYTES:
            break
        kept = len(tries.slid) - spared
        page = _written(material, replace(tries, slid=_without_pictures(tries.slid, kept)))
    if len(page) > MOST_BYTES:
        found = f"{len(page)} bytes"
        raise TooHeavy("the exhibit", f"at most {MOST_BYTES} bytes", found, "Show a shift of fewer edges.")
    return {"exhibit.html": page}


def _without_pictures(slid: Sequence[Slid], kept: int) -> tuple[Slid, ...]:
    def bare(one: Tried) -> Tried:
        return replace(one, told=replace(one.told, picture=None))

    return tuple(
        each if nth < kept else replace(each, tried=tuple(map(bare, each.tried)))
        for nth, each in enumerate(slid)
    )


def _written(material: Material, hands_on: HandsOn) -> bytes:
    page = _Page(count(), {})
    body = _template().render(
        page=page,
        words=WORDS,
        say=say,
        material=material,
        hands=hands_on,
        answers=_answers(material, hands_on),
        slid=[_slid(each) for each in hands_on.slid],
        glossary=page.words,
    )
    style = page_colours() + "".join(map(_file, ("sheet.css", "pencil.css", "exhibit.css")))
    scripts = _file("pencil.js").replace("export class", "class") + _file("exhibit.js")
    head = _template("head.html").render(
        title=material.question.text or WORDS["page"],
        style=Markup(faces(body + scripts) + style),  # noqa: S704
    )
    return f"{head}{body}<script>\n{scripts}</script>\n</body>\n</html>\n".encode()


def _answers(material: Material, hands_on: HandsOn) -> list[dict[str, Any]]:
    """By question, each with its wide picture and the one for a phone."""
    ordered = sorted(
        material.answers, key=lambda told: (QUESTIONS.index(told.question), told.edge is not None)
    )
    return [
        {
            "title": title_of(told),
            "told": told,
            "narrow": told.picture and hands_on.narrow.get(told.picture.name),
            "tables": _tables(told),
        }
        for told in ordered
    ]


def _tables(told: Told) -> list[tuple[str, Sequence[str], Sequence[Sequence[str]]]]:
    """The tables of a picture, of long ones every so many rows."""
    tables = told.picture.tables if told.picture else ()
    return [(title, heads, rows[:: 1 + (len(rows) - 1) // ROWS]) for title, heads, rows in tables if rows]


def _slid(slid: Slid) -> dict[str, Any]:
    """The changes at one edge: those along the energy, nothing changed among them, and what was left out."""
    along = [nth for nth, one in enumerate(slid.tried) if one.kind != "without"]
    return {
        "title": slid.title,
        "tried": slid.tried,
        "along": along if len(along) > 1 else [],
        "first": next(nth for nth, one in enumerate(slid.tried) if one.kind == "as-it-is"),
        "without": [nth for nth, one in enumerate(slid.tried) if one.kind == "without"],
    }


def _text(said: Said | str) -> str:
    return said.text if isinstance(said, Said) else said


def _file(name: str) -> str:
    return (files("edgeshift.publish") / "page" / name).read_text(encoding="utf-8")


@cache
def _template(name: str = "exhibit.html"):
    made = Environment(
        loader=PackageLoader("edgeshift.publish", "page"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return made.get_template(name)
