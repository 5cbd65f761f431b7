"""The sentences of "Do we trust this trace?": at most twenty words each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.records.answer import Ref
from edgeshift.wording import trust_findings
from edgeshift.wording.numbers import GIVE_OR_TAKE, with_give_or_take

REASONS = {
    "few-points": "Only {points} points: too short to scale to an edge step.",
    "short-below": "The level stretch below its edge is {found:.1f} eV; it needs {needed:.1f} eV.",
    "short-above": "The stretch after its last line is {found:.1f} eV; an edge step needs {needed:.1f} eV.",
    "short-feature": "It does not reach over the whole feature, {low:.1f} to {high:.1f} eV.",
    "no-edge": "Nobody said which edge this is, and its energies do not tell.",
    "back-steps": "Its energies step back at {points} points.",
    "gap": "A gap of {gap:.3g} eV lies where at most {allowed:.3g} eV may.",
    "clipped": "The detector stood at its ceiling near {at:.1f} eV; points left out: {points}.",
    "beam-dropped": "The incoming beam fell away near {at:.1f} eV; points left out: {points}.",
    "missing": "Points that hold no number: {points}.",
    "spike": "A blip stands out near {at:.1f} eV; points left out: {points}.",
    "injection": "Fresh electrons came in near {at:.1f} eV; points left out: {points}.",
    "feature-lost": "Too few usable points are left in the feature's window.",
    "dead-time": "The counter missed {percent:.0f} % of the light.",
    "falls": "The signal falls at its edge: are signal and I0 swapped?",
    "weak-step": "No clear edge is seen: its step is {sigmas:.1f} times its own noise.",
    "weak-line": "No clear edge is seen: its white-line area is {sigmas:.1f} times its own noise.",
    "beam-structure": "Marks of the incoming beam are left in it (correlation {correlation:.2f}).",
    "tilted": "It tilts by {percent:.0f} % of its height against the specimen's other scans.",
    "squeezed": "Its tall parts are pressed down beside others: saturation or thickness may do this.",
    "noisy": "Its noise is {times:.1f} times that of the specimen's other scans.",
    "no-specimen": "Nobody said which specimen this is.",
    "unlisted": "Its specimen is not in the experiment text.",
    "doubt": "{words}",
    "judged": "{words}",
    "duplicate": "The same file came twice; it counts once.",
    **{code: said for code, (said, _) in trust_findings.FINDINGS.items()},
}
"""Code to sentence. What a reader doubted, or a person said, stands in their own words."""
NO_EDGE_SEEN = dict.fromkeys(("weak-step", "weak-line"), "No edge is seen above its noise.")
"""The same where there is nothing to count."""

NO_SCANS = "**No scans yet**, so nothing can be judged."
SCAN_AGAIN = "Scan again what was set aside, if the minutes allow."
KEEP_IT = "A person may keep a scan that was set aside, with a reason; nothing was deleted."
NEVER_TIED = "No energy tie has been made; energies are as the instrument gave them."
KINDS = {
    "gain": "mostly in gain",
    "offset": "mostly by an offset",
    "slope": "mostly by a slope",
    "slide": "mostly by a slide in energy",
    "blur": "mostly in sharpness",
    "left": "in shape",
}
"""What most of the difference between two scans is."""
PARTS = {
    "gain": "gain",
    "offset": "offset",
    "slope": "slope over the whole range",
    "slide": "slide in energy",
    "blur": "blur, as a variance",
    "left": "what is left, squared, over what noise alone would leave",
}
CAUTIONS = {
    "gain": "Gain alone is no chemistry; saturation or thickness may cause it and stay unproven here.",
    "slide": "A slide may be the energy scale or chemistry; a standard tells them apart.",
    "offset": "An offset is mostly background; the baseline takes it out before arms are compared.",
    "slope": "A slope is mostly background; a baseline that is a line takes it out.",
    "blur": "Sharpness changes with slits and focus, or with the specimen; a standard tells them apart.",
    "left": "What is left may be chemistry, damage or charging; a third scan helps to tell.",
    "bend": "Thickness, saturation or a mount may bend heights so; chemistry is neither shown nor excluded.",
    "different": "Gain, slide and offset of different spectra mean little; compare each with references.",
}
BESIDE_BENDS = "slide in energy where tall parts may be pressed down, which alone would fake a larger one"
TOO_LITTLE = "These two share **too few points** to say why they differ."


def reason(code: str, numbers: Mapping[str, Any]) -> str:
    """One reason in plain words."""
    if code in trust_findings.FINDINGS:
        return trust_findings.sentence(code, numbers)
    if code in NO_EDGE_SEEN and numbers["sigmas"] < 0.05:
        return NO_EDGE_SEEN[code]
    return REASONS[code].format(**numbers)


def verdict_sentence(scans: int, aside: int, noted: int) -> str:
    """As "43 of 46 scans kept; 3 set aside, with reasons."."""
    if scans == 1:
        return _only_scan(aside, noted)
    if aside == scans:
        return f"**None of {scans} scans kept**; each is set aside, with its reason."
    if aside:
        return f"{scans - aside} of {scans} scans kept; **{aside} set aside**, with reasons."
    more = f"; {noted} with a note" if noted else ""
    return f"**All {scans} scans kept**{more}."


def _only_scan(aside: int, noted: int) -> str:
    if aside:
        return "**Set aside**, with its reason. Scan again?"
    return "**Keep**, with a note: read it first." if noted else "**Keep.** It is complete and quiet."


def beam_lost_since_tie() -> str:
    """A caution: the beam was away after the last tie."""
    return "The beam was lost after the last energy tie; check a standard before going on."


def tie_age(hours: float) -> str:
    """A caution about an old energy tie."""
    return f"The last energy tie is {hours:.1f} h older than the last scan; check a standard."


NO_PLAIN_CAUSE = "no plain cause explains most of it"
SIZED = ("gain", "slide")
"""Main causes whose size is told in the sentence; the others' units say little at four metres."""


BOTH = {
    "none": "are **the same within noise**.",
    "repeats": "**agree as repeats**; beyond noise there is {part}.",
    "bend": "**agree in position**; their heights differ unevenly, cause open.",
    "different": "are **two different spectra**, not two scans of one thing.",
}
"""What is said of both alike."""


def difference(first: str, second: str, kind: str, part: tuple[str, float, float | None, str | None]) -> str:
    """Why two scans differ, by their keys; `part` is the main part's code, value, give-or-take and unit."""
    one, two = Ref("scan", first).token(), Ref("scan", second).token()
    main, *size = part
    sized = f"{'+' if size[0] > 0 else ''}{with_give_or_take(*size)}" if main in SIZED else ""
    if kind in BOTH:
        small = f"a {main} of {sized}" if sized else f"only a small {main}"
        return f"{one} and {two} {BOTH[kind].format(part=small)}"
    told = f": {sized}" if sized else f": {NO_PLAIN_CAUSE}" if kind == "left" else ""
    return f"{two} differs from {one} **{KINDS[kind]}**{told}."


def as_read(code: str, value: float, sigma: float | None, unit: str | None) -> tuple:
    """A part as people read it: its value, its give-or-take and its unit; a gain is told in percent."""
    wide = None if sigma is None else GIVE_OR_TAKE * sigma
    if code != "gain":
        return value, wide, unit
    return 100.0 * value, None if wide is None else 100.0 * wide, "%"
