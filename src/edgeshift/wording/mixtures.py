"""The sentences of shares: at most twenty words each, and never a share without its interval."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from edgeshift.records.answer import Ref
from edgeshift.wording.numbers import count
from edgeshift.wording.numbers import earned as digits

NO_REFERENCE = "No reference stands beside this edge, so no shares can be told."
ADD_A_REFERENCE = "Measure a standard here, or lend one from the shelf: edgeshift shelf lend."
KEEP_THEM = "Ask trust why scans are set aside; keep one: edgeshift note FOLDER judge SCAN keep."
UNLIKE = "Something here is like **none of our references**: no shares yet."
ALONE = "Cannot tell: **one reference is always all of itself**, so it has no shares."
ADD_A_SECOND = "Add a second reference: measure a standard here, or lend one: edgeshift shelf lend."
SUM = "sum of the shares, not forced to be one"
SUM_OF_ONE = "as much of this reference, scaled freely, comes nearest"
MISFIT = "what no reference explains, root mean square"
EXPLAINED = "as much is explained by noise and doubted references"
OFF_ONE = (
    "The shares add up to {low:.2f} to {high:.2f}, not to one: something is missing, or scaled otherwise."
)
ALIKE = "A missing reference that resembles these cannot be seen in what is left."
DOUBTED = "The interval holds for references trusted to {height:.0f} % and {slide:.2g} eV."
FEWER_COUNTED = (
    "The count of different things says {counted}, and this fit surely needs {needed} references. "
    "Such a count looks only at what changes between spots; it is blind to a mixture that all share."
)
IN_INTERVAL = (
    "Of the detector, {dead_time}. "
    "Self-absorption is in the interval only as far as references are doubted by {height:.0f} % in height."
)
TAKEN_OFF = "dead time was taken off, and how well is not in the interval"
DEAD_TIME_NONE = "dead time is not in the interval"
DEAD_TIME_UNKNOWN = (
    "Nobody named a dead time for the fluorescence of {scans}. "
    "Counts that a detector missed lower its peaks and move the share. "
    "Name dead_time_columns or dead_time_s in the profile, or corrected: true."
)
MOST_SCANS = 4
ROUND_FROM = 10.0
"""From this many points of percent on, the ends of an interval are said in steps of five."""
UNITS = {"step": "edge steps", "area": "mean heights", "ratio": "of signal ÷ beam"}
FAN_WORDS = "share of the sum"
SUM_SHORT = "added up"
LEFT_SHORT = "left over"
AMOUNT = "edge steps, by this reference"
ALONG = "curve number along the series"
SERIES_TITLE = "edge steps by each reference; bands are formal only"
MEAN_OF = "The mean curve"
LEFT_OUT = "{out} of {count} curves {were} left out: {why}."
LEFT_OUT_WHY = {"gaps": "with a value that is missing or infinite", "flat": "the same at every energy"}
PIXELS_ARE_FORMAL = (
    "Single curves are told in edge steps by each reference, which need not add up to one. "
    "The give-or-take of a single curve is formal; references move all curves together, as the interval says."
)
AXIS_AS_GIVEN = "Energies of the stack are as its file gives them: {words}."
HELD_BY = "{gives} of the references is taken from: {sources}."
NO_AXIS_WORDS = "nobody said how they are tied"
LEFT_TITLE = "what no reference explains, and how one that is missing would look"


def name(key: str) -> str:
    """A reference or a specimen, to be named later."""
    return Ref("specimen", key).token()


def unit(detail: Mapping[str, Any]) -> str | None:
    """The unit of the curves in words."""
    return UNITS.get(detail["curves"]["unit"])


def ends(share: Mapping[str, Any]) -> tuple[str, str]:
    """Low and high in percent with no more digits than the interval is worth."""
    low, high = 100 * share["low"], 100 * share["high"]
    step = 5.0 if high - low >= ROUND_FROM else 1.0
    low, high = step * round(low / step), step * round(high / step)
    high = min(100.0, max(high, low + step))
    return f"{max(0.0, min(low, high - step)):.0f}", f"{high:.0f}"


def main_share(shares: Mapping[str, Mapping[str, Any]]) -> str:
    """The reference that most is known of: the one there is surely most of."""
    return max(shares, key=lambda each: (shares[each]["low"], shares[each]["value"]))


def sentence(detail: Mapping[str, Any]) -> str:
    """One sentence with the main share in it."""
    if detail["unlike"]:
        return UNLIKE
    if detail["alone"]:
        return ALONE
    most = main_share(detail["shares"])
    low, high = ends(detail["shares"][most])
    said = f"{name(detail['specimen'])} is between about **{low} and {high} percent** {name(most)}"
    return f"{said}, depending on which references we trust."


def sum_of(detail: Mapping[str, Any]) -> str:
    """What the number of the sum is."""
    return SUM_OF_ONE if detail["alone"] else SUM


def share(key: str, one: Mapping[str, Any]) -> str:
    """One share with its interval."""
    low, high = ends(one)
    return f"share of {name(key)}, between {low} and {high} %"


def formal(key: str) -> str:
    """The formal share: what a plain fit would claim."""
    return f"share of {name(key)} if every reference were true, formal give-or-take only"


def limit(key: str) -> str:
    """What would not have shown."""
    return f"less {name(key)} than this would not show"


def held(one: Mapping[str, Any]) -> str:
    """What the number of a quantity is that the references are known to hold."""
    return f"{one['gives']}, by what the references hold, from {one['low']:.2f} to {one['high']:.2f}"


def not_held(one: Mapping[str, Any]) -> str:
    """Why such a quantity has no number."""
    lacking = ", ".join(name(each) for each in one["lacking"])
    return f"{one['gives']} cannot be told: nobody typed what {lacking} holds"


def unused(key: str, out: int, of: int, standard: bool) -> str:
    """What is said of scans that were set aside and are missed here."""
    scans = (
        "its scan is" if of == 1 else f"all its {of} scans are" if out == of else f"{out} of {of} scans are"
    )
    if not standard:
        return f"{name(key)} is not told of: {scans} set aside."
    used = "is not used as a reference" if out == of else "is used without some scans"
    return f"{name(key)} {used}: {scans} set aside."


def equal_sets(detail: Mapping[str, Any]) -> str:
    """Which sets of references fit equally well."""
    told = [" + ".join(name(each) for each in one["references"]) for one in detail["sets"]]
    return f"sets that fit equally well: {'; '.join(told)}"


def missing(one: Mapping[str, Any]) -> str:
    """What a missing reference would look like."""
    at = f"most at {one['farthest_ev']:.1f} eV"
    return f"a missing reference would look like this: without {name(one['reference'])} more is left, {at}"


def earned(one: Mapping[str, Any]) -> str:
    """How much the smallest certain reference takes away of what is left without it."""
    return f"of what is left without {name(one['reference'])}, it explains"


def missing_short(one: Mapping[str, Any]) -> str:
    """The same, as the name of a line."""
    return f"without {name(one['reference'])}"


def variety(curves: int) -> str:
    """How many different things at least, with the weakness of such a count."""
    return (
        f"different things among these {curves} spots, at least;"
        " blind to what stays in one proportion, and a slide may count as one"
    )


def fewer_counted(counted: int, needed: int) -> str:
    """Where a count of different things says less than the fit needs."""
    return FEWER_COUNTED.format(counted=count(counted), needed=count(needed))


def detector(told: Mapping[str, Any], height: float) -> Iterator[str]:
    """Which terms of the detector the interval holds, and which nobody knows; for fluorescence alone."""
    if told["fluorescence"]:
        taken = TAKEN_OFF if told["dead_time_known"] else DEAD_TIME_NONE
        yield IN_INTERVAL.format(dead_time=taken, height=100 * height)
    if told["dead_time_unknown"]:
        scans = ", ".join(Ref("scan", key).token() for key in told["dead_time_unknown"][:MOST_SCANS])
        more = len(told["dead_time_unknown"]) - MOST_SCANS
        yield DEAD_TIME_UNKNOWN.format(scans=scans + (f" and {count(more)} more" if more > 0 else ""))


def cautions(detail: Mapping[str, Any]) -> Iterator[str]:
    """What to know beside the shares."""
    total = detail["sum"]
    if not total["low"] - 0.05 <= 1.0 <= total["high"] + 0.05:
        yield OFF_ONE.format(**total)
    trusted = list(detail["shares"].values())
    height = 100 * max(one["height"] for one in trusted)
    for one in detail.get("held", ()):
        yield HELD_BY.format(gives=one["gives"], sources="; ".join(one["sources"]))
    if not detail["alone"]:
        yield DOUBTED.format(height=height, slide=max(one["slide_ev"] for one in trusted))
    if "detector" in detail:
        yield from detector(detail["detector"], max(one["height"] for one in trusted))
    yield ALIKE


def would_change(detail: Mapping[str, Any]) -> Iterator[str]:
    """What would narrow it."""
    if detail["unlike"]:
        yield "Add a reference that has what is left over."
    elif detail["alone"]:
        yield ADD_A_SECOND
    elif len(detail["sets"]) > 1:
        yield f"{count(len(detail['sets'])).capitalize()} sets fit equally well: a wider range may part them."
    else:
        yield "References tied to this axis and measured the same way would narrow it."


def reading(share_: Mapping[str, Any]) -> str:
    """The interval beside a bar."""
    low, high = ends(share_)
    return f"{low} to {high} %"


def formal_reading(share_: Mapping[str, Any]) -> str:
    """The formal interval beside it."""
    formal_ = share_["formal"]
    value, half = 100 * formal_["value"], 100 * formal_["half"]
    return f"formal {digits(value, half)} ± {digits(half, half)} %"


def shares_alt(detail: Mapping[str, Any]) -> Sequence[str]:
    """The picture in words."""
    if detail["alone"]:
        return []
    return [f"{name(key)}: {reading(one)}, {formal_reading(one)}" for key, one in detail["shares"].items()]


def left_out(found: Mapping[str, Any]) -> Sequence[str]:
    """How many curves of a stack were left out, and why; nothing where none was."""
    parts = [f"{found[key]} {why}" for key, why in LEFT_OUT_WHY.items() if found[key]]
    out = found["gaps"] + found["flat"]
    were = "was" if out == 1 else "were"
    return [LEFT_OUT.format(out=out, count=found["count"], were=were, why=", ".join(parts))] if out else []


def map_alt(found: Mapping[str, Any]) -> str:
    """What a map or a series shows."""
    most = sorted(found["means"], key=lambda each: -found["means"][each])
    told = ", ".join(f"{found['means'][each]:.2f} of {name(each)}" for each in most)
    kind = "A series" if "along" in found else "A map"
    return f"{kind} of {found['count']} curves; on average {told}, in edge steps"
