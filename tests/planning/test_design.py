"""Units are counted by what was treated on its own."""

from planning.test_interview import PAIRS, finished

from edgeshift.planning.design import ArmSaid, counts, weakest


def test_whoever_has_a_member_in_common_is_one():
    arm = ArmSaid("fired", ("A", "B", "C", "D", "E"), portions=(("A", "B"),), together=(("B", "C"),))
    assert arm.things == (("A", "B"), ("C",), ("D",), ("E",))
    assert arm.branches == (("A", "B", "C"), ("D",), ("E",)) and arm.counted == 3


def test_nobody_said_to_share_counts_each_alone():
    assert ArmSaid("fired", ("A", "B")).counted == 2


def test_of_uneven_pairs_the_whole_ones_count():
    uneven = {**PAIRS, "units of raw": "A, B, C, D", "some pairs": "yes"}
    assert [(c.first, c.second, c.paired) for c in counts(finished(uneven).design)] == [(3, 3, True)]


def test_the_weakest_comparison_is_that_with_the_fewest_units():
    three = {
        **PAIRS, "arms": "raw, low, high", "units of low": "l1, l2, l3", "units of high": "h1, h2",
    }  # fmt: skip
    assert weakest(finished(three).design).treated == "high"
