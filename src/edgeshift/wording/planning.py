"""The sheets of a shift: run sheet, scan lists, holder map, ballots and cautions, as plain text to print."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

FOOT = "Follow your facility's and beamline's rules; staff decide."
KINDS = {
    "arrive": "Sign in, gloves, mount, holder map read back by two",
    "pump": "Load lock pumps; ballots and guesses meanwhile",
    "transfer": "Transfer; only the host opens anything",
    "find-beam": "Find the beam; corners of the map",
    "survey": "Wide survey scan; first gathering",
    "exchange": "Load {load}: vent, mount, pump, transfer, find the beam",
    "remount": "Load {load}: vent, mount, close the lock",
    "lunch": "Lunch in two halves; tell the other half the story",
    "lunch-pump": "Lunch while the lock pumps",
    "decide": "Decision meeting: cards, vote, choice",
    "choice": "The group's choice, as the meeting decides",
    "spare": "Spare: the group's choice",
    "closing": "Closing check{of}: first specimen again, a fresh spot, a standard",
    "write": "Claim, evidence, reason: the group writes",
    "close": "Host closes; the envelope is handed over",
}
"""What each stretch of the day is for. "measure" has words of its own."""
OF_LOAD = " of load {load}, while it is in"
CAUTIONS = {
    "Radiation": "Interlocks, search and shutters belong to the staff; nobody defeats an interlock.",
    "Viewports": "A viewport is thin glass against air: cover it, do not lean on it, wear eye protection.",
    "High voltage": "Bias and pump leads carry high voltage; only trained staff touch or unplug them.",
    "Gas and cold": "Nitrogen displaces air, cold liquids burn: leave both to trained staff.",
    "Acids": "Acid into water, never water into acid; goggles, gloves, and somebody who knows the waste.",
    "Dust": "Dry clay holds silica: grind wet or in a hood, do not blow, wipe with a damp cloth.",
    "Unknown powders": "Only what stands on the approved list; no tasting, no blowing, gloves on.",
    "Kiln": "A kiln stays hot for hours and its fumes need a flue; an adult in charge opens it.",
}
"""Common practice in our own words, no source; the facility's rules come before them."""
SHORT = {
    "arrive": "arrive, mount",
    "pump": "pump",
    "transfer": "transfer",
    "find-beam": "find the beam",
    "survey": "survey",
    "exchange": "next load",
    "remount": "next load",
    "lunch": "lunch",
    "lunch-pump": "lunch",
    "choice": "group's choice",
    "decide": "decision meeting",
    "closing": "closing check",
    "write": "write",
    "close": "close",
}
"""The same for a narrow place."""
MIND = {
    "arrive": ("Radiation", "Dust", "Unknown powders"),
    "pump": ("High voltage", "Viewports"),
    "transfer": ("Viewports", "Gas and cold"),
    "find-beam": ("Radiation", "Viewports"),
    "exchange": ("Gas and cold", "Viewports", "Dust", "Unknown powders"),
    "remount": ("Gas and cold", "Viewports", "Dust", "Unknown powders"),
    "measure": ("High voltage",),
    "close": ("Radiation", "Unknown powders"),
}
"""Which cautions belong to which stretch of the day."""
CHECKLISTS = (
    (
        "Before travel",
        ("Kiln", "Acids", "Dust", "Unknown powders"),
        (
            "The facility has approved the list of what we bring.",
            "Powders dried until they no longer lose mass; masses written down.",
            "Two vials of everything, labelled on vial and lid.",
            "A bare mount, a standard for each edge, and spare tape are packed.",
            "Everybody has drawn a guess, with a reason.",
        ),
    ),
    (
        "Before the beam",
        ("Radiation", "Viewports", "High voltage", "Gas and cold"),
        (
            "Everybody knows the exits and what nobody touches.",
            "The holder map was read back by a second person, and photographed.",
            "The host has typed the pressure limit of this place.",
            "Room lights are off for the phosphor; viewports are covered afterwards.",
            "A standard was scanned at each edge that will be used.",
        ),
    ),
    (
        "Before we leave",
        ("Radiation", "Unknown powders"),
        (
            "Of every load, before it left: its first specimen, a fresh spot and a standard again.",
            "Every scan that was set aside has its reason.",
            "The claim is written, with its evidence and its rung.",
            "The holder map is in the envelope.",
            "Specimens are taken along or left as the staff say.",
        ),
    ),
)
"""Title, cautions that stand there, and what is ticked off (common practice, no source)."""
PRINTED = {
    "run": "Run sheet",
    "lists": "Scan lists: type them in, nothing is sent anywhere",
    "columns": ("from eV", "to eV", "every eV", "points", "typed", "checked by, time"),
    "map": "Holder map",
    "back": "One writes, a second reads back from the holder; then photograph it.",
    "places": ("place", "what", "mounted by", "read back by", "photo"),
    "empty": "empty",
    "ballots": "Ballots: cut apart, no names",
    "guess": "My guess, drawn before the scan:",
    "card": "My card, and because:",
    "checks": "Checklists",
    "seen": "What can be seen before anybody travels",
}
"""The words of the printed sheets."""
NAME_EDGES = "Name the edges in experiment.yaml, as edges: [{edge: Al K}]."
REFUSED = "Not even the closing check fits into the minutes left."
TOO_SHORT = "Arriving, pumping, the closing check and writing take more minutes than the day lasts."
LEFT_OUT = "Rounds that do not fit, by edge: {rounds}."
LAST_LOAD = "Latest begin of a further load: {at}, after a closing check; later it would not bring one round."
STAYS_OUT = "Load {load} is not in this plan; instead it could begin by {at}, after a closing check."
TOO_LATE = "Too late for a further load: it would not bring one round."
NOTHING = "NOTHING IS MEASURED: not one round fits."
NO_SPECIMENS = "NOTHING IS MEASURED: experiment.yaml names no specimens, so their minutes stand as spare."
NEVER = "NOT MEASURED AT ALL: {what}."
NOT_AT = "Not measured at {edges}: {what}."
ALL = "all that is mounted"
CHOICE_SHORT = "For the group's choice {short} min less than typed are left: first rounds came before it."
END_SHORT = "Only the bare closing check fits: writing and closing come {short} min short."


