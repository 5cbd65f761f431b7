"""A poster, A1 or A0, from what the answers say: its conclusions are lines for the group's own words."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from edgeshift.errors import Refusal
from edgeshift.publish.material import Material, Told
from edgeshift.publish.press import NoPicture, pdf
from edgeshift.publish.report import pictures, report_data, station, title_of
from edgeshift.publish.venues import fitted, keep_to
from edgeshift.recipe.venue import Venue

SHEETS_MM = {"A1": (594, 841), "A0": (841, 1189)}
"""Width and height of an upright sheet (ISO 216)."""
EVIDENCE = ("here", "trust", "real", "say")
"""The questions whose sentences stand on the plateau: what was pumped and what might be done next do not."""
NO_ROOM = "no room for the figure"
"""What the layout says where words have left too little height for the large figure."""


class WordsTooLong(Refusal):
    """The words of the slots leave no room for the figure that they are about."""


def poster(material: Material, venue: Venue | None = None) -> dict[str, bytes]:
    """`poster.pdf` of the venue's size. The same material gives the same bytes.

    Raises AgainstVenue where a text breaks a rule of the venue, WordsTooLong where the group wrote more than
    a poster holds.
    """
    rules = venue or Venue()
    kept = fitted(material, rules)
    data = poster_data(kept, rules)
    keep_to(kept, rules, set(_texts(data)))
    try:
        return {"poster.pdf": pdf("poster", data, pictures(kept))}
    except NoPicture as trouble:
        if NO_ROOM not in trouble.found:
            raise
        slots = {slot: len(said.text) for slot, said in kept.words.items() if said}
        longest = max(slots, key=lambda slot: slots[slot], default="the question")
        found = f"{sum(slots.values())} letters in its slots"
        needed = "words that leave room for its figure"
        raise WordsTooLong("the poster", needed, found, f"Shorten {longest} first.") from None


def _texts(data: Any) -> Iterator[str]:
    """Every text in plain data."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict | list | tuple):
        for each in data.values() if isinstance(data, dict) else data:
            yield from _texts(each)


def poster_data(material: Material, venue: Venue) -> dict[str, Any]:
    """What the layout shows, as plain data; every text is one of the material's or of HEADS."""
    wide, tall = SHEETS_MM[venue.size]
    data = report_data(material)
    shown = ("title", "sentence", "picture")
    by_title = {one["title"]: {key: one[key] for key in shown} for one in data["answers"] if one["picture"]}
    hero, every = _hero(material), _for_all(material)
    about = [told for told in (hero, every) if told]
    return {
        **{key: data[key] for key in ("heads", "date", "question", "words", "design", "day")},
        "stations": [row for row in map(partial(station, material=material), EVIDENCE) if row["sentences"]],
        "wide": wide,
        "tall": tall,
        "hero": by_title[title_of(hero)] if hero else None,
        "every": by_title[title_of(every)] if every else None,
        "cautions": list(dict.fromkeys(said.text for told in about for said in told.cautions)),
        "credit": venue.credit,
        "thanks": venue.thanks,
        "logo_space": venue.logo_space,
    }


def _hero(material: Material) -> Told | None:
    """The large figure: the first comparison of an edge that is drawn, else the first picture there is."""
    drawn = [told for told in material.answers if told.picture]
    of_edges = [told for told in drawn if told.question == "real" and told.edge]
    return next(iter((*of_edges, *drawn)), None)


def _for_all(material: Material) -> Told | None:
    """The comparison of all edges on one ladder, where there is one."""
    return next((t for t in material.answers if t.question == "real" and not t.edge and t.picture), None)
