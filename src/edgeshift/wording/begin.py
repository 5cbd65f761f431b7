"""The sentences of "Can we begin?": at most twenty words each, and never leave to open anything."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from edgeshift.numerics.knife_edge import FEWEST
from edgeshift.wording.element_names import NAMES

CAUTIONS = (
    "Follow your facility's and beamline's rules; staff decide.",
    "The pressure limit was typed by the host; being below it opens nothing.",
)
LEAVING = {
    "normal": "Air and water are leaving.",
    "wet": "The load is damp; its water leaves slowly.",
    "normal-or-wet": "Air and water are leaving.",
    "polymer": "Gas seeps out of tape, plastic or pores.",
    "leak": "Something keeps coming in.",
    "virtual-leak": "Trapped gas seeps out.",
}
CAUSES = {
    "normal": "like a dry load here",
    "wet": "damp",
    "normal-or-wet": "water from walls or powder",
    "polymer": "tape, plastic or pores",
    "leak": "something coming in",
    "virtual-leak": "trapped gas",
}
WHY = {
    "normal": "Falls evenly, as a dry load does here.",
    "wet": "Falls evenly, and slowly. A leak would flatten out.",
    "normal-or-wet": "Falls evenly. A leak would flatten out.",
    "polymer": "Falls ever more slowly, as gas seeps out from inside.",
    "leak": "Flattens out at a floor.",
    "virtual-leak": "Flattens out, yet isolated again it rose less.",
}
RISES = {
    "none": "",
    "one": "One isolation proves neither a leak nor outgassing; isolate again much later.",
    "soon": "The two isolations lie too close: outgassing had no time to tire.",
    "same": "Isolated twice, it rose as fast: a leak keeps its rate.",
    "less": "Isolated again, it rose less: outgassing tires, a leak does not.",
    "unclear": "The two isolations do not tell a leak from outgassing.",
}
STALLED = "The pressure has stalled above the limit our host typed."
NO_LIMIT = "Cannot tell: our host has typed no pressure limit yet."
NO_READINGS = "Nothing here yet: no pressure has been noted."
NO_READINGS_BUT_BEAM = "No pressure has been noted; where the beam lies is told below."
REFUSED = {
    "few": "Too few readings yet: {needed} are needed, {found} are noted. No forecast.",
    "jumps": "The pressure jumps. No forecast.",
    "rising": "The pressure is rising. No forecast.",
    "order": "The readings do not follow pumping. No forecast.",
}
QUESTION = "If it stalls, how could we tell wet from leaking?"
TYPE_LIMIT = "The host types limits: pressure_mbar in experiment.yaml."
NOTE_PRESSURE = "Note a pressure, or point at the gauge's log."
MORE_READINGS = "More readings, a minute or so apart."
ISOLATE = "The host isolates for two minutes, and again after half as long again: a leak keeps its rate."
DRY = "Type lock: dry_minutes, how long a dry load took, to tell damp from normal."
BEGAN = "Say when pumping began: the forecast narrows."
DRIER = "Take out the dampest holder and dry it; staff decide."
THE_LIMIT = "the limit our host typed"
FAN_WORDS = "fan: 8 pumpings in 10"
PRESSURE = "pressure, mbar"
SINCE_BEGAN, SINCE_FIRST = "minutes of pumping", "minutes since the first reading"
STEPPED = "the gauge stepped"
NOW = "now"


def cautions() -> tuple[str, ...]:
    """What stands beside every answer."""
    return CAUTIONS


def sentence(verdict: str, detail: Mapping[str, Any]) -> str:
    """The one sentence, the fact in it in bold."""
    if verdict == "below-your-limit":
        once = ", by one reading only" if detail["readings_below"] == 1 else ""
        return f"**Below the limit our host typed,** since {detail['since']}{once}."
    if verdict == "stalled":
        return STALLED
    minutes = detail["minutes"]
    low, high = rounded(minutes["low"]), minutes["high"]
    to = f"{low} to {rounded(high)}" if high is not None else f"{low} to more than a shift"
    about = f"**{rounded(minutes['value'])} more minutes,**"
    return f"{LEAVING[detail['cause']]} About {about} maybe {to}."


def rounded(minutes: float) -> str:
    """Minutes as anybody would say them: to one, five or ten."""
    step = 1 if minutes < 30 else 5 if minutes < 120 else 10
    return f"{max(step * round(minutes / step), 1 if minutes > 0 else 0)}"


def minutes_end(high: float | None) -> str:
    """The far end of the interval, with the unit of all three numbers."""
    return "over a shift" if high is None else f"{rounded(high)} min"


def at_clock(zero: str | None, minutes: float) -> str:
    """A moment of the load, by the clock where there is one: "10:42", else "minute 31"."""
    if zero is None:
        return f"minute {minutes:.0f}"
    later = timedelta(minutes=minutes)
    if "T" not in zero:
        return (datetime.fromisoformat(f"2000-01-01T{zero.zfill(5)}") + later).strftime("%H:%M")
    when = datetime.fromisoformat(zero) + later
    return when.strftime("%H:%M UTC" if zero.endswith(("Z", "+00:00")) else "%H:%M")


def below(readings: int) -> str:
    """How surely it is below: one reading may be a gauge's own jump."""
    return "below it for one reading only" if readings == 1 else f"below it for {readings} readings in a row"


