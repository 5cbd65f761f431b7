"""What is found about several scans together: a sentence, how sure it is, and the next act."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.wording.numbers import GIVE_OR_TAKE, count

FINDINGS = {
    "charging": (
        "Its yield sags by {percent:.0f} %, give or take {sigma:.0f}; fluorescence does not: charging.",
        "Mount it thinner or press it into indium; use the fluorescence meanwhile.",
    ),
    "damage": (
        "{count} scans of one spot change shape by {percent:.0f} %, give or take {sigma:.0f}: damage?",
        "Scan a fresh spot; keep the scans made before the change.",
    ),
    "burnt-before": (
        "{count} scans agree, yet a fresh spot differs by {percent:.0f} %: burnt before the first scan?",
        "Defocus the beam and scan a fresh spot fast.",
    ),
    "series-steady": (
        "{count} short scans of one spot: no change shown; more than {limit:.2f} % a scan would have shown.",
        "Longer scans would show smaller changes.",
    ),
    "series-moving": (
        "{count} short scans of one spot change by {percent:+.2f} % a scan, give or take {sigma:.2f}.",
        "Scan a fresh spot to tell damage from drift.",
    ),
    "slide-of-energy": (
        "Since {since} everything slid {slide:+.2f} eV, give or take {sigma:.2f}: the energy scale.",
        "Check a standard, then tie it with a cited value; nothing was moved.",
    ),
    "slide-alone": (
        "Against its earlier scan it slid by {slide:+.2f} eV, give or take {sigma:.2f}: scale or chemistry?",
        "Scan a standard of this element.",
    ),
    "off-specimen": (
        "Its step is {percent:.0f} % lower than at the other spots: partly beside the specimen?",
        "Check the position, then scan the spot again.",
    ),
    "labels-swapped": (
        "It looks like the other group ({edges}); check its label.",
        "Compare photo, map and label; the label stays as it is.",
    ),
    "ghost-line": (
        "Its bump near {at:.1f} eV repeats {edge} at {order} times this energy, without a partner: a ghost?",
        "Do not name an element from it; change the filter or the mirror.",
    ),
    "baseline-of-another-order": (
        "Near {at:.1f} eV its baseline carries {edge} light of order {order}, {percent:.0f} % of its height.",
        "Choose the baseline away from there.",
    ),
    "dead-time-beside": (
        "The {detector} counter missed up to {percent:.0f} % of the light; its peaks may stay low.",
        "Use less light or a thinner spot before that counter's peaks are compared.",
    ),
    "fingerprint-left": (
        "It was never divided by I0, and {percent:.0f} % of its fine structure is the beam's.",
        "Divide by I0 before any dip or peak is named.",
    ),
    "order-confounded": (
        "All of {first} came before {second}: drift could pose as treatment.",
        "Interleave: repeat the first specimen now.",
    ),
    "shared-fire": (
        "{count} units of {arm} were treated together, so they count as one.",
        "Only another firing of its own adds a unit.",
    ),
}
"""Code -> (sentence, next act)."""

SAY_THE_SPOT = "If it is one spot, say so: note place for each, or place.file_name before they are taken."
KINDS = {
    ("off-specimen", "bare"): (
        "{percent:.0f} % of its structure is the bare mount's own: no sign of the specimen.",
        "Measure this element on a mount that holds none of it.",
    ),
    ("fingerprint-left", "missing"): (
        "It has no I0, so nothing was divided: dips and peaks may be the beam's.",
        "Divide by I0 before any dip or peak is named.",
    ),
    ("fingerprint-left", "unmarked"): (
        "Its I0 lacks the beam's structure that other scans' I0 show; its curve still has it.",
        "Divide by an I0 from behind the mirrors before any dip or peak is named.",
    ),
    ("damage", "returned"): (
        "{count} scans of one spot change shape by {percent:.0f} %, and a fresh spot returns: damage.",
        "Average only the scans made before the change; give the rest less dose.",
    ),
    ("slide-of-energy", "drift"): (
        "All specimens drift by {slide:+.2f} eV an hour, give or take {sigma:.2f}: the energy scale.",
        "Check a standard at both ends of the shift, then tie with a cited value.",
    ),
    ("slide-of-energy", "growing"): (
        "Since {since} everything slid {slide:+.2f} eV, more at higher energy: a grating angle.",
        "Check a standard at each edge, then tie each edge; nothing was moved.",
    ),
    ("series-steady", "unplaced"): (
        "{count} short scans of one name: if one spot, no change shown; {limit:.2f} % each would have shown.",
        SAY_THE_SPOT,
    ),
    ("series-moving", "unplaced"): (
        "{count} short scans of one name: if one spot, they change by {percent:+.2f} % each.",
        SAY_THE_SPOT,
    ),
    ("off-specimen", "mount"): (
        "It holds {percent:.0f} % of the bare mount's own curve: partly beside the specimen?",
        "Check the position, then scan the spot again.",
    ),
}
"""The same codes where more is known; `numbers["kind"]` says so."""


def of_scans(said: str, first: str, others: int) -> str:
    """A sentence behind the scans that it is about: the first one's token and how many more."""
    more = f" and {count(others)} more" if others else ""
    return said if first in said else f"{first}{more}: {said}"


def sentence(code: str, numbers: Mapping[str, Any]) -> str:
    """What was found and how sure that is, in at most twenty words; `sigma` is said as give-or-take."""
    said = dict(numbers)
    if said.get("sigma") is not None:
        said["sigma"] = GIVE_OR_TAKE * said["sigma"]
    return _said(code, numbers)[0].format(**said)


def next_act(code: str, numbers: Mapping[str, Any]) -> str:
    """What to do about it."""
    return _said(code, numbers)[1]


def _said(code: str, numbers: Mapping[str, Any]) -> tuple[str, str]:
    return KINDS.get((code, numbers.get("kind", "")), FINDINGS[code])
