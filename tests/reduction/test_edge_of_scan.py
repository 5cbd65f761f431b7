"""Which edge a scan is of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from invented import ENERGY, curve, scan

from edgeshift.recipe.experiment import Experiment
from edgeshift.reduction.edge_of_scan import with_edge


def unnamed(**more):
    return replace(scan(**more), edge=None)


def planned(*edges: str) -> Experiment:
    return Experiment.model_validate({"edges": [{"edge": edge} for edge in edges]})


def test_the_files_own_word_stands_first():
    assert with_edge(replace(scan(), edge="Si K"), planned("Al K")).edge == "Si K"


def test_a_planned_edge_in_range_is_taken():
    assert with_edge(unnamed(), planned("Al K", "Fe L")).edge == "Al K"


def test_without_a_plan_the_only_edge_that_fits_is_taken():
    energy = np.linspace(7070, 7250, 400)
    signal = curve(0.5, energy=energy - 7128 + 1568)
    assert with_edge(unnamed(signal=signal, energy_ev=energy), Experiment()).edge == "Fe K"


def test_where_several_fit_none_is_guessed_and_the_scan_says_so():
    energy = np.linspace(700, 800, 300)
    signal = 1 + 0.0 * energy
    found = with_edge(unnamed(signal=signal, energy_ev=energy), Experiment())
    assert found.edge is None
    assert "Its edge is unclear (" in found.doubts[-1]
    assert "name it under edges" in found.doubts[-1]


def test_a_range_without_any_edge_says_none_fits():
    energy = np.linspace(2.0, 9.0, len(ENERGY))
    found = with_edge(unnamed(signal=curve(1.0), energy_ev=energy), Experiment())
    assert found.edge is None
    assert "none that fits" in found.doubts[-1]