def reading(zero: str | None, minutes: float) -> str:
    """The last reading."""
    return f"last reading, {at_clock(zero, minutes)}"


def looks_like(cause: str) -> str:
    """The likely cause."""
    return f"looks like: {CAUSES[cause]}"


def perhaps(cause: str) -> str:
    """A second cause that fits nearly as well."""
    return f"perhaps instead: {CAUSES[cause]}"


def stepped(at: list[str]) -> str:
    """Where the gauge stepped; what it said before counts for the shape only."""
    return f"the gauge stepped at {', '.join(at)}; before that only the shape counts"


def isolated(at: str) -> str:
    """One isolation."""
    return f"rise with the pump shut off, {at}"


COMES_IN = "gas that comes in, leak and outgassing together"


BEAM = {
    "on": "the beam lands on {what} with room to spare, beyond two sigma",
    "edge": "the beam hangs over the edge of {what}",
    "off": "the beam lies beside {what}",
}
BEAM_WIDTH = "the beam's full width at half its height, along the scan"
FOOTPRINT = "the beam's length on a surface at the typed angle, by its typed section"
OFFSET = "the proud phosphor showed the spot so far off, which its margin bears"
BEAM_UNTOLD = {
    "few": f"too few positions, {FEWEST} are needed",
    "flat": "no step stands out",
    "one-edge": "only one edge was crossed",
    "no-angle": "a phosphor stands proud, and no angle is typed",
}


BEAM_SHOWN = {
    "bare": "scans of {what} show its mount alone: the beam lies beside it",
    "mount": "part of the mount's curve stands in scans of {what}: the beam hangs over, or powder is thin",
    "foreign": "{elements} of the mount: seen in {what}: the beam hangs over its edge, or powder is thin",
}


def on_specimen(beam: Any) -> str:
    """Where the beam lies on one specimen."""
    what = f"{{specimen:{beam.specimen}}}"
    if beam.reason in BEAM_SHOWN:
        elements = " and ".join(NAMES.get(each, each) for each in beam.foreign)
        return BEAM_SHOWN[beam.reason].format(what=what, elements=elements)
    if beam.verdict == "cannot-tell":
        return f"cannot tell whether the beam lands on {what}: {BEAM_UNTOLD[beam.reason]}"
    return BEAM[beam.verdict].format(what=what)


def alt(detail: Mapping[str, Any], told: str) -> str:
    """The picture in words."""
    seen = detail.get("readings") or {"minutes": [], "mbar": []}
    parts = [told]
    if seen["minutes"]:
        first, last = seen["mbar"][0], seen["mbar"][-1]
        over = seen["minutes"][-1] - seen["minutes"][0]
        parts.append(
            f"{len(seen['minutes'])} readings over {over:.0f} min, from {first:.1e} to {last:.1e} mbar."
        )
    if detail.get("limit_mbar"):
        parts.append(f"The limit our host typed is {detail['limit_mbar']:.1e} mbar.")
    if detail.get("cause"):
        parts.append(f"Looks like: {CAUSES[detail['cause']]}.")
    return " ".join(parts)
