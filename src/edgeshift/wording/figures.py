"""The words that stand in pictures, and the same pictures in words for whoever cannot see them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from edgeshift.records.answer import Ref
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
DIFFERENCE = "the difference, same scale"
DIFFERENCE_CUT = "the difference; its band goes on"
BANDS_GO_ON = "the bands go on beyond the picture"
LEFT_OVER = "what is left, same scale"
SHARE = "share of the difference"
FIRST_AND_SECOND = ("first scan", "second scan")
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


def difference_label(control: str, treated: str, cut: bool) -> str:
    """What stands beneath the curves; `cut`: the band is wider than the picture has room for."""
    told = f"{arm(treated)} minus {arm(control)}, same scale"
    return f"{told}; its band goes on" if cut else told


def no_curves(edge: str | None) -> str:
    """In place of a plot."""
    return f"Cannot tell: no curves of both arms at {edge} yet." if edge else "Cannot tell: no curves yet."


def rung_words(code: str, state: str, detail: Mapping[str, Any]) -> str:
    """What a rung wears that is not lit: why there is no test, or what would have shown."""
    said = (detail.get("rung_words") or {}).get(code)
    if said:
        return said
    shown = (detail.get("would_have_shown") or {}).get(code)
    if state == "not-shown" and shown is not None and math.isfinite(shown):
        return f"not shown; a difference of {shown:.2g} would have"
    return STATES[state]


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
    text = earned(value, give_or_take)
    return text.replace("-", "\u2212") if text.startswith("-") else f"+{text}"


def part(value: float | None, sigma: float | None, unit_words: str) -> str:
    """One cause's own value, with twice its sigma as give-or-take."""
    if value is None:
        return "not known"
    told = with_give_or_take(value, 2 * sigma if sigma is not None else None, unit_words)
    return told.replace("-", "\u2212", 1) if value < 0 else told


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


def tally(states: Sequence[str]) -> str:
    """How many scans were kept, kept with a note, set aside."""
    aside, noted = states.count("set-aside"), states.count("keep-with-a-note")
    parts = [f"{len(states) - aside} kept"]
    parts += [f"{noted} with a note"] if noted else []
    parts += [f"{aside} aside"] if aside else []
    return ", ".join(parts)


def plain_alt(sentence: str, more: Sequence[str]) -> str:
    """Alternative text: the sentence, then what the picture adds."""
    said = [text.replace("**", "").strip() for text in (sentence, *more)]
    return " ".join(text if text.endswith((".", "?", "!")) else f"{text}." for text in said if text)


def shelf_row(edge: str, told: str, aside: Sequence[tuple[str, str]]) -> str:
    """One row of the shelf."""
    return " ".join([f"{edge}: {told}.", *(f"{name}: {why}" for name, why in aside)])


def trace_alt(sentence: str, trace: Mapping[str, Any], flags: int) -> str:
    """One trace in its band."""
    low, high = min(trace["energy_ev"]), max(trace["energy_ev"])
    causes = sorted({flag["words"] for flag in trace.get("flags") or ()})
    more = [f"{scan(trace['scan'])} in its give-or-take band, from {low:.0f} to {high:.0f} eV"]
    if causes:
        more.append(f"{count(flags)} {'point' if flags == 1 else 'points'} ringed: {'; '.join(causes)}")
    return plain_alt(sentence, more)


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
    if detail.get("feature"):
        more.append(f"{detail['feature']['words']}: {reading(detail['feature'])}")
        more.append(STAMPS[detail.get("declared", "after")].capitalize())
    return plain_alt(sentence, more)


def _curves_alt(detail: Mapping[str, Any]) -> str:
    control, treated = detail["control"], detail["treated"][0]
    curves = detail["curves"]
    values = [abs(v) if v is not None else -1.0 for v in curves["difference"]["value"]]
    at = max(range(len(values)), key=values.__getitem__)
    shown = [arm(control), arm(treated), *(arm(other) for other in curves.get("others", ()))]
    return (
        f"{detail.get('edge') or 'Curves'} of {', '.join(shown[:-1])} and {shown[-1]} in give-or-take bands; "
        f"beneath them {arm(treated)} minus {arm(control)}, largest at {curves['energy_ev'][at]:.1f} eV"
    )
