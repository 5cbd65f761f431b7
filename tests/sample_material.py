"""A material as documents get it, made of sample answers: nothing is measured and no folder is read."""

from __future__ import annotations

from dataclasses import replace

import sample_answers as samples

from edgeshift.actions.gathering import told_of_answer
from edgeshift.drawing.small import trace_thumbnail
from edgeshift.figures import figure_of, summary
from edgeshift.publish.material import (
    SLOTS,
    Claimed,
    Material,
    Measured,
    Moment,
    Picture,
    Result,
    Said,
    Shelved,
)
from edgeshift.wording.names import Naming

NAMES = Naming({("arm", "raw"): "raw clay", ("arm", "fired"): "pit-fired clay"})
WORDS = {
    "title": "Fire changes more than the river does",
    "why-we-care": "Old pots tell how hot a hearth was.",
    "what-we-see": "All three pairs moved the same way. Potassium stayed where it was.",
    "what-we-cannot-say": "Whether any other fire would do the same: ours was one fire on one day.",
    "what-next": "A fourth pair from another bend of the river.",
    "thanks": "All who dug the clay with us.",
}


def material(**changes) -> Material:
    """A day with two edges and a set-aside scan; its slots are empty."""
    drawn = (
        (replace(samples.real(), edge="Al K"), None),
        (replace(samples.mixed(), edge="Fe L"), None),
        (samples.edges()[-1], summary(samples.edges())),
    )
    told = tuple(
        told_of_answer(replace(one, figure=figure or figure_of(one), identity=f"{n:064x}"), NAMES)
        for n, (one, figure) in enumerate(drawn, 1)
    )
    day = Picture("day", SHEET, Said("The day line", "house"), 900.0, 100.0)
    small = {"energy_ev": [1.0, 2.0, 3.0], "value": [0.0, 1.0, 0.5], "flags": []}
    scan = Said("scan 24, Fe L", "book", "scan-024")
    trace = Picture("scan-024", trace_thumbnail(small, "light"), scan, 96.0, 56.0)
    made = {
        "question": Said("Does our pit fire change the clay?", "text", "question"),
        "design": (Said("raw clay (the control): raw A, raw B, raw C", "text", "raw"),),
        "measured_heads": ("edge", "scans"),
        "measured": (Measured("Al K", (Said("18", "book", "Al K"),)),),
        "answers": told,
        "day": day,
        "story": (
            Moment("14:09", Said("Scan 24 set aside.", "book", "24"), Said("it broke off", "group", "24")),
        ),
        "shelf": (Shelved(scan, Said("The beam fell away near 720.2 eV.", "answer", "scan-024"), trace),),
        "results": (Result(*(Said(text, "answer", "Fe L") for text in ("Fe L", "1.4", "1.6"))),),
        "methods": (Said("A level through 1550.0 to 1559.7 eV was taken away.", "method", "Al K"),),
        "sources": (Said("A table, 1977", "source"),),
        "made_by": Said("edgeshift 0.1.0, the book up to line 58", "book", "58"),
        "last": "2026-03-01T16:26:00+00:00",
    }
    return Material(**{**made, **changes})


def filled(**words: str) -> Material:
    """The same with a text in every slot, and a claim."""
    told = {slot: Said({**WORDS, **words}[slot], "group", str(n)) for n, slot in enumerate(SLOTS, 40)}
    said = (
        "The fire moved it.",
        "three pairs moved",
        "more than the bank varies",
        "another fire does not",
        "4",
    )
    return material(words=told, claims=(Claimed(*(Said(text, "group", "50") for text in said)),))


SHEET = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="900" height="100" viewBox="0 0 900 100">'
    '<text x="5" y="40" font-size="24" font-family="Atkinson Hyperlegible">14:00</text></svg>'
)
