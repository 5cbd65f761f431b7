"""The words of "What may we say aloud?": at most twenty a sentence. None of them words a claim."""

from __future__ import annotations

from collections.abc import Sequence

from edgeshift.wording.numbers import count

NOTHING_SAID = "Nobody has said anything yet, so there is nothing to hold against the data."
SAY_IT = "Say it in your own words, and choose what kind of claim it is."
OWN_WORDS = "The words are the group's own; nothing here reads, rates or changes them."
TEXTURE = "Texture not excluded: layered material, and no second angle was measured."
NO_STRESS = "No stress was tried yet: this says nothing of how easily it falls."
NO_EDGE = "no edge is named"
NAME_EDGE = "Say the claim again, with its edge."
NO_TWO_ARMS = "the control and one treated arm are not named"
NAME_ARMS = "Say the claim again, with the arms it speaks of."
NOTHING_TO_COMPARE = "both arms need kept scans here"
BOTH_ARMS = "Scan both arms at this edge."
SECOND_SPOT = "Measure a second spot on each specimen."
MORE_SPOTS = "Measure more spots on each specimen."
MORE_SCANS = "Repeat the scans: a smaller difference then shows."
MORE_UNITS = "Treat and measure more units, each on its own."
FEATURE_UNREAD = "its feature cannot be read with a give-or-take"
FEATURE_ACT = "Scan over the feature's windows, more than once."
NO_DIRECTION = "without a feature nothing is higher or lower"
DECLARE = "Say the claim again, with its feature."
LOOK_AT_SIGN = "Ask real: look which arm is higher."
NOT_ASKED = "shares of references were not asked for"
NO_SHARES = "no shares can be told in both arms"
NAME_CONTROL = "Write control: true beside the untreated arm."
ALL_SUCH = "one shift, one place: nothing measured here speaks for all such"
REPEAT_ELSEWHERE = "Let another group repeat it with material from elsewhere."
MISSING, STILL_TRUE, ASKED = "Missing", "Still true when", "this claim asks for it"
LEADS = {"evidence": "we saw", "reason": "because", "unless": "unless"}
NO_STRESS_YET = "No stress was tried yet."
STATES = {"met": "met", "not-met": "missing", "cannot-tell": "cannot tell", "not-asked": "not asked"}
_STRESS = {
    "unit": "any unit is left out",
    "scan": "any scan is set aside",
    "slide": "energies slide 0.1 eV",
    "baseline": "baseline or scale is chosen otherwise",
    "reference": "any reference is left out",
    "shuffle": "labels are exchanged: then it must fall",
}
_RUNG = {
    "scans": "the arms differ more than repeat scans do",
    "spots": "the arms differ more than spots of one specimen do",
    "units": "the arms differ more than their own units do",
}


def sentence(verdict: str, asked: int, carried: int | None) -> str:
    """The level asked beside the level carried."""
    if verdict == "carried":
        more = f" They carry level {carried} too." if carried is not None and carried > asked else ""
        return f"The data **carry level {asked}**, as this claim asks.{more}"
    reach = "no level yet" if carried is None else f"level {carried}"
    if verdict == "cannot-tell":
        return f"This claim asks for level {asked}. The data carry **{reach}**; the rest cannot be told yet."
    return f"This claim asks for level {asked}. The data carry **{reach}**."


def need(level: int, what: str, state: str) -> str:
    """One need of one level."""
    return f"level {level}, {STATES[state]}: {what}"


def kept(kept_: int, taken: int, edge: str | None) -> str:
    """Scans that may be trusted."""
    where = f" at {edge}" if edge else ""
    return f"{kept_} of {taken} scans kept{where}." if taken else f"nothing was scanned{where}."


def scan_once(edge: str | None, taken: int) -> str:
    """What brings a kept scan."""
    if taken:
        return "Ask trust why every scan was set aside, then scan again."
    return f"Scan {edge} once." if edge else "Take in a first scan."


def element(symbol: str, verdict: str) -> str:
    """Whether the element was seen."""
    told = {"seen": "seen", "not-seen": "not seen", "cannot-tell": "cannot tell whether it is there"}
    return f"{symbol}: {told[verdict]}"


