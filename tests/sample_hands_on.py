"""What can be tried on an exhibit, made of sample answers: nothing is measured and no folder is read."""

from __future__ import annotations

from dataclasses import replace

import sample_answers as samples
from sample_material import NAMES, SHEET

from edgeshift.actions.gathering import told_of_answer
from edgeshift.figures import figure_of
from edgeshift.publish.hands_on import HandsOn, Rewound, Slid, Station, Tried
from edgeshift.publish.material import Picture, Said
from edgeshift.records.answer import QUESTIONS


def hands_on(edges: int = 1) -> HandsOn:
    """Three changes at each of so many edges, and two moments."""
    told = told_of_answer(replace(samples.real(), edge="Al K", figure=figure_of(samples.real())), NAMES, 390)
    said = {
        "energy": "pit-fired clay 0.10 eV lower",
        "as-it-is": "as it was measured",
        "without": "without A",
    }
    tried = tuple(Tried(kind, Said(text, "text", "Al K"), told) for kind, text in said.items())
    day = Picture("day-1", SHEET, Said("The day line", "house"), 900.0, 100.0)
    six = tuple(Station(question, "not-yet", Said("not yet", "house")) for question in QUESTIONS)
    moments = tuple(
        Rewound(at, Said("A scan landed: Al K", "book", "1"), None, six, day, day)
        for at in ("11:50", "12:30")
    )
    slid = tuple(Slid(Said(f"edge {'ABCDEFGH'[nth]}", "text", "x"), tried) for nth in range(edges))
    return HandsOn(slid=slid, rewound=moments)
