"""Whether documents keep to the rules of a venue: what stands against them, where, and what to do."""

from __future__ import annotations

import re
from collections.abc import Container, Iterator
from dataclasses import replace
from typing import NamedTuple

from edgeshift.errors import Refusal
from edgeshift.publish.material import Material, Said
from edgeshift.recipe.venue import Venue

LINK = re.compile(
    r"https?://\S+|www\.\S+|\b\S+@\S+\.\w+|\b[\w-]+\.(?:com|org|net|edu|info|eu|io)\b", re.IGNORECASE
)
"""What reads as an address of the web or of a mailbox."""


NEEDED = {
    "links": "no address of the web or of a mailbox (links: false)",
    "keep_out": "none of the words that the venue keeps out (keep_out)",
}
PLACES = {
    "answer": "the answer",
    "group": "the group's words of line",
    "book": "the book at",
    "text": "the experiment text at",
    "method": "the methods of",
    "source": "a source",
    "house": "the tool's own words",
}
ACTS = {"group": "Write them anew: edgeshift note words, or note claim --instead-of."}


class Against(NamedTuple):
    """One text that breaks a rule: the text, what in it was found, and the rule."""

    said: Said
    found: str
    rule: str


class AgainstVenue(Refusal):
    """A text of a document breaks a rule of the venue that it is made for."""


def keep_to(material: Material, venue: Venue, shown: Container[str] | None = None) -> None:
    """Refuse a material in which a text breaks a rule of the venue; every such text is named.

    `shown` are the texts that a document prints, where it prints not all of them. Raises AgainstVenue.
    """
    broken = [one for one in against(material, venue) if shown is None or one.said.text in shown]
    if broken:
        first, more = broken[0], len(broken) - 1
        found = repr(first.found) + (f", and {more} more such place{'s' * (more > 1)}" if more else "")
        told = "".join(f"\n  {place(one.said, material)}: {one.found!r}" for one in broken[1:])
        act = ACTS.get(first.said.origin, "Change the experiment text, or the rule in the venue profile.")
        raise AgainstVenue(place(first.said, material), NEEDED[first.rule], found, f"{act}{told}")


def place(said: Said, material: Material) -> str:
    """Where a text was written, for whoever has to change it: a slot, a line of the book, an answer."""
    slot = next((slot for slot, words in material.words.items() if words is said), None)
    if slot:
        return f"the slot {slot}, line {said.key}"
    told = next((told for told in material.answers if told.identity == said.key), None)
    if told:
        return f"the answer to {told.question}" + (f" at {told.edge}" if told.edge else "")
    return f"{PLACES[said.origin]} {said.key}".strip()


def fitted(material: Material, venue: Venue) -> Material:
    """The material without what the venue leaves out."""
    return material if venue.thanks else replace(material, words={**material.words, "thanks": None})


def against(material: Material, venue: Venue) -> list[Against]:
    """Every text that breaks a rule of the venue, in the order of the material."""
    return [one for said in material.said() if said.text for one in _broken(said, venue)]


def _broken(said: Said, venue: Venue) -> Iterator[Against]:
    if not venue.links:
        yield from (Against(said, found[0], "links") for found in LINK.finditer(said.text))
    for word in venue.keep_out:
        if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", said.text, re.IGNORECASE):
            yield Against(said, word, "keep_out")
