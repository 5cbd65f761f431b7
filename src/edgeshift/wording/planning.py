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


def run_sheet(budget: Any, zero: str | None) -> str:
    """The day line by line."""
    lines = ["Run sheet", ""]
    for one in budget.stretches:
        length = f"{one.end_min - one.start_min:.0f} min"
        lines.append(
            f"{at(one.start_min, zero):>5} - {at(one.end_min, zero):>5}  {length:>7}  {stretch(one)}"
        )
    lines.append("")
    if budget.left_out:
        rounds = ", ".join(f"{edge} {count}" for edge, count in budget.left_out.items())
        lines.append(LEFT_OUT.format(rounds=rounds))
    lines.append(LAST_LOAD.format(at=at(budget.last_load_min, zero)))
    return _sheet(lines)


def scan_sheet(lists: Sequence[Any]) -> str:
    """For whoever types the scans in; nothing is sent to any instrument."""
    lines = ["Scan lists: type them in, nothing is sent anywhere"]
    for one in lists:
        lines += ["", f"{one.edge}: {len(one.energies_ev)} points, {one.dwell_s:.2f} s on each,"
                  f" {one.settle_s:.2f} s to settle, {one.minutes:.1f} min a scan"]  # fmt: skip
        lines += [
            f"  {r.low_ev:8.2f} to {r.high_ev:8.2f} eV  every {r.step_ev:.2f} eV  {r.points:4d} points  [ ]"
            for r in one.regions
        ]
        if one.tables_differ_ev:
            lines.append(
                f"  Tables put this edge {one.tables_differ_ev:.1f} eV apart: look before you trust a place."
            )
    return _sheet(lines)


def feasibility(found: Sequence[Any], water: Any, layered: bool) -> str:
    """What can be seen of the material, edge by edge, with the doubts."""
    lines = ["What can be seen before anybody travels", ""]
    for one in found:
        lines += [f"{one.edge}: {said}" for said in _edge_lines(one)] + [""]
    if water is not None:
        lines.append(f"Water in the powder: {water.mbar_l:.2f} mbar L of gas{_minutes_of(water)}.")
    if layered:
        lines.append("Layered: record angle and polarisation; texture is not excluded until a second angle.")
    lines.append("Electron yield sees only the outer few nanometres: dust and weathered skin count.")
    return _sheet(lines)


def _minutes_of(water: Any) -> str:
    if water.minutes is None:
        return ""
    return f", at least {water.minutes:.0f} min at the limit with the pump alone"


def _edge_lines(one: Any) -> list[str]:
    if not one.reachable:
        return ["outside what the beamline, or our tables from 250 to 2000 eV, can reach."]
    orders = {1: "directly", 2: "in second order", 3: "in third order"}
    overlaps = [f"{each.edge} at {each.at_ev:.0f} eV, {orders[each.order]}" for each in one.overlaps]
    lines = [f"may be imitated or bent by {'; '.join(overlaps)}."] if overlaps else []
    if not one.present:
        return ["the material holds none of this element.", *lines]
    least, most = sorted(one.step)
    lines.insert(0, f"its step adds {least:.2g} to {most:.2g} of what lies below it, by two tables.")
    shallow, deep = one.depth_um
    lines.insert(1, f"light reaches {shallow:.2g} to {deep:.2g} micrometres deep (1/e).")
    if one.reads is not None:
        lines.append(f"thick and flat, a peak of two steps reads {one.reads:.2f} in fluorescence.")
    if one.tables_differ:
        lines.append("the tables disagree inside this range: trust no attenuation here.")
    if one.dose_mgy is not None:
        many = f"; the dose that matters after {one.scans:.1f} scans" if one.scans is not None else ""
        lines.append(f"one scan leaves {one.dose_mgy:.2g} MGy at the surface{many}.")
    if one.grains is not None:
        lines.append(f"by grain counting alone the rarest mineral scatters by {100 * one.grains:.0f} %.")
    return lines


def holder_map(specimens: Sequence[str], places: int) -> str:
    """Who sits where, read back by two people; places are filled in by hand."""
    lines = ["Holder map: write down, read back by a second person, photograph", ""]
    for number, name in enumerate(specimens):
        load, place = divmod(number, places)
        lines.append(
            f"load {load + 1}  place {place + 1:2d}  {name:24}  mounted by ______  read back by ______"
        )
    return _sheet(lines)


def ballots(number: int) -> str:
    """Empty ballots for guesses and votes; no names."""
    one = ["My guess, drawn before the scan:", "", "", "My card: ____   because ______________________", ""]
    cut = ["- " * 30, ""]
    return _sheet(["Ballots: cut apart, no names", "", *(number * [*one, *cut])])


def checklist() -> str:
    """What to mind, in our own words."""
    lines = ["Before anything is touched", ""]
    lines += [f"[ ] {head}: {words}" for head, words in CAUTIONS.items()]
    return _sheet(lines)


def begins(ends: str | None, lasts_min: float) -> str | None:
    """When the day begins, where its end is typed."""
    if ends is None:
        return None
    return (datetime.fromisoformat(ends) - timedelta(minutes=lasts_min)).isoformat()


def _sheet(lines: Sequence[str]) -> str:
    return "\n".join([*lines, "", FOOT, ""])
