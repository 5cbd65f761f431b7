"""A spectrum: absorption against energy, with what is known of its uncertainty, by name."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.records.scan import Place, Scan


@dataclass(frozen=True)
class SharedTerm:
    """One error that moves many points together.

    `shape` (points,) is the change of the curve for one standard deviation of the cause, in the
    curve's own unit. Two spectra share the term where `cause` is equal: its shapes then add with
    sign before they are squared.
    """

    name: str
    cause: str
    shape: np.ndarray


@dataclass(frozen=True)
class StepNote:
    """What one step did to this spectrum: its methods sentence and the numbers it used."""

    step: str
    sentence: str
    numbers: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Spectrum:
    """Absorption (points,) on increasing energies, with its errors by name.

    `sigma` is the independent error (points,): noise that differs from point to point. It does not
    include the `shared` terms (I0, energy tie, baseline choice, scaling). `flags` (points,) are bits
    of `records.flags`; flagged points stay in place. `unit` is "ratio", "step" (edge step = 1),
    "area" or "raw". `scans` are the keys of the scans in it. A missing point is NaN.
    """

    key: str
    energy_ev: np.ndarray
    value: np.ndarray
    sigma: np.ndarray
    flags: np.ndarray
    unit: str = "ratio"
    edge: str | None = None
    place: Place = Place()
    scans: tuple[str, ...] = ()
    shared: tuple[SharedTerm, ...] = ()
    notes: tuple[StepNote, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pass:
    """A scan on its way through the reduction: rates by role, then one curve.

    `rates[role]` and `rate_sigma[role]` are (points,) in counts/s, V or A after offset, gain, sign
    and dead time; `curve` holds the ratio once it is formed.
    """

    scan: Scan
    flags: np.ndarray
    rates: dict[str, np.ndarray]
    rate_sigma: dict[str, np.ndarray]
    curve: Spectrum | None = None
    notes: tuple[StepNote, ...] = ()
    doubts: tuple[str, ...] = ()
