"""The words that stand in pictures, and the same pictures in words for whoever cannot see them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

from edgeshift.records.answer import Answer, Ref
from edgeshift.records.figure import ShelfRow
from edgeshift.wording import bands, looks, trust, trust_findings
from edgeshift.wording.numbers import count, earned, with_give_or_take

PHOTON_ENERGY = "photon energy, eV"
RUNG_TITLES = {
    "scans": "more than repeat scans",
    "spots": "more than other spots",
    "units": "more than other units",
}
SHORT_TITLES = {"scans": "repeat scans", "spots": "other spots", "units": "other units"}
STATES = {"lit": "lit", "not-shown": "not shown", "cannot-test": "cannot be tested"}
STAMPS = {"before": "declared before", "after": "found after"}
NO_BAND = "nothing repeated yet: no band"
IN_ITS_BAND = "in its give-or-take band"
NOTHING_YET = "Nothing here yet."
ADD_A_SCAN = "Take in a first scan."
NO_EDGE = "no edge named"
NO_PICTURE = "This answer has no picture of its own."
NO_CAUSE = "The two scans were not taken apart."
BANDS_CUT = "the bands are taller than this strip"
LEFT_OVER = "what is left, same scale"
LEFT_OVER_SHORT = "what is left"
SHARE = "share of the difference"
FIRST_AND_SECOND = ("first scan", "second scan")
CURVE_UNITS = {"step": "edge steps", "area": "mean heights", "ratio": "of signal ÷ beam"}
PART_UNITS = {code: unit.replace(" ", "\u00a0") for code, unit in {**CURVE_UNITS, "raw": "as read"}.items()}
"""How the unit of a curve is said behind a number."""
_NUMBER = re.compile(r"-?\d+(\.\d+)?(e[+-]?\d+)?")
CAUSES = {
    "gain": "gain",
    "offset": "offset",
    "slope": "slope",
    "slide": "slide in energy",
    "blur": "blur",
    "left": "left over",
    "left-over": "left over",
}


def arm(key: str) -> str:
    """An arm, to be named later."""
    return Ref("arm", key).token()


def unit(key: str) -> str:
    """A unit, to be named later."""
    return Ref("unit", key).token()


def spot(key: Any) -> str:
    """A spot, to be named later."""
    return Ref("spot", str(key)).token()


def scan(key: str) -> str:
    """A scan, to be named later."""
    return Ref("scan", key).token()


def energy_at(edge: str | None) -> str:
    """The words of the ruler: its unit, and the edge, which nothing else in a picture may name."""
    return f"{PHOTON_ENERGY}, at {edge}" if edge else PHOTON_ENERGY


def dots_words(read: Mapping[str, Any]) -> str:
    """What the dots of the rungs are, with the unit where they have one."""
    unit = read.get("unit") or "ratio"
    return read["words"] if unit == "ratio" else f"{read['words']}, in {unit}"


def no_curves(edge: str | None) -> str:
    """In place of a plot."""
    return f"Cannot tell: no curves of both arms at {edge} yet." if edge else "Cannot tell: no curves yet."


def rung_words(code: str, state: str, detail: Mapping[str, Any]) -> str:
    """What a rung wears: why there is no test, or what would have shown, and since when it is frozen."""
    said = (detail.get("rung_words") or {}).get(code)
    if said:
        return said
    told = "" if state == "lit" else _not_lit(code, state, detail)
    return "; ".join(part for part in (told, looks.short(detail) if code == "units" else "") if part)


def _not_lit(code: str, state: str, detail: Mapping[str, Any]) -> str:
    shown = (detail.get("would_have_shown") or {}).get(code)
    if state == "not-shown" and shown is not None and math.isfinite(shown):
        return f"not shown; {_enough(printed(f'{shown:.2g}'), detail)} would have"
    return STATES[state]


def _enough(size: str, detail: Mapping[str, Any]) -> str:
    """A difference with its unit: the feature's, or the curve's where the whole curve was the judge.

    Then it is meant where the curves differ most; the dots say so themselves unless they read a feature.
    """
    feature = detail.get("feature")
    if not feature or detail.get("judged_by") == "curve":
        unit = CURVE_UNITS.get((detail.get("curves") or {}).get("unit", ""), "")
        told = f"{size} {unit}" if unit else f"a difference of {size}"
        return f"{told} where they differ most" if feature else told
    unit = feature.get("unit", "ratio")
    return f"{size} in this ratio" if unit == "ratio" else f"{size} {unit}"


def printed(number: str) -> str:
    """A number as a picture shows it: a true minus sign, and its power of ten as one."""
    mantissa, _, power = number.partition("e")
    if power and float(mantissa) == 0:
        return "0"
    told = f"{mantissa}\u00a0×\u00a010^{int(power)}" if power else mantissa
    return told.replace("-", "\u2212")


def reading(feature: Mapping[str, Any] | None) -> str:
    """The difference with its ends, no finer than they allow."""
    if not feature or feature.get("difference") is None:
        return ""
    low, high = feature.get("low"), feature.get("high")
    if low is None or high is None:
        return f"difference {_signed(feature['difference'], None)}"
    half = (high - low) / 2
    ends = f"{_signed(low, half)} and {_signed(high, half)}"
    return f"difference {_signed(feature['difference'], half)}, between {ends}"


def ladder_reading(detail: Mapping[str, Any]) -> str:
    """What stands at the foot of a ladder: the difference, and what the rungs were judged by."""
    feature = detail.get("feature")
    if not feature:
        return "no feature named: judged by the whole curve"
    by_curve = "; rungs judged by the whole curve" if detail.get("judged_by") == "curve" else ""
    return reading(feature) + by_curve


def _signed(value: float, give_or_take: float | None) -> str:
    text = printed(earned(value, give_or_take))
    return text if text.startswith("\u2212") else f"+{text}"


def part(code: str, value: float | None, sigma: float | None, unit_words: str) -> str:
    """One cause's own value with its give-or-take, as the text tells it; a gain has its sign."""
    if value is None:
        return "not known"
    said, wide, unit_words = trust.as_read(code, value, sigma, unit_words)
    if value == 0 and wide is not None:
        told = f"none, give or take {earned(wide, wide)}"
    else:
        told = with_give_or_take(said, wide, None)
        told = f"+{told}" if code == "gain" and said > 0 else told
    numbers = _NUMBER.sub(lambda found: printed(found[0]), told)
    return f"{numbers} {PART_UNITS.get(unit_words, unit_words or '')}".rstrip()


