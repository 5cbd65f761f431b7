"""The questions of the design interview: the key by which an answers file says each, and its words.

Blanks are filled with the names that were answered before.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Asked(NamedTuple):
    """One question: its key in an answers file, and what is asked."""

    key: str
    words: str


_GROUPS = "Type none, all, or who with whom, as: {example}."
ASKED = {
    "question": Asked("question", "What do you want to know? Say it with 'than' in it."),
    "arms": Asked("arms", "Which arms do you compare? As: raw, fired"),
    "control": Asked("control", "Which arm is the control, left as it was? One of {arms}; or none."),
    "units": Asked(
        "units of {arm}",
        "Which units of '{arm}' got their treatment each on its own? Three pots from one fire are one unit."
        " As: A, B, C",
    ),
    "pairs": Asked(
        "pairs",
        "Were things split before treating, or do they stand side by side in one load?"
        " Then the first units of all arms belong together, and so on. yes or no",
    ),
    "some-pairs": Asked(
        "some pairs",
        "The arms hold different numbers. Were things split before treating all the same?"
        " Then the first units of all arms belong together, and so on. yes or no",
    ),
    "same-piece": Asked(
        "same piece", "Is it the very same piece in both arms, measured before and after? yes or no"
    ),
    "kept-back": Asked(
        "kept back", "Will pieces that were left as they were be measured both times too? yes or no"
    ),
    "one-source": Asked(
        "one source", "Do all arms come from one lump, one dig or one jar, before it was split? yes or no"
    ),
    "made": Asked(
        "made or found",
        "Did you make the arms differ, or find them so, as places, ages or kinds? made or found",
    ),
    "portions": Asked(
        "portions in {arm}",
        "Which units of '{arm}' were one thing to the end: one pot, one core, one jar of powder?"
        " What was split before treating, and then kept apart, is not meant. " + _GROUPS,
    ),
    "portions-are": Asked(
        "portions are, in {arm}",
        "What are they: spots on one piece, portions of one powder, or pieces of one thing?"
        " spots, powder or pieces",
    ),
    "together": Asked(
        "together in {arm}",
        "Which units of '{arm}' went through it together: one fire, jar, bath or field? " + _GROUPS,
    ),
    "together-kept": Asked(
        "together in {arm}",
        "Which units of '{arm}' were kept together all the while, in one jar, tank or field of their own?"
        " An oven that only dries them does not count. " + _GROUPS,
    ),
    "together-found": Asked(
        "together in {arm}",
        "Which units of '{arm}' come from one place: one field, beach or find? " + _GROUPS,
    ),
    "apart": Asked(
        "apart instead of {arm}",
        "How many of them could still get a fire, jar, bath or field of their own before travel? A number.",
    ),
    "could-swap": Asked(
        "could swap",
        "Could every piece as well have come into another arm, from the same places, by lot or in turns?"
        " yes or no",
    ),
    "steps-apart": Asked(
        "steps apart",
        "Apart from the treatment: had an arm any step of its own?"
        " Another kiln, day, person, grinding, tape or place count. yes or no",
    ),
    "by-the-way": Asked(
        "by the way",
        "Does the treatment heat, wet or dry the pieces? none, or as: heat, dry",
    ),
    "itself": Asked(
        "treatment itself",
        "Is {ways} the treatment itself, what you ask about, or does it merely come with it?"
        " Type what is the treatment itself, as: {example}; or none.",
    ),
    "same-by-the-way": Asked(
        "same by the way",
        "Which arm got the {ways} too, and nothing else? The control counts if it got that the same way."
        " One of {arms}; or none.",
    ),
    "specimens": Asked(
        "specimens of {unit}",
        "Which specimens of '{unit}' will be mounted, as named in the files?"
        " Blank: one, named like the unit.",
    ),
    "edges": Asked("edges", "Which edges will you measure? As: Al K, Fe L"),
    "feature": Asked(
        "feature of {edge}",
        "Which one number will you compare at {edge}? A kind (ratio, height, area, centroid, position)"
        " and its windows in eV, as: ratio 1566-1567 1568-1569. Blank: the whole curve.",
    ),
    "scatter": Asked(
        "scatter of {edge}",
        "How far do two alike units lie apart in that number, as a standard deviation? Blank: not known.",
    ),
    "matters": Asked(
        "matters of {edge}", "Which difference in that number would matter to you? Blank: not known."
    ),
    "touches": Asked(
        "touches",
        "Which elements does the treatment itself bring, take away or change? As: K, C. Blank: none known.",
    ),
    "touches-found": Asked(
        "touches",
        "Which elements do you ask about, or know to differ between the arms anyway? As: K, C."
        " Blank: none known.",
    ),
    "control-edge": Asked(
        "control edge", "At which edge should nothing change, whatever the treatment does? As: Ti L; or none."
    ),
    "concerns": Asked(
        "concerns {element}",
        "Might {name} differ between the arms too? It might if the treatment brings, moves or changes it,"
        " or if what you ask about holds it. yes or no",
    ),
    "standard": Asked(
        "standard of {edge}",
        "Which known material will be measured too, to fix the energies at {edge}?"
        " As named in the files; or none.",
    ),
    "blank": Asked(
        "blank",
        "Which bare piece of tape, foil or holder will be measured too? As named in the files; or none.",
    ),
    "order": Asked(
        "order",
        "In which order will you measure: the arms in turn, or one arm after the other?"
        " A load for each arm is one after the other. turn or arms",
    ),
    "order-again": Asked(
        "order",
        "Will all first measurements be over before the second ones begin, as on two days? Then: arms."
        " Or are before and after measured in turn, as when pieces are treated one by one? Then: turn",
    ),
    "spots": Asked("spots", "How many spots on each unit? Blank: 1."),
    "scans": Asked("scans", "How many scans on each spot? Blank: 1."),
}
SAY_AGAIN = "Say it again."
NOTHING = "nothing"


def unknown_keys(nearest: Mapping[str, str]) -> str:
    """Every unknown key, with the one that may be meant where one is near."""
    meant = [f"'{key}'" + (f" (meant is perhaps '{near}')" if near else "") for key, near in nearest.items()]
    return ", ".join(meant)
