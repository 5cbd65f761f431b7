"""Formulas are read as they are written, and what was meant otherwise is refused with how to write it."""

from __future__ import annotations

import pytest

from edgeshift.errors import TextRefused
from edgeshift.tables.formulas import atoms_of

BLUE = {"Cu": 1.0, "S": 1.0, "O": 9.0, "H": 10.0}


@pytest.mark.parametrize("formula", ["CuSO4·5H2O", "CuSO4*5H2O", "Cu S O4 • 5 H2 O", "CuSO4(H2O)5"])
def test_the_water_of_a_hydrate_counts_behind_a_dot_or_a_star(formula):
    assert atoms_of(formula) == BLUE


@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("Si02", "found the count 02. Write oxygen with the letter O, as SiO2."),
        ("Fe(OH)0", "found the count 0. "),
        ("CuSO4.5H2O", r"found a fraction or a hydrate. Write a hydrate as CuSO4\*5H2O"),
        ("Al2O3)", "found '\\)'. Check brackets"),
        ("sio2", "found 'sio2'. Check brackets and capital letters"),
        ("CuSO4·", "found ''"),
    ],
)
def test_what_was_meant_otherwise_is_refused_with_how_to_write_it(formula, words):
    with pytest.raises(TextRefused, match=words):
        atoms_of(formula)


def test_fractions_stay_fractions():
    assert atoms_of("Fe0.95O") == {"Fe": 0.95, "O": 1.0} and atoms_of("Mg1.5Fe.5O2")["Fe"] == 0.5
