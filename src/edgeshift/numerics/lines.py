"""Line and step shapes, and their slopes by each parameter.

One convention throughout: a line has a height and a full width at half maximum (FWHM); a step rises from
0 to its height and carries the FWHM of the line it is the running area of. Energies in eV, shapes
(points,). Every `*_slopes` has shape (points, parameters) in the order of the shape's own arguments.
Parameters may be arrays (..., 1): then there are as many shapes (..., points).
"""

from __future__ import annotations

import math

import numpy as np

GAUSSIAN_AREA = math.sqrt(math.pi / (4 * math.log(2)))
"""Area of a Gaussian over height times FWHM: 1.06447."""

LORENTZIAN_AREA = math.pi / 2
"""Area of a Lorentzian over height times FWHM: 1.57080."""

_FOUR_LN_2 = 4 * math.log(2)


def columns(*slopes: np.ndarray) -> np.ndarray:
    """Slopes (points,) side by side (points, slopes), each in one piece of memory; (..., points) alike."""
    return np.moveaxis(np.stack(np.broadcast_arrays(*slopes), axis=-2), -2, -1)


def gaussian(energy: np.ndarray, height: float, centre: float, fwhm: float) -> np.ndarray:
    """A Gaussian line; its area is GAUSSIAN_AREA * height * fwhm."""
    return height * np.exp(-_FOUR_LN_2 * ((energy - centre) / fwhm) ** 2)


def gaussian_slopes(energy: np.ndarray, height: float, centre: float, fwhm: float) -> np.ndarray:
    """Slopes of `gaussian` by height, centre and fwhm (points, 3)."""
    unit = gaussian(energy, 1.0, centre, fwhm)
    by_centre = height * unit * 2 * _FOUR_LN_2 * (energy - centre) / fwhm**2
    return columns(unit, by_centre, by_centre * (energy - centre) / fwhm)


def lorentzian(energy: np.ndarray, height: float, centre: float, fwhm: float) -> np.ndarray:
    """A Lorentzian line; its area is LORENTZIAN_AREA * height * fwhm."""
    return height / (1 + (2 * (energy - centre) / fwhm) ** 2)


def lorentzian_slopes(energy: np.ndarray, height: float, centre: float, fwhm: float) -> np.ndarray:
    """Slopes of `lorentzian` by height, centre and fwhm (points, 3)."""
    unit = lorentzian(energy, 1.0, centre, fwhm)
    by_centre = height * unit**2 * 8 * (energy - centre) / fwhm**2
    return columns(unit, by_centre, by_centre * (energy - centre) / fwhm)


def pseudo_voigt(
    energy: np.ndarray, height: float, centre: float, fwhm: float, lorentzian_share: float
) -> np.ndarray:
    """A Lorentzian and a Gaussian of one FWHM; `lorentzian_share` (0..1) is of the height, not the area."""
    parts = lorentzian(energy, 1.0, centre, fwhm), gaussian(energy, 1.0, centre, fwhm)
    return height * (lorentzian_share * parts[0] + (1 - lorentzian_share) * parts[1])


def pseudo_voigt_slopes(
    energy: np.ndarray, height: float, centre: float, fwhm: float, lorentzian_share: float
) -> np.ndarray:
    """Slopes of `pseudo_voigt` by height, centre, fwhm and lorentzian_share (points, 4)."""
    away = (energy - centre) / fwhm
    narrow, wide = np.exp(-_FOUR_LN_2 * away**2), 1 / (1 + 4 * away**2)
    by_centre = lorentzian_share * 8 * wide**2 + (1 - lorentzian_share) * 2 * _FOUR_LN_2 * narrow
    by_centre = by_centre * (height / fwhm) * away
    mixed = lorentzian_share * wide + (1 - lorentzian_share) * narrow
    return columns(mixed, by_centre, by_centre * away, height * (wide - narrow))


def pseudo_voigt_area(height: float, fwhm: float, lorentzian_share: float) -> float:
    """Area under a pseudo-Voigt, in height times eV."""
    return height * fwhm * (lorentzian_share * LORENTZIAN_AREA + (1 - lorentzian_share) * GAUSSIAN_AREA)


def arctangent_step(energy: np.ndarray, height: float, centre: float, fwhm: float) -> np.ndarray:
    """The running area of a Lorentzian; it stands at 3/4 of its height half an FWHM above the centre."""
    return height * (0.5 + np.arctan(2 * (energy - centre) / fwhm) / math.pi)


def arctangent_step_slopes(energy: np.ndarray, height: float, centre: float, fwhm: float) -> np.ndarray:
    """Slopes of `arctangent_step` by height, centre and fwhm (points, 3)."""
    unit = arctangent_step(energy, 1.0, centre, fwhm)
    by_centre = -lorentzian(energy, 2 * height / (math.pi * fwhm), centre, fwhm)
    return columns(unit, by_centre, by_centre * (energy - centre) / fwhm)


def error_function_step(energy: np.ndarray, height: float, centre: float, fwhm: float) -> np.ndarray:
    """The running area of a Gaussian of that FWHM."""
    from scipy.special import ndtr

    return height * ndtr(math.sqrt(2 * _FOUR_LN_2) * (energy - centre) / fwhm)


def voigt_fwhm(lorentzian_fwhm: float, gaussian_fwhm: float) -> float:
    """FWHM of the two broadenings together (Olivero and Longbothum 1977; good to 0.02 %)."""
    return 0.5346 * lorentzian_fwhm + math.sqrt(0.2166 * lorentzian_fwhm**2 + gaussian_fwhm**2)
