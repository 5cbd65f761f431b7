"""Which edge a scan is of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from invented import ENERGY, curve, scan

from edgeshift.recipe.experiment import Experiment
from edgeshift.reduction.edge_of_scan import is_survey, with_edge


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
    energy = np.linspace(2.0, 2.6, len(ENERGY))
    found = with_edge(unnamed(signal=curve(1.0), energy_ev=energy), Experiment())
    assert found.edge is None
    assert "none that fits" in found.doubts[-1]


def test_where_several_fit_the_one_in_the_files_name_is_proposed_with_a_doubt():
    energy = np.linspace(700, 800, 300)
    blank = unnamed(signal=1 + 0.0 * energy, energy_ev=energy)
    for name in ("paint_CoL_02.dat", "Co-L.txt", "paint Co_L.dat"):
        found = with_edge(replace(blank, file=name), Experiment())
        assert found.edge == "Co L"
        assert "taken as Co L by its file's name" in found.doubts[-1] and "name it under" in found.doubts[-1]
    for name in ("alcoholic.dat", "CoLd.dat", "sCoL.dat"):
        assert with_edge(replace(blank, file=name), Experiment()).edge is None


def test_an_edge_that_lies_below_the_whole_range_is_no_rival():
    """Of Nb L only L2 lies in a usual range of S K, and nobody scans an L edge without its L3."""
    energy = np.linspace(2455.0, 2525.0, 300)
    found = with_edge(
        unnamed(signal=curve(0.5, energy=energy - 2471.5 + 1568), energy_ev=energy), Experiment()
    )
    assert found.edge == "S K"
    assert "S K by where its range begins (S K, Nb L fit)" in found.doubts[-1]


def survey(low=270.0, high=1000.0, step=2.0):
    energy = np.r_[np.arange(low, high, step), np.arange(1530.0, 1620.0, step)]
    return unnamed(signal=1 + 0.0 * energy, energy_ev=energy)


def test_a_survey_is_of_no_edge_even_where_one_is_planned_and_says_what_it_covers():
    found = with_edge(survey(), planned("Ca L", "Al K"))
    assert found.edge is None
    assert found.doubts == ("A survey over several edges: 270 to 1618 eV, nothing from 998 to 1530 eV.",)
    assert is_survey(found) and not is_survey(scan()) and not is_survey(replace(found, edge="Ca L"))