def left_over(value: str, chi2_nu: float | None) -> str:
    """What is left, and how it compares with noise; `chi2_nu` is the square of that."""
    if chi2_nu is None:
        return value
    times = math.sqrt(chi2_nu)
    return f"{value}, {times:.1f} times noise" if times >= 1.05 else f"{value}, no more than noise"


def found(sentence: str, scans: Sequence[str]) -> str:
    """A finding beside a picture of two scans, behind the one that it is about; about both, alone."""
    return f"**{scan(scans[0])}:** {sentence}" if len(scans) == 1 else sentence


def found_in_shift(sentence: str, scans: Sequence[str]) -> str:
    """A finding beside a whole shift, behind its first scan and how many more, unless it says so."""
    if not scans or scan(scans[0]) in sentence:
        return sentence
    more = f" and {count(len(scans) - 1)} more" if len(scans) > 1 else ""
    return f"**{scan(scans[0])}{more}:** {sentence}"


def more_findings(number: int) -> str:
    """Behind the findings for which there was room."""
    return f"And {count(number)} more {'finding' if number == 1 else 'findings'}."


def verdict_words(verdict: str) -> str:
    """A verdict of "real" beneath a small ladder."""
    return {
        "units": "beyond other units",
        "spots": "beyond other spots",
        "scans": "beyond repeat scans",
        "not-shown": "not shown",
        "no-change": "no change that matters",
        "cannot-tell": "cannot tell",
    }[verdict]


SHORT_REASONS = {
    "few-points": "too few points",
    "short-below": "too short below its edge",
    "short-above": "too short after its last line",
    "short-feature": "not over the whole feature",
    "no-edge": "no edge named",
    "back-steps": "energies step back",
    "gap": "a gap in its energies",
    "clipped": "at its ceiling, points left out",
    "beam-dropped": "the beam fell away, points left out",
    "missing": "points without a number",
    "spike": "a blip, left out",
    "injection": "fresh electrons, points left out",
    "feature-lost": "too few points left in the feature",
    "dead-time": "light missed by the counter",
    "falls": "falls at its edge: signal and I0 swapped?",
    "weak-step": "its step drowns in noise",
    "weak-line": "its white line drowns in noise",
    "beam-structure": "marks of the beam left in it",
    "tilted": "tilted against its others",
    "squeezed": "tall parts pressed down",
    "noisy": "noisier than its others",
    "no-specimen": "no specimen named",
    "unlisted": "specimen not in the text",
    "duplicate": "the same file twice",
    "charging": "its yield sags: charging",
    "damage": "changed by its dose",
    "burnt-before": "burnt before its first scan?",
    "series-steady": "steady over many scans",
    "series-moving": "moves from scan to scan",
    "slide-of-energy": "slid with the energy scale",
    "slide-alone": "slid alone: scale or chemistry?",
    "off-specimen": "partly beside the specimen?",
    "labels-swapped": "looks like the other group; check",
    "ghost-line": "a ghost of another edge?",
    "baseline-of-another-order": "another order under its baseline",
    "dead-time-beside": "light missed by a counter beside it",
    "fingerprint-left": "not divided by I0",
    "order-confounded": "one arm all before the other",
    "one-batch": "one batch, counts once",
}
"""A reason of "trust" where many scans share it; what is not here stands in its own sentence."""


FOUND_TOGETHER = frozenset(SHORT_REASONS[code] for code in trust_findings.FINDINGS)
"""Those that only several scans together can show."""


def short_reason(code: str, sentence: str) -> str:
    """A reason in a few words; what a reader doubted or a person said stays as it was said."""
    return SHORT_REASONS.get(code, sentence.rstrip("."))


