"""The grating that picks an energy: what it lets through beside it, and what a slip of its angle does."""

from __future__ import annotations

import math

HC_EV_ANGSTROM = 12398.419843320
"""Planck constant times speed of light, exact since the SI of 2019."""


def angle_deg(at_ev: float, lines_per_mm: float, included_deg: float, order: int = 1) -> float:
    """Turn of the grating from its zero-order place, with a fixed angle between light in and light out.

    order · wavelength = 2 · spacing · cos(included/2) · sin(turn).
    """
    spacing = 1.0e7 / lines_per_mm
    along = 2.0 * spacing * math.cos(math.radians(included_deg / 2.0))
    return math.degrees(math.asin(order * HC_EV_ANGSTROM / at_ev / along))


def energy_at(turn_deg: float, lines_per_mm: float, included_deg: float, order: int = 1) -> float:
    """Energy in eV that passes at a turn."""
    spacing = 1.0e7 / lines_per_mm
    along = 2.0 * spacing * math.cos(math.radians(included_deg / 2.0))
    return order * HC_EV_ANGSTROM / (along * math.sin(math.radians(turn_deg)))


def slip_ev(slip_deg: float, at_ev: float, lines_per_mm: float, included_deg: float) -> float:
    """How much higher the scale reads where the grating stands `slip_deg` too far; grows as E²."""
    turn = angle_deg(at_ev, lines_per_mm, included_deg)
    return at_ev - energy_at(turn + slip_deg, lines_per_mm, included_deg)
