"""Attenuation by three sets: their spread is kept, disputed energies say so, formulas are read or refused."""

from __future__ import annotations

import pytest

from edgeshift.errors import TextRefused
from edgeshift.tables.absorption import (
    attenuation_length_um,
    composition,
    disputed,
    edge_step,
    jump,
    mass_attenuation,
)
from edgeshift.tables.absorption_values import SETS, TABLE


def test_every_element_has_rising_energies_and_falling_light_between_edges():
    for element, rows in TABLE.items():
        energies = [row[0] for row in rows]
        assert energies == sorted(set(energies)), element
        assert all(value > 0 for row in rows for value in row[1:]), element
        assert len(rows[0]) == 1 + len(SETS)


def test_a_formula_is_read_with_its_brackets():
    kaolinite = composition("Al2Si2O5(OH)4")
    assert kaolinite["Al"] == pytest.approx(0.2090, abs=2e-4)
    assert kaolinite["H"] == pytest.approx(0.0156, abs=2e-4)
    assert sum(kaolinite.values()) == pytest.approx(1.0)
    assert composition("Ca(CO3)") == composition("CaCO3")


@pytest.mark.parametrize("formula", ["", "al2", "Al2O3)", "(Al2O3", "7"])
def test_a_text_that_is_no_formula_is_refused(formula):
    with pytest.raises(TextRefused, match="needed a formula as"):
        composition(formula)


def test_an_unknown_symbol_is_refused():
    with pytest.raises(TextRefused, match="'Xx'"):
        composition("XxO")


def test_between_two_places_of_one_edge_the_energy_is_disputed():
    glass = composition("SiO2")
    found = attenuation_length_um(glass, 2.65, 537.0)
    assert found.disputed == ("O K",)
    assert found.high > 3 * found.low
    assert attenuation_length_um(glass, 2.65, 600.0).disputed == ()
    assert disputed({"Si": 1.0}, 537.0) == ()


def test_an_energy_outside_the_table_is_refused():
    with pytest.raises(TextRefused, match="from 200 to 2200 eV, found 7112 eV"):
        mass_attenuation({"Fe": 1.0}, 7112.0)


def test_a_step_counts_what_the_edge_adds_and_no_more():
    """A pair adds less than the whole absorption above it and far more than nothing, in every set."""
    for name, element in (("Al K", "Al"), ("Fe L", "Fe"), ("Ca L", "Ca")):
        step, whole = (
            edge_step(name),
            mass_attenuation({element: 1.0}, 1.05 * {"Al K": 1559.6, "Fe L": 721.1, "Ca L": 350.0}[name]),
        )
        barn = {"Al": 26.982, "Fe": 55.845, "Ca": 40.078}[element] / 0.602214
        for one, all_ in zip(step.values, whole.values, strict=True):
            assert 0.75 * all_.value * barn < one.value < 0.95 * all_.value * barn, name
        assert 0.0 < step.half < 0.1 * step.middle


def test_a_jump_is_a_ratio_above_one_in_every_set():
    assert all(each.value > 5 for each in jump("Fe L").values)
    with pytest.raises(TextRefused, match="edge name"):
        jump("Fe")
