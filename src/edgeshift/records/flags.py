"""The one registry of what can be wrong with a single point. Flagged points are never deleted."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Flag:
    """A bit, a closed name, a few words for a label, and a sentence for the page."""

    bit: int
    code: str
    words: str
    sentence: str


FLAGS = (
    Flag(1, "missing", "no number", "The file holds no number at this point."),
    Flag(2, "clipped", "at its ceiling", "The detector was at its ceiling, so the true value is higher."),
    Flag(4, "i0-collapse", "beam dropped", "The incoming beam fell away at this point."),
    Flag(8, "spike", "one blip", "One point stands far from its neighbours and from the other scans."),
    Flag(16, "injection", "fresh electrons came in", "Electrons were added to the ring at this moment."),
    Flag(32, "dead-time", "counter very busy", "The counter missed a large share of the light here."),
)
BY_CODE = {flag.code: flag for flag in FLAGS}
UNUSABLE = sum(BY_CODE[code].bit for code in ("missing", "clipped", "i0-collapse", "spike", "injection"))
"""Points that the average leaves out; they stay in the record and in the picture."""
