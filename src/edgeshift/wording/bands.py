"""What the two bands of a curve are of, where they leave zero, and what they cannot show."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.records.answer import Ref
from edgeshift.wording.numbers import count

ESTIMANDS = {
    "full": "{difference}, at every energy",
    "shape": "what is left of the difference when offset, slope, height and slide are taken from every "
    "curve. It shows a change of shape, not where the difference lies",
}
"""What each band is a band of; `difference` is which arm minus which."""
SHAPE = "change of shape: offset, slope, height and slide taken out"
ONLY_SHOWN = "A band of the curve leaves zero, but the declared feature judges: the bands only show."
BAND_CUT = "the band is taller than this strip"
BARS = "bars: its band leaves zero"
MOSTLY = 0.5
"""What takes more than this share of a sum of squares is its main part (our choice, no source)."""
_DIRECTIONS = {
    "height-slide": ("height or slide", "offset and slope"),
    "offset-slope": ("offset or slope", "height and slide"),
}


def minus(control: str, treated: str) -> str:
    """Which arm is taken from which: always by their names, for one of them may be behind a curtain."""
    return f"{Ref('arm', treated).token()} minus {Ref('arm', control).token()}"


def what(name: str, left: bool | None, difference: str) -> str:
    """What a band is of, and whether it leaves zero (None: not judged, so not looked at)."""
    told = {True: "; it leaves zero", False: "; it holds zero everywhere", None: ""}[left]
    return f"{name} band: {ESTIMANDS[name].format(difference=difference)}{told}"


def difference_title(control: str, treated: str) -> str:
    """Above the strip of the difference."""
    return f"difference: {minus(control, treated)}, same scale"


def strip_note(cut: bool, left: bool) -> str:
    """Beside a strip; `cut`: its band is wider than there is room for, `left`: it leaves zero."""
    return "; ".join([*([BAND_CUT] if cut else []), *([BARS] if left else [])])


def left_zero(name: str, curves: Mapping[str, Any]) -> str:
    """For whoever cannot see the picture: whether a band leaves zero, and where; "" without any band."""
    if not curves.get("band_of"):
        return ""
    place = curves["beyond"].get(name)
    if place is None:
        return "its band holds zero everywhere" if curves["judged"] else "its band is not judged yet"
    more = len(place["stretches"]) - 1
    others = f" and in {count(more)} more {'stretch' if more == 1 else 'stretches'}" if more > 0 else ""
    return f"its band leaves zero, farthest at {place['farthest_ev']:.1f} eV{others}"


def softer(detail: Mapping[str, Any]) -> list[str]:
    """What the bands of these few units cannot show. Nothing of it where a declared feature is the judge,
    but that bands in the picture cover almost anything, or that they leave zero and are only shown."""
    curves = detail.get("curves") or {}
    said = [_single_residual(curves, detail)] if curves.get("single_residual") else []
    if detail.get("judged_by") == "feature":
        return [*said, ONLY_SHOWN] if curves.get("passed") else said
    apart = curves.get("along") or {}
    scatter, difference = apart.get("scatter"), apart.get("difference")
    if curves.get("band_of") == "units" and scatter and scatter["share"] > MOSTLY:
        said.append(_scatter_along(*_along(scatter)))
    unseen = curves.get("shape") and "shape" not in curves["passed"]
    if unseen and difference and difference["share"] > MOSTLY:
        said.append(_difference_along(*_along(difference)))
    return said


def _single_residual(curves: Mapping[str, Any], detail: Mapping[str, Any]) -> str:
    pairs = curves["band_of"] == "units" and detail["paired"]
    who, more = ("Two pairs", "A third pair") if pairs else ("Two repeats", "A third repeat")
    return f"{who} know little of scatter, so only a gross change can show. {more} helps much."


def _scatter_along(two: str, taken: str) -> str:
    return (
        f"{two.capitalize()} differ from unit to unit: {taken} the scatter. "
        f"A change of {two} is one number per unit; declare it."
    )


def _difference_along(two: str, taken: str) -> str:
    told = f"What difference there is lies mainly along {two}. {taken.capitalize()} it"
    return f"{told}: the shape band is blind to that by design."


def _along(part: Mapping[str, Any]) -> tuple[str, str]:
    """The two directions that take most, and how much they take with the other two."""
    two, others = _DIRECTIONS[part["mainly"]]
    return two, f"with {others} they make {100 * part['share']:.0f} % of"
