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
    "exchange": "Second load: vent, mount, pump, transfer, find the beam",
    "lunch": "Lunch in two halves; tell the other half the story",
    "decide": "Decision meeting: cards, vote, choice",
    "spare": "Spare: the group's choice",
    "closing": "Closing check: first specimen, a fresh spot, a standard",
    "write": "Claim, evidence, reason: the group writes",
    "close": "Host closes; the envelope is handed over",
}
"""What each stretch of the day is for. "measure" has words of its own."""
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
    "exchange": "second load",
    "lunch": "lunch",
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
            "First specimen, a fresh spot and a standard were scanned again.",
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
REFUSED = "Not even the closing check and writing fit into the minutes left."
LEFT_OUT = "Does not fit, least worth first: {rounds}."
LAST_LOAD = "Latest begin of a second load: {at}; later it would not bring one round."


def at(minute: float, zero: str | None) -> str:
    """A moment of the day: by the clock where its end is typed, else hours and minutes since its begin."""
    if zero is not None:
        return (datetime.fromisoformat(zero) + timedelta(minutes=round(minute))).strftime("%H:%M")
    hours, minutes = divmod(round(minute), 60)
    return f"{hours}:{minutes:02d}"


def stretch(one: Any) -> str:
    """One stretch in words."""
    if one.kind != "measure":
        return KINDS[one.kind]
    rounds = "one round" if one.rounds == 1 else f"{one.rounds} rounds"
    load = f", load {one.load}" if one.load > 1 else ""
    return f"{one.edge}{load}: standard first, then {rounds} through all specimens, arms in turn"


def short(one: Any) -> str:
    """One stretch where there is little room."""
    return one.edge if one.kind == "measure" else SHORT[one.kind]


def run_sheet(budget: Any, zero: str | None, turns: Sequence[Sequence[str]] = ()) -> str:
    """The day line by line, and for each load the order in which specimens are measured."""
    lines = ["Run sheet", ""]
    for one in budget.stretches:
        length = f"{one.end_min - one.start_min:.0f} min"
        lines.append(
            f"{at(one.start_min, zero):>5} - {at(one.end_min, zero):>5}  {length:>7}  {stretch(one)}"
        )
    heads = dict.fromkeys(head for one in budget.stretches for head in MIND.get(one.kind, ()))
    lines += ["", *orders(turns), *fits(budget, zero), ""]
    lines += [mind(head) for head in heads]
    return sheet(lines)


def fits(budget: Any, zero: str | None) -> list[str]:
    """What does not fit, and until when a second load makes sense."""
    lines = []
    if budget.left_out:
        rounds = ", ".join(f"{edge} {count}" for edge, count in budget.left_out.items())
        lines.append(LEFT_OUT.format(rounds=rounds))
    return [*lines, LAST_LOAD.format(at=at(budget.last_load_min, zero))]


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
