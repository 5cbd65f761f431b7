"""A question names elements in many ways; words that only look like it name none."""

from __future__ import annotations

import pytest

from edgeshift.planning.mentioned import elements_named


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("Is there more nitrogen in leaves of the polluted park?", ("N",)),
        ("more iron oxide in burnt clay than in raw clay", ("Fe", "O")),
        ("Do carbonates stay, and does Aluminum go?", ("C", "O", "Al")),
        ("Does TiO2 or Ca(OH)2 or Fe differ more than Sulphur?", ("Ti", "O", "Ca", "H", "Fe", "S")),
        ("In 300 C heat, as at home, no pit K or CO is hotter than I am", ()),
        ("Are As, Bs and Cs alike? He said so.", ("Cs",)),
    ],
)
def test_elements_are_found_by_name_formula_symbol_and_compound(words, named):
    assert elements_named(words) == named
