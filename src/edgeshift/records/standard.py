"""A standard on the shelf: a curve, the energy scale it is on, and every tie it ever got."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True)
class EnergyTie:
    """One line of a standard's history: what was added to its energies (eV), how well that is known, from
    which cited peak, and when (ISO 8601)."""

    shift_ev: float
    sigma_ev: float
    source: str
    time: str


@dataclass(frozen=True)
class Source:
    """A raw file that a standard was made of: its name, the sha256 of its bytes, and what its header said,
    field by field, as given."""

    file: str
    sha256: str
    fields: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Standard:
    """One entry of the shelf. Energies (points,) in eV, rising, with every tie applied; `value` (points,) is
    signal over beam with nothing taken away. `axis` names the scale that it was measured on, `sources` the
    files it was made of."""

    name: str
    edge: str
    energy_ev: np.ndarray
    value: np.ndarray
    axis: str
    ties: tuple[EnergyTie, ...] = ()
    remarks: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()

    @property
    def sigma_ev(self) -> float | None:
        """Give-or-take of the last tie, which stands for the whole axis; None without a tie."""
        return self.ties[-1].sigma_ev if self.ties else None
