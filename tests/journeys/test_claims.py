"""A short version of the benchmark of claims: planted false ones fall, true ones stand."""

import pytest
from benchmark_modules import benchmark


@pytest.fixture(scope="module")
def borne():
    """Every planted claim of one practice shift."""
    return benchmark("claim_stress").borne(12000)


def test_planted_false_claims_fall_and_true_ones_stand_under_most_of_what_is_tried(borne):
    module = benchmark("claim_stress")
    for name, planted in module.PLANTED.items():
        assert borne[name].carried == planted.true, name
        share = borne[name].share
        assert share > module.TRUE_LEAST if planted.true else share < module.FALSE_MOST, (name, share)


def test_every_kind_of_change_was_tried(borne):
    assert {kind for one in borne.values() for kind in one.kinds} == {
        "unit", "scan", "slide", "baseline", "shuffle",
    }  # fmt: skip


def test_the_table_counts_a_claim_that_was_never_carried_as_a_goal_missed(borne, capsys):
    module = benchmark("claim_stress")
    assert module.told([borne])
    fallen = {name: one._replace(carried=False) for name, one in borne.items()}
    assert not module.told([fallen])
    assert "potassium differs" in capsys.readouterr().out
