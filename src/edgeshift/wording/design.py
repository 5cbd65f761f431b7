"""What a design can and cannot show, before anybody travels: its faults, its numbers, what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple


class Words(NamedTuple):
    """A fault and the next act."""

    says: str
    act: str


FAULTS = {
    "one-unit": Words(
        "Only one unit of '{arm}': no number of scans tests the treatment.",
        "Treat at least two units more, each on its own, for every arm.",
    ),
    "few-units": Words(
        "Only two units of '{arm}': a third of large differences stays unseen.",
        "Add a third unit to every arm, treated on its own.",
    ),
    "shared-treatment": Words(
        "Of '{arm}', {who} shared one run: {listed} units count as {counted}.",
        "Give at least three units of '{arm}' a fire, jar, bath or field each of their own.",
    ),
    "one-place": Words(
        "Of '{arm}', {who} come from one place: {listed} units count as {counted}.",
        "Fetch '{arm}' from at least three places that lie apart.",
    ),
    "portions-as-units": Words(
        "Of '{arm}', {who} are portions of one thing: {listed} units count as {counted}.",
        "Bring at least three things for '{arm}', each treated or found on its own."
        " More portions of one tell nothing about others.",
    ),
    "spots-as-units": Words(
        "Of '{arm}', {who} are spots on one piece: {listed} units count as {counted}.",
        "Bring at least three pieces for '{arm}', each treated or found on its own; plan the spots as spots.",
    ),
    "unequal-pairs": Words(
        "{left} without a partner: {whole} whole pairs count.",
        "Split everything, and bring both halves of each.",
    ),
    "no-untreated": Words(
        "No arm was left as it was: {arms} can only be told from one another.",
        "Keep back as many pieces as you treat, and do all the rest to them too.",
    ),
    "chosen-by-hand": Words(
        "Pieces were chosen for their arm: what chose them may be the whole difference.",
        "Take all arms from the same places and draw lots, or split each piece before treating.",
    ),
    "before-after": Words(
        "Before and after, with nothing kept back: time and the beam may have changed them too.",
        "Leave some pieces as they were, and measure them both times.",
    ),
    "steps-apart": Words(
        "An arm had a step of its own beside the treatment, and the two cannot be told apart.",
        "Take every arm through every step together: one kiln load, day, person, mortar and tape for all.",
    ),
    "no-dried-only": Words(
        "The treatment comes with {ways}, and no arm got only that.",
        "Add an arm that gets only {ways}, or treat the control so.",
    ),
    "order-confounded": Words(
        "All of '{first}' is measured before the rest: drift looks just like the treatment.",
        "Measure the arms in turn, and the first specimen again at the end.",
    ),
    "no-control-edge": Words(
        "No edge is named that should stay as it is: a fault of the beam could pass for chemistry.",
        "Add an edge of an element that the treatment leaves alone.",
    ),
    "control-edge-touched": Words(
        "{edge} should stay as it is, but the treatment or the question touches {element}.",
        "Take an edge of an element that the treatment leaves alone and nobody asks about.",
    ),
    "no-standard": Words(
        "No known material fixes the energies at {edges}: a slide could pass for chemistry.",
        "Bring a standard for {edges}, and measure it on the day.",
    ),
    "no-blank": Words(
        "Nothing bare is measured: lines of tape, foil or holder could be taken for the specimen's.",
        "Mount a bare piece of what holds the specimens.",
    ),
    "too-few-for-what-matters": Words(
        "At {edge} a difference of {found} would be found, but {matters} matters to you.",
        "Add units to every arm; more scans do not help against scatter between units.",
    ),
}
"""Every fault by its code. The codes are closed: a program may rely on them."""
APART = {
    "none": "No further run is left: speak of this one run of '{arm}' only.",
    "some": "Treat those of '{arm}' apart that still can be: then {could} units count.",
}
ITSELF = "Or say at 'treatment itself' what of it is the treatment, and does not merely come with it."
MEASURED_AGAIN = (
    "Leave a piece as it was, and measure it both times."
    " Or treat the pieces one by one, and measure before and after in turn."
)
"""The order of before and after cannot simply be dealt out: what can be done about it."""
NOT_SAID = "Not said: '{key}'. A fault may hide there."
NOT_NEEDED = "Not needed here, and left aside: '{key}'."
SAY_IT = "Answer '{key}' too."
YOU_SAID = '{says} You said "{key}: {answer}".'
NAMED_NOWHERE = "nothing"
LEVELS_MISSING = {
    "units": "at least three units in each arm that count",
    "order-confounded": "arms measured in turn",
    "before-after": "pieces kept as they were and measured both times",
    "no-standard": "standards measured on the day",
    "no-blank": "a bare piece measured too",
    "no-untreated": "an arm left as it was",
    "chosen-by-hand": "arms filled by lot",
    "steps-apart": "all other steps shared",
    "no-dried-only": "an arm that got only what comes by the way",
    "no-control-edge": "an edge that stays as it is",
    "control-edge-touched": "an edge that the treatment leaves alone",
    "found": "arms that you made, and did not find",
    "all": "units drawn by lot from all there are",
}
"""What a level still needs."""
UNITS = "units of '{arm}' that count, of {listed} named"
PAIRS = "pairs that count, '{arm}' against '{base}'"
SMALLEST = "smallest chance that reshuffling could give"
DETECTABLE = "found four times in five: a difference of so many scatters between units"
SHARED = "the same where {number} comparisons share the level"
AT_EDGE = "the same in the number at {edge}, by the scatter you typed"
REACHES = "It can reach level {level}: {words}"
REACHES_AT_MOST = "It can reach level {level} at most, for not all was said: {words}"
NOT_LEVEL = "Not level {level} ({words}): needs {missing}."
NO_TEST = "One unit that counts in an arm: no test of the treatment, no chance, whatever the scans say."
WHOLE_CURVE = "No number was declared at {edges}: a whole curve needs a larger difference than that."
ONE_SPOT = "One spot on each unit: unit and place on it cannot be told apart."
ONE_SCAN = "One scan on each spot: repeat scans cannot be compared."
ONE_SOURCE = "All comes from one source: what is found holds for that one, and tells nothing of others."
FOUND = "The arms were found, not made: what else differs between them stays open."
CAUTIONS = (
    "Numbers hold for one declared number, judged once, with equal scatter in all arms.",
    "Different units are replicates; repeated scans are not.",
    "Follow your facility's and beamline's rules; staff decide.",
)


def sentence(verdict: str, number: int, level: int, arm: str) -> str:
    """The design in one sentence, its fact in `**...**`."""
    if verdict == "cannot-show":
        return f"As it stands this **cannot test the treatment**: one unit of '{arm}' counts."
    if verdict == "mend":
        some = "One fault" if number == 1 else f"{number} faults"
        return f"**{some} to mend before travel.** As it stands it reaches level {level}."
    if verdict == "cannot-tell":
        return "**Not all was said.** No fault is named, but one may hide in what is open."
    return f"**This design holds.** It can reach level {level}."


def ways_of(ways: Sequence[str]) -> str:
    """What comes by the way, as heating and drying."""
    return " and ".join({"heat": "heating", "wet": "wetting", "dry": "drying"}[way] for way in ways)


def names_of(names: Sequence[str]) -> str:
    """Some names in a row."""
    return ", ".join(names)


def group_names(groups: Sequence[Sequence[str]]) -> str:
    """Who is with whom, as A+B, C+D."""
    return ", ".join("+".join(group) for group in groups)


def fault_words(code: str, fill: dict[str, Any], key: str, answer: str) -> Words:
    """A fault with the answer that put it there, and the next act."""
    says, act = FAULTS[code]
    if fill.get("could") is not None:
        act = APART["some" if fill["could"] > fill["counted"] else "none"]
    if fill.get("unsaid"):
        act = f"{act} {ITSELF}"
    if fill.get("again"):
        act = MEASURED_AGAIN
    told = YOU_SAID.format(says=says.format(**fill), key=key, answer=answer.strip() or NAMED_NOWHERE)
    return Words(told, act.format(**fill))
