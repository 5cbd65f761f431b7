"""The sheet on what can be seen of a material, before anybody travels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

SKIN = "Electron yield sees only the outer few nanometres: dust and weathered skin count."
DEPTH = "Nine tenths of electron yield come from the outer {nm} nanometres, as in nickel and iron oxides."
LIES = {
    "pressed": "Pressed powder keeps part of its texture.",
    "settled": "What settles from a liquid lies flattest: the most texture.",
    "film": "A film has the texture it grew with.",
    None: "Say how it lies (pressed, settled, film): settled lies flattest.",
}
ORDERS = {1: "directly", 2: "in second order", 3: "in third order"}
KNOWN_DOSE = (
    "For comparison: dissolved manganese lost a tenth after 0.3 MGy, half after 1.6 (10.1039/c8cp03094d)."
)
"""Quoted from that article's abstract while planning this tool, not read anew. What matters for a specimen is
the host's to type."""


def seen_lines(found: Sequence[Any], reach: Any, water: Any, lying: Any) -> list[str]:
    """What can be seen of the material, edge by edge, with the doubts."""
    lines = [*_reach_lines(reach), ""]
    for one in found:
        lines += [f"{one.edge}: {said}" for said in _edge_lines(one)] + [""]
    if any(one.dose_mgy is not None and one.scans is None for one in found):
        lines.append(KNOWN_DOSE)
    grains = next((one for one in found if one.grains is not None), None)
    lines += [_grain_line(grains)] if grains is not None else []
    lines += _water_lines(water) if water is not None else []
    lines += _lying_lines(lying) if lying is not None else []
    depths = next((one.electron_nm for one in found if one.electron_nm is not None), None)
    lines += [DEPTH.format(nm=_between(*depths, ".0f"))] if depths is not None else []
    return [*lines, SKIN]


def _grain_line(one: Any) -> str:
    finer = f"; grind to {one.grind_um:.0f} micrometres for 10 %" if one.grind_um is not None else ""
    return f"By grain counting alone the rarest mineral scatters by {100 * one.grains:.0f} %{finer}."


def _reach_lines(reach: Any) -> list[str]:
    lines = [f"Within reach: {', '.join(reach.whole) or 'no edge of this material'}."]
    if reach.part:
        lines.append(f"Within reach, with too little room on a side: {', '.join(reach.part)}.")
    if reach.none_of:
        lines.append(f"Out of reach of the beamline or of our tables: {', '.join(reach.none_of)}.")
    return lines


def _water_lines(water: Any) -> list[str]:
    lines = [f"Water in the powder: {water.mbar_l:.2f} mbar L of gas."]
    if water.minutes is not None:
        lines.append(
            f"It adds about {water.adds_minutes:.0f} min to a dry load's, by a rough rule;"
            f" {water.minutes:.0f} min at the worst."
        )
    if water.dry_minutes is not None and water.adds_minutes is not None:
        lines.append(f"With the dry load's own: about {water.dry_minutes + water.adds_minutes:.0f} min.")
    return lines


def _lying_lines(lying: Any) -> list[str]:
    angle = f"{lying.angle_deg:.0f} degrees" + ("" if lying.angle_typed else " (nobody typed the angle)")
    field = lying.polarisation or "nobody typed it"
    return [
        f"Layered: texture is not excluded until a second angle is measured. {LIES[lying.lies]}",
        f"Angle {angle}; polarisation: {field}.",
        "Lying flat, with the field in the plane of incidence, a line along the normal reads"
        f" {lying.strong:.2f} of a random powder's; with the field in the surface, none.",
        "At 54.7 degrees it reads as a random powder would.",
    ]


def _edge_lines(one: Any) -> list[str]:
    if not one.reachable:
        return ["outside what the beamline, or our tables from 250 to 2000 eV, can reach."]
    lines = _seen_of(one) if one.present else ["the material holds none of this element."]
    if one.sees_from is not None:
        lines.append(
            f"one scan's step would show from {_percent(one.sees_from)} % by mass; white lines from less."
        )
    overlaps = [
        f"{each.edge}{_on_mount(each)} at {each.at_ev:.0f} eV, {ORDERS[each.order]}" for each in one.overlaps
    ]
    lines += [f"may be imitated or bent by {'; '.join(overlaps)}."] if overlaps else []
    if one.beam_marks:
        lines.append("mirrors and monitors leave marks here: divide by the beam, and doubt what is left.")
    if one.on_mounts:
        lines.append("tape, foil or holders hold it too: scan a bare mount.")
    if one.tables_differ is not None:
        lines.append(_differ_line(one.tables_differ))
    if one.dose_mgy is not None:
        many = f"; the dose that matters after {one.scans:.1f} scans" if one.scans is not None else ""
        lines.append(
            f"one scan leaves {one.dose_mgy:.2g} MGy at the surface,"
            f" {one.dose_kgy_per_s:.2g} kGy a second{many}."
        )
    return lines


def _seen_of(one: Any) -> list[str]:
    """Step, depth and flattening of an element that is there."""
    least, most = sorted(one.step)
    deep = _between(*one.depth_um)
    lines = [
        f"its step adds {_between(least, most)} of what lies below it, by two tables.",
        f"light of {one.depth_at_ev:.0f} eV, above the edge, reaches {deep} micrometres deep (1/e).",
    ]
    if one.fluorescence_um is not None:
        deep = _between(*one.fluorescence_um)
        lines.append(f"fluorescence comes from {deep} micrometres (1/e, its way out included).")
    else:
        lines.append("our tables hold no fluorescence line of this edge: its depth and peak are not told.")
    if one.reads is not None:
        lines.append(f"thick and flat, a peak of two steps reads {one.reads:.2f} in fluorescence.")
    if one.electron_reads is not None:
        lines.append(f"thin or thick, it reads {_between(*one.electron_reads, '.2f')} in electron yield.")
    return lines


def _differ_line(conflict: Any) -> str:
    """Where no attenuation is to be trusted; what is told of light at other energies stands."""
    low, high = f"{conflict.from_ev:.0f}", f"{conflict.to_ev:.0f}"
    where = f"near {low} eV" if low == high else f"from {low} to {high} eV"
    factor = f"{conflict.factor:.1f}"
    return f"{where} the tables disagree, by up to a factor of {factor}: trust no attenuation there."


def _between(low: float, high: float, form: str = ".2g") -> str:
    """Both ends, or one number where they read alike."""
    ends = dict.fromkeys(format(each, form) for each in (low, high))
    return " to ".join(ends)


def _on_mount(overlap: Any) -> str:
    return " of tape, foil or holder" if overlap.mount else ""


def _percent(share: float) -> str:
    return f"{100 * share:.2g}"
