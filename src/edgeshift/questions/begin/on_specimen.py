"""Is the beam on the specimen? On, over its edge, off, or cannot tell, from a scan across it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from edgeshift.numerics.knife_edge import across, footprint_mm, margin_mm, spot_offset_mm
from edgeshift.recipe.beamline import BeamlineProfile

OFF_FROM = 4.0
"""A beam whose middle lies this many sigma outside the nearest edge touches nothing of the specimen; between
that and full room it is called over the edge. The margin already takes two sigma away."""


class Foreign(NamedTuple):
    """What scans of one specimen show of its mount, since the beam was last found there.

    `elements` have their lines in it and only the mount holds them; `share` (0 to 1) is how much of a scan is
    the bare mount's curve, `bare` whether it is all of it; `scans` are their keys.
    """

    elements: tuple[str, ...] = ()
    share: float | None = None
    bare: bool = False
    scans: tuple[str, ...] = ()


class OnSpecimen(NamedTuple):
    """Of one specimen. `fwhm_mm` is the beam's along the scan, tilt included; `footprint_mm` is its length on
    a surface by the section (taken as a square) and the angle that the host typed.

    `reason` says why nobody can tell, or what speaks against the fit: "bare" (scans show the mount alone),
    "mount" or "foreign" (part of it).
    """

    specimen: str
    verdict: str
    margin_mm: float | None = None
    fwhm_mm: float | None = None
    left_mm: float | None = None
    right_mm: float | None = None
    offset_mm: float = 0.0
    reason: str = ""
    foreign: tuple[str, ...] = ()
    scans: tuple[str, ...] = ()
    footprint_mm: float | None = None


NOTHING_FOREIGN = Foreign()


def on_specimen(
    noted: Mapping[str, Any], beamline: BeamlineProfile, foreign: Foreign = NOTHING_FOREIGN
) -> OnSpecimen:
    """From the payload of a "position" event, with the angle that the host typed and what scans show.

    Light of the mount in the scans outweighs a fit that says "on": the beam hangs over, or powder is thin.
    """
    told = _by_fit(noted, beamline)._replace(
        foreign=foreign.elements, scans=foreign.scans, footprint_mm=_typed_footprint(beamline)
    )
    if foreign.bare:
        return told._replace(verdict="off", reason="bare")
    if told.verdict != "off" and (foreign.elements or foreign.share):
        return told._replace(verdict="edge", reason="mount" if foreign.share else "foreign")
    return told


def _typed_footprint(beamline: BeamlineProfile) -> float | None:
    if beamline.beam_mm2 is None or beamline.incidence_deg is None:
        return None
    return footprint_mm(math.sqrt(beamline.beam_mm2), beamline.incidence_deg)


def _by_fit(noted: Mapping[str, Any], beamline: BeamlineProfile) -> OnSpecimen:
    name, proud = noted["specimen"], noted.get("phosphor_mm") or 0.0
    if proud and beamline.incidence_deg is None:
        return OnSpecimen(name, "cannot-tell", reason="no-angle")
    offset = spot_offset_mm(proud, beamline.incidence_deg) if proud else 0.0
    try:
        place = across(np.array(noted["mm"]), np.array(noted["signal"]))
    except ValueError as no:
        return OnSpecimen(name, "cannot-tell", offset_mm=offset, reason=str(no).partition(":")[0])
    margin = margin_mm(place, noted["at_mm"], offset)
    told = OnSpecimen(name, "on", margin, place.fwhm, place.left, place.right, offset)
    if margin is None:
        return told._replace(verdict="cannot-tell", reason="one-edge")
    if margin >= 0:
        return told
    return told._replace(verdict="off" if margin < -OFF_FROM * place.s - abs(offset) else "edge")
