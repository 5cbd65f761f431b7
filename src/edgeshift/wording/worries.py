"""The words of the worry list: one bold sentence for each, and the act that would end it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.wording.names import scan_words
from edgeshift.wording.numbers import count

HEADS = {
    "labels-swapped": "Two labels may have changed places.",
    "control-moved": "{edge} moved, and should not have.",
    "text-broken": "What was typed by hand is not in force.",
    "slide-of-energy": "Every edge slid {slide:+.2f} eV.",
    "order-confounded": "One arm came first, the other after it.",
    "burnt-before": "{scan} may show burnt matter.",
    "damage": "The spot of {scan} changes as we look.",
    "fingerprint-left": "{scan} carries the beam's own marks.",
    "ghost-line": "A bump in {scan} may be a ghost.",
    "off-specimen": "{scan} may lie beside its specimen.",
    "charging": "{scan} sags: it may be charging.",
    "slide-alone": "{scan} slid away from its repeat.",
    "refused": "{files} could not be taken.",
    "no-place": "{scans} {belong} to no specimen.",
    "not-repeated": "{scan} is set aside and not repeated.",
    "no-tie": "No energy was tied to a known peak.",
    "tie-before-loss": "The beam was lost after the energy tie.",
    "old-tie": "The energy tie is {hours:.1f} hours old.",
    "cannot-tell": "{edge} cannot tell yet.",
    "one-batch": "{units} units shared one treatment.",
    "dead-time-beside": "A counter missed much of the light.",
    "series-moving": "The spot of {scan} changes a little.",
    "baseline-of-another-order": "A baseline carries light of another edge.",
}
"""Code -> the worry in one sentence."""

WHY = {
    "control-moved": "Its units moved by {number}; what moved it may have moved the others.",
    "no-place": "What belongs to no specimen is compared with nothing.",
    "no-tie": "Energies are as the instrument gave them; days apart they cannot be compared.",
    "cannot-tell": "{words}.",
    "not-yet-there": "Only one of the arms has a kept scan",
}
"""Where the reason has no sentence of its own."""

AGAIN, FRESH, STANDARD, MOVE, FIRST_AGAIN, ONE_MORE = (
    "scan again",
    "fresh spot",
    "scan standard",
    "move and scan",
    "first one again",
    "one more unit",
)
"""What an act is called on its key."""


def head(code: str, numbers: Mapping[str, Any]) -> str:
    """The worry in one sentence; `numbers` hold what it speaks of."""
    said = HEADS[code].format(**{**numbers, "scan": scan_words(str(numbers.get("scan", "")))})
    return said[:1].upper() + said[1:]


def act_words(act: str, scan: str | None, edge: str | None) -> str:
    """The act as the book keeps it, as "scan again: scan 24, Fe L"."""
    about = ", ".join(part for part in (scan and scan_words(scan), edge) if part)
    return f"{act}: {about}" if about else act


def files(number: int) -> str:
    """As "Two files"."""
    return f"{count(number).capitalize()} file{'s' if number != 1 else ''}"


def scans(number: int) -> str:
    """As "Two scans"."""
    return f"{count(number).capitalize()} scan{'s' if number != 1 else ''}"
