"""Formulas and attenuation: shares add up, edges jump, what is strange is refused."""

import pytest

from edgeshift.errors import TextRefused
from edgeshift.tables.matter import emission_ev, known, mass_attenuation, shares_of
from edgeshift.tables.matter_values import ATTENUATION, MASSES


def test_a_formula_with_brackets_is_shares_by_mass():
    shares = shares_of("Al2 Si2 O5(OH)4")
    assert sum(shares.values()) == pytest.approx(1.0)
    assert shares["Al"] == pytest.approx(2 * 26.9815 / 258.16, rel=1e-3)


def test_a_number_behind_a_bracket_multiplies_and_fractions_are_read():
    assert shares_of("Fe(OH)3") == pytest.approx(shares_of("FeO3H3"))
    assert shares_of("Fe0.5O0.5") == pytest.approx(shares_of("FeO"))


@pytest.mark.parametrize(
    ("formula", "found"),
    [("Xx2O", "found Xx"), ("Al2O3)", "found"), ("(Al2O3", "found"), ("al", "found 'al'"), ("", "found ''")],
)
def test_what_is_no_formula_is_refused(formula, found):
    with pytest.raises(TextRefused, match=found):
        shares_of(formula)


def test_weights_are_scaled_and_strange_elements_refused():
    assert known({"Si": 2.0, "O": 2.0}) == {"Si": 0.5, "O": 0.5}
    with pytest.raises(TextRefused, match="the weights: needed elements of the table, found Kr"):
        known({"Kr": 1.0})


def test_attenuation_jumps_at_an_edge_and_is_refused_beyond_the_tables():
    below, above = (mass_attenuation({"Al": 1.0}, at)[0] for at in (1550, 1570))
    assert above > 8 * below
    with pytest.raises(ValueError, match="needed 250 to 2000 eV, found 2500"):
        mass_attenuation({"Al": 1.0}, 2500)


def test_every_element_is_whole():
    assert ATTENUATION.keys() == MASSES.keys()
    for rows in ATTENUATION.values():
        energies = [row[0] for row in rows]
        assert energies == sorted(set(energies)) and min(min(row) for row in rows) > 0


def test_main_lines_lie_below_their_edges():
    assert emission_ev("Al", "K") == pytest.approx(1486.5, abs=0.5)
    assert emission_ev("Fe", "L3") == pytest.approx(704.8, abs=0.5)
    assert emission_ev("Ca", "L3") is None and emission_ev("H", "K") is None
