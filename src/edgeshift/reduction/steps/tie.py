"""Shift the energies of a scan where a person declared it, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.spectrum import Pass, SharedTerm, Spectrum

NAME = "tie"
AFTER = "divide"


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Declared ties are applied to the energies; their uncertainty becomes a shared term of the curve."""
    return tuple(replace(each, curve=_tied(each)) if each.scan.tie else each for each in passes)


def sentence(passes: tuple[Pass, ...], recipe: Recipe) -> str:
    """One methods sentence."""
    tied = [each.scan.tie for each in passes if each.scan.tie]
    if not tied:
        return "Energies are as the beamline gave them; no tie was declared."
    shifts = sorted({f"{tie.shift_ev:+.3g} eV ({tie.source})" for tie in tied})
    return f"Energies of {len(tied)} scans were shifted as declared: {', '.join(shifts)}."


def _tied(each: Pass) -> Spectrum:
    tie, curve = each.scan.tie, each.curve
    slope = np.gradient(np.nan_to_num(curve.value), curve.energy_ev)
    term = SharedTerm("energy tie", tie.source, -slope * tie.sigma_ev)
    return replace(curve, energy_ev=curve.energy_ev + tie.shift_ev, shared=(*curve.shared, term))