def look_closer(edge: str) -> str:
    """Who can say what is lacking."""
    return f"Ask here with --edge '{edge}': it names what else this could be."


def rung(name: str, state: str, why: str) -> str:
    """A rung of the question before."""
    if state == "cannot-test":
        return f"{_RUNG[name]}: {why or 'no test'}"
    return _RUNG[name] if state == "lit" else f"{_RUNG[name]}: not shown; so much would have shown"


def units(number: int, paired: bool) -> str:
    """How many, of the three at least that a claim about treating rests on."""
    kind = (
        ("pair" if paired else "unit")
        + ("" if number == 1 else "s")
        + ("" if paired else " in the smaller arm")
    )
    return f"{count(number)} {kind}, of at least three."


def measure_units(number: int, paired: bool) -> str:
    """What fills the number."""
    many = "" if number == 1 else "s"
    kind = f"pair{many}" if paired else f"unit{many} in each arm"
    return f"Measure {count(number)} more {kind}, each treated on its own."


def feature(words: str, apart: bool) -> str:
    """Whether the give-or-take of the claim's feature leaves zero."""
    return f"{words}: {'its give-or-take leaves zero' if apart else 'its give-or-take holds zero'}"


def direction(higher: str, same: bool, apart: bool) -> str:
    """Which arm is higher."""
    if not apart:
        return f"{{arm:{higher}}} higher: within the give-or-take"
    return f"{{arm:{higher}}} {'is the higher one' if same else 'is the lower one'}"


def references(number: int) -> str:
    """References at this edge."""
    many = "reference" if number == 1 else "references"
    return f"{count(number)} {many} at this edge, of at least two."


def measure_references(edge: str | None) -> str:
    """What fills the number."""
    return f"Scan two standards at {edge}, or lend them from the shelf."


def share_moves(name: str, clear: bool) -> str:
    """Which share moves from arm to arm, and whether beyond its interval."""
    return f"share of {{specimen:{name}}}: the arms' intervals {'lie apart' if clear else 'meet'}"


def ask_shares(edge: str | None) -> str:
    """Where shares are told."""
    return f"Ask here with --edge '{edge}' --shares."


def control(named: bool, arm: str) -> str:
    """The untreated arm."""
    return f"{{arm:{arm}}} is the control" if named else "no arm is called the control"


def control_edge(moved: Sequence[str], stayed: Sequence[str], known: Sequence[str]) -> str:
    """What should not move."""
    if moved:
        return f"{' and '.join(moved)} moved, and should not have"
    if stayed:
        return f"{' and '.join(stayed)} stayed, as a control edge should"
    return (
        f"{' and '.join(known)} cannot be judged yet"
        if known
        else "no edge that should not move was measured"
    )


def control_edge_act(moved: Sequence[str], known: Sequence[str]) -> str:
    """What then."""
    if moved:
        return "Ask trust and find what moved everything, before anything is said of a cause."
    if known:
        return f"Measure more units at {known[0]}."
    return "Measure an edge that should not move, with role: control."


def in_turn(turn: bool) -> str:
    """The order in which the arms were measured."""
    return "arms were measured in turn" if turn else "one arm was measured all before the other"


def measure_in_turn(edge: str | None) -> str:
    """What undoes it."""
    return f"Measure both arms again in turn at {edge}."


def still_true(kind: str, kept_: int, tried: int) -> str:
    """One line of the tally."""
    return f"still true when {_STRESS[kind]}: {kept_} of {tried}"


def stress_kind(kind: str) -> str:
    """The same kind alone."""
    return _STRESS[kind]


def kept_of(kept_: int, tried: int) -> str:
    """As "17 of 18"."""
    return f"{kept_} of {tried}"


def said_alt(claim: str) -> str:
    """People's words, for whoever hears the picture."""
    return f"People say: {claim}"


def missing_alt(level: int, what: str) -> str:
    """One missing thing, heard."""
    return f"Missing at level {level}: {what.removesuffix('.')}."


def stress_alt(kind: str, kept_: int, tried: int) -> str:
    """One line of the tally, heard."""
    return f"Still true when {kind}: {kept_of(kept_, tried)}."