def tally(states: Sequence[str], copies: int = 0) -> str:
    """How many scans were kept, kept with a note, set aside; `copies` of files are counted beside them."""
    aside, noted = states.count("set-aside"), states.count("keep-with-a-note")
    parts = [f"{len(states) - aside or 'none'} kept"]
    parts += [f"{noted} with a note"] if noted else []
    parts += [f"{aside} set aside"] if aside else []
    parts += [f"{copies} {'copy' if copies == 1 else 'copies'}"] if copies else []
    return ", ".join(parts)


def plain_alt(sentence: str, more: Sequence[str]) -> str:
    """Alternative text: the sentence, then what the picture adds."""
    said = [text.replace("**", "").strip() for text in (sentence, *more)]
    return " ".join(text if text.endswith((".", "?", "!")) else f"{text}." for text in said if text)


def shelf_row(row: ShelfRow) -> str:
    """One row of the shelf: its tally, and every reason with its scans."""
    states = {"set-aside": "set aside", "keep-with-a-note": "with a note"}
    told = [f"{states[one.state]}, {one.words}: {', '.join(one.scans)}" for one in row.reasons]
    return "; ".join([f"{row.name}: {row.tally}", *told])


def more_scans(number: int) -> str:
    """Behind the scans of a reason for which there was room."""
    return f"and {number} more"


def more_reasons(number: int) -> str:
    """Behind the reasons of an edge for which there was room."""
    return f"and {number} more {'reason' if number == 1 else 'reasons'}"


def trace_alt(answer: Answer, trace: Mapping[str, Any], flags: int) -> str:
    """One trace in its band."""
    at = f" at {answer.edge}" if answer.edge else ""
    low, high = min(trace["energy_ev"]), max(trace["energy_ev"])
    causes = sorted({flag["words"] for flag in trace.get("flags") or ()})
    more = [f"{scan(trace['scan'])}{at} in its give-or-take band, from {low:.0f} to {high:.0f} eV"]
    if causes:
        more.append(f"{count(flags)} {'point' if flags == 1 else 'points'} ringed: {'; '.join(causes)}")
    return plain_alt(answer.sentence, more)


def shown_from(low: float, high: float) -> str:
    """A window of the ruler."""
    return f"Shown from {low:.1f} to {high:.1f} eV"


def sketches(number: int) -> str:
    """What the room drew."""
    what = "sketch" if number == 1 else "sketches"
    return f"{count(number)} {what} by the room, in pencil, beneath".capitalize()


def cause_alt(name: str, value: str, main: bool) -> str:
    """One cause."""
    return f"{name}: {value}{', the main cause' if main else ''}"


def small_alt(edge: str, states: Sequence[str], stamp: str) -> str:
    """One small ladder."""
    told = ", ".join(
        f"{title} {STATES[state]}" for title, state in zip(SHORT_TITLES.values(), states, strict=True)
    )
    return f"{edge}: {told}{', ' + stamp if stamp else ''}"


def real_alt(sentence: str, detail: Mapping[str, Any]) -> str:
    """Curves, difference and rungs of one answer to "real"."""
    more = []
    if detail.get("curves"):
        more.append(_curves_alt(detail))
    states = detail.get("rungs") or {}
    told = [f"{RUNG_TITLES[code]}: {STATES[states[code]]}" for code in RUNG_TITLES if code in states]
    if told:
        more.append(f"Three rungs: {'; '.join(told)}")
    if detail.get("frozen"):
        more.append(detail["frozen"].rstrip("."))
    if detail.get("feature"):
        more.append(f"{detail['feature']['words']}: {reading(detail['feature'])}")
    elif detail.get("found"):
        more.append(f"Dots: {dots_words(detail['found'])}")
    if detail.get("feature") or detail.get("found"):
        more.append(STAMPS[detail.get("declared", "after")].capitalize())
    return plain_alt(sentence, more)


def shape_alt(curves: Mapping[str, Any]) -> str:
    """The strip of the change of shape."""
    left = bands.left_zero("shape", curves)
    return f"beneath that the {bands.SHAPE}" + (f"; {left}" if left else "")


def _curves_alt(detail: Mapping[str, Any]) -> str:
    control, treated = detail["control"], detail["treated"][0]
    curves = detail["curves"]
    values = [abs(v) if v is not None else -1.0 for v in curves["difference"]["value"]]
    at = max(range(len(values)), key=values.__getitem__)
    shown = [arm(control), arm(treated), *(arm(other) for other in curves.get("others", ()))]
    beneath = [
        f"beneath them {bands.minus(control, treated)}, largest at {curves['energy_ev'][at]:.1f} eV",
        bands.left_zero("full", curves),
    ]
    if curves.get("shape"):
        beneath.append(shape_alt(curves))
    return (
        f"{detail.get('edge') or 'Curves'} of {', '.join(shown[:-1])} and {shown[-1]} in give-or-take bands; "
        f"{'; '.join(part for part in beneath if part)}"
    )
