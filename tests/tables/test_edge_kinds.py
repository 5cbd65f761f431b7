"""What an edge looks like when it is there, by element and shell."""

from __future__ import annotations

import pytest

from edgeshift.tables.edge_kinds import atomic_number, families_in, kind_of, rise_reach
from edgeshift.tables.edges import edge_named


@pytest.mark.parametrize(
    ("name", "kind"),
    [("Al K", "step"), ("Fe L", "lines"), ("K L", "lines"), ("Zn L", "step"), ("Br L", "step"),
     ("Ba M", "lines"), ("Ce M", "lines"), ("In M", "slow")],
)  # fmt: skip
def test_empty_shells_give_lines_and_full_ones_steps(name, kind):
    assert kind_of(edge_named(name)) == kind


def test_elements_are_counted_from_hydrogen():
    assert [atomic_number(each) for each in ("H", "C", "Fe", "U")] == [1, 6, 26, 92]


def test_a_rise_may_lie_between_tables_that_disagree():
    low, high = rise_reach(edge_named("O K"))
    assert low < 532.0 and high > 543.1


def test_families_come_by_energy_and_only_where_they_may_show():
    names = [each.name for each in families_in(690.0, 790.0)]
    assert names.index("Fe L") < names.index("Co L") < names.index("Ba M")
    assert "Ti L" not in names and "Al K" not in names
