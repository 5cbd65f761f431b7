"""Divide what the specimen gave back by the beam that went in."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np

from edgeshift.numerics.averaging import mean_of
from edgeshift.numerics.grids import onto
from edgeshift.numerics.noise import single_scan_noise
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import UNUSABLE
from edgeshift.records.spectrum import Pass, Spectrum

NAME = "divide"
AFTER = "flag"


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Every pass gets its curve: signal over I0, or the logarithm of I0 over the transmitted beam.

    Counting errors are propagated; where the channels do not count, the noise of the ratio itself is
    estimated from its second differences. With `i0: reference` the ratio is divided once more by that of
    the clean reference specimen.
    """
    curves = [_curve(each, recipe) for each in passes]
    if recipe.divide.i0 == "reference":
        curves = _over_reference(passes, curves, recipe)
    return tuple(replace(each, curve=curve) for each, curve in zip(passes, curves, strict=True))


def sentence(passes: tuple[Pass, ...], recipe: Recipe) -> str:
    """One methods sentence."""
    if recipe.divide.i0 == "none" or not any("i0" in each.rates for each in passes):
        return "No incoming beam was recorded beside the signal, so nothing was divided."
    if recipe.divide.i0 == "reference" and _references(passes, recipe):
        age = _greatest_age_h(passes, recipe)
        when = "" if age is None else f", recorded at most {age:.1f} h before or after it"
        return (
            f"Each signal over I0 was divided by that of the clean reference {recipe.divide.reference}{when}."
        )
    return "Each signal was divided by the incoming beam recorded in the same scan."


def _greatest_age_h(passes: tuple[Pass, ...], recipe: Recipe) -> float | None:
    """Hours between the reference and the scan farthest from it; None where a file keeps no time."""
    starts = [each.scan.started for each in passes]
    known = [each.scan.started for each in _references(passes, recipe)]
    if not all((*starts, *known)):
        return None
    try:
        times, references = ([datetime.fromisoformat(t) for t in some] for some in (starts, known))
        return max(min(abs((t - r).total_seconds()) for r in references) for t in times) / 3600
    except (TypeError, ValueError):  # some clocks with a zone and some without
        return None


def _references(passes: tuple[Pass, ...], recipe: Recipe) -> list[Pass]:
    return [each for each in passes if each.scan.place.specimen == recipe.divide.reference]


def _curve(each: Pass, recipe: Recipe) -> Spectrum:
    value, sigma = _ratio(each, recipe)
    bad = (each.flags & UNUSABLE) != 0
    energy = each.scan.energy_ev
    if not np.isfinite(sigma).any():
        sigma = np.full(len(value), single_scan_noise(energy, np.where(bad, np.nan, value)))
    order = np.argsort(energy, kind="stable")
    return Spectrum(
        key=each.scan.key,
        energy_ev=energy[order],
        value=value[order],
        sigma=sigma[order],
        flags=each.flags[order],
        edge=each.scan.edge,
        place=each.scan.place,
        scans=(each.scan.key,),
        doubts=each.doubts,
    )


def _ratio(each: Pass, recipe: Recipe) -> tuple[np.ndarray, np.ndarray]:
    signal, noise = each.rates[each.scan.signal], each.rate_sigma[each.scan.signal]
    if each.scan.signal == "absorption" or recipe.divide.i0 == "none" or "i0" not in each.rates:
        return signal, noise
    beam, beam_noise = each.rates["i0"], each.rate_sigma["i0"]
    with np.errstate(divide="ignore", invalid="ignore"):
        value = signal / beam
        share = np.hypot(noise / signal, beam_noise / beam)
        if each.scan.signal == "transmitted":
            log = -np.log(value)
            return np.where(np.isfinite(log), log, np.nan), np.where(np.isfinite(log), share, np.nan)
        sigma = np.hypot(noise / beam, value * beam_noise / beam)
    return np.where(np.isfinite(value), value, np.nan), np.where(np.isfinite(sigma), sigma, np.nan)


def _over_reference(passes: tuple[Pass, ...], curves: list[Spectrum], recipe: Recipe) -> list[Spectrum]:
    """The double ratio; the reference's own noise is common to all curves and stays small beside them."""
    known = {each.scan.key for each in _references(passes, recipe)}
    clean = [curve for curve in curves if curve.key in known]
    if not clean:
        doubt = f"No scan of the clean reference {recipe.divide.reference} is here, so I0 alone was used."
        return [replace(curve, doubts=(*curve.doubts, doubt)) for curve in curves]
    grid = clean[0].energy_ev
    reference, _ = mean_of(np.vstack([onto(grid, c.energy_ev, c.value) for c in clean]))
    divided = []
    for curve in curves:
        level = onto(curve.energy_ev, grid, reference)
        divided.append(replace(curve, value=curve.value / level, sigma=curve.sigma / level))
    return divided