def at(minute: float, zero: str | None) -> str:
    """A moment of the day: by the clock where its end is typed, else hours and minutes since its begin."""
    if zero is not None:
        return (datetime.fromisoformat(zero) + timedelta(minutes=round(minute))).strftime("%H:%M")
    hours, minutes = divmod(round(minute), 60)
    return f"{hours}:{minutes:02d}"


def stretch(one: Any, many: bool = False) -> str:
    """One stretch in words; `many` where more than one load comes in."""
    if one.kind != "measure":
        of = OF_LOAD.format(load=one.load) if many else ""
        return KINDS[one.kind].format(load=one.load, of=of)
    rounds = "one round" if one.rounds == 1 else f"{one.rounds} rounds"
    load = f", load {one.load}" if one.load > 1 else ""
    return f"{one.edge}{load}: standard first, then {rounds} through all specimens, arms in turn"


def short(one: Any) -> str:
    """One stretch where there is little room."""
    return one.edge if one.kind == "measure" else SHORT[one.kind]


def run_sheet(budget: Any, zero: str | None, turns: Sequence[Sequence[str]] = ()) -> str:
    """The day line by line, and for each load the order in which specimens are measured."""
    lines = ["Run sheet", ""]
    told = headlines(budget)
    lines += [*told, ""] if told else []
    for one in budget.stretches:
        length, told = f"{one.end_min - one.start_min:.0f} min", stretch(one, budget.loads > 1)
        lines.append(f"{at(one.start_min, zero):>5} - {at(one.end_min, zero):>5}  {length:>7}  {told}")
    heads = dict.fromkeys(head for one in budget.stretches for head in MIND.get(one.kind, ()))
    lines += ["", *orders(turns), *fits(budget, zero), ""]
    lines += [mind(head) for head in heads]
    return sheet(lines)


def headlines(budget: Any) -> list[str]:
    """What a host must know before reading on: what is not measured, and what was cut."""
    if not budget.specimens:
        lines = [NO_SPECIMENS]
    else:
        lines = [NOTHING] if not budget.measures else _unmeasured(budget)
    if budget.choice_short_min >= 0.5 and budget.specimens:
        lines.append(CHOICE_SHORT.format(short=f"{budget.choice_short_min:.0f}"))
    if budget.end_short_min:
        lines.append(END_SHORT.format(short=f"{budget.end_short_min:.0f}"))
    return lines


def _unmeasured(budget: Any) -> list[str]:
    """Specimens with their units and pairs, by the edges at which nothing is measured of them."""
    by_edges: dict[tuple[tuple[str, ...], bool], list[Any]] = {}
    for one in budget.unmeasured:
        by_edges.setdefault((one.edges, one.everywhere), []).append(one)
    lines = []
    for (edges, everywhere), some in sorted(by_edges.items(), key=lambda each: not each[0][1]):
        what = ALL if len(some) == budget.specimens else ", ".join(map(_specimen, some))
        line = NEVER if everywhere else NOT_AT
        lines.append(line.format(edges=" and ".join(edges), what=what))
    return lines


def _specimen(one: Any) -> str:
    of = ", ".join(part for part in (one.unit, one.pair and f"pair {one.pair}") if part)
    return f"{one.specimen} ({of})" if of else one.specimen


def fits(budget: Any, zero: str | None) -> list[str]:
    """What does not fit, and until when a further load makes sense."""
    lines = []
    if budget.left_out:
        rounds = ", ".join(f"{edge} {count}" for edge, count in budget.left_out.items())
        lines.append(LEFT_OUT.format(rounds=rounds))
    if budget.loads > 1 or not budget.specimens:
        return lines
    if budget.last_load_min is None:
        return [*lines, TOO_LATE]
    dropped = any(one.load > budget.loads for one in budget.unmeasured)
    line = STAYS_OUT if dropped else LAST_LOAD
    return [*lines, line.format(load=budget.loads + 1, at=at(budget.last_load_min, zero))]


def orders(turns: Sequence[Sequence[str]]) -> list[str]:
    """Whose turn it is, load by load; every second round goes the other way: drift meets both arms."""
    many = len(turns) > 1
    return [
        f"Order{f' of load {load}' if many else ''}: {', '.join(names)}; every second round from the end."
        for load, names in enumerate(turns, 1)
        if names
    ]


def scan_sheet(lists: Sequence[Any]) -> str:
    """For whoever types the scans in; nothing is sent to any instrument."""
    lines = [PRINTED["lists"]]
    for one in lists:
        lines += ["", scan_line(one)]
        lines += [
            f"  {r.low_ev:8.2f} to {r.high_ev:8.2f} eV  every {r.step_ev:.2f} eV  {r.points:4d} points  [ ]"
            for r in one.regions
        ]
        lines += [f"  {said}" for said in scan_times(one)]
    return sheet(lines)


def scan_line(one: Any) -> str:
    """One scan: how many points, how long on each."""
    return (
        f"{one.edge}: {len(one.energies_ev)} points, {one.dwell_s:.2f} s on each,"
        f" {one.settle_s:.2f} s to settle, {one.minutes:.1f} min a scan"
    )


def scan_times(one: Any) -> list[str]:
    """What comes on top of the scan, and whether the tables agree where its edge is."""
    lines = [
        f"With the move {one.minutes_with_move:.1f} min a specimen;"
        f" coming from another edge {one.edge_change_min:.1f} min more."
    ]
    if one.tables_differ_ev:
        apart = f"{one.tables_differ_ev:.1f} eV apart"
        lines.append(f"Tables put this edge {apart}: look before you trust a place.")
    return lines


def holder_map(loads: Sequence[Sequence[str]], places: int) -> str:
    """Who sits where, read back by two people."""
    lines = ["Holder map: one writes, a second reads back from the holder, then photograph it", ""]
    for load, names in enumerate(loads, 1):
        for place in range(1, places + 1):
            name = names[place - 1] if place <= len(names) else "empty"
            lines.append(
                f"load {load}  place {place:2d}  {name:24}  mounted by ______  read back by ______  [ ]"
            )
        lines.append("")
    return sheet(lines[:-1])


def ballots(number: int) -> str:
    """Empty ballots for guesses and votes; no names."""
    one = [PRINTED["guess"], "", "", "My card: ____   because ______________________", ""]
    cut = ["- " * 30, ""]
    return sheet([PRINTED["ballots"], "", *(number * [*one, *cut])])


def checklist() -> str:
    """What to tick off and what to mind, in our own words."""
    lines: list[str] = []
    for title, minded, ticks in CHECKLISTS:
        lines += [title, "", *(f"[ ] {each}" for each in ticks)]
        lines += [f"    {mind(head)}" for head in minded] + [""]
    return sheet(lines[:-1])


def minded(stretches: Sequence[Any]) -> list[list[str]]:
    """The cautions in place, stretch by stretch: in full where they first matter, then by their name."""
    told: set[str] = set()
    found = []
    for one in stretches:
        heads = MIND.get(one.kind, ())
        again = ", ".join(_small(head) for head in heads if head in told)
        fresh = [mind(head) for head in heads if head not in told]
        told.update(heads)
        found.append([*fresh, *([f"Mind again: {again}."] if again else [])])
    return found


def mind(head: str) -> str:
    """One caution with what it is about."""
    return f"Mind {_small(head)}: {CAUTIONS[head]}"


def _small(head: str) -> str:
    return f"{head[0].lower()}{head[1:]}"


def begins(ends: str | None, lasts_min: float) -> str | None:
    """When the day begins, where its end is typed."""
    if ends is None:
        return None
    return (datetime.fromisoformat(ends) - timedelta(minutes=lasts_min)).isoformat()


def sheet(lines: Sequence[str]) -> str:
    """Lines with the staff at their foot."""
    return "\n".join([*lines, "", FOOT, ""])
