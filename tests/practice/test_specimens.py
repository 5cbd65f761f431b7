"""Units and spots scatter as the scenario says."""

import numpy as np
import pytest

from edgeshift.practice.specimens import basis_of, populate

DRAWS = 300


@pytest.fixture(scope="module")
def lead_shares(riverbank):
    """By edge: the lead share of the units (draws, units) and of their first spots (draws, units)."""
    found = {}
    for edge in ("Al K", "Fe L"):
        model = riverbank.edges[edge]
        basis = basis_of(model, 0.0)
        specimens = [s for s in riverbank.experiment.specimens if s.unit]
        units, spots = [], []
        for draw in range(DRAWS):
            drawn = populate(riverbank, model, basis, (5, draw))
            units.append([drawn.units[s.unit].shares[model.lead] for s in specimens])
            spots.append([drawn.spots[s.name, "s1"].shares[model.lead] for s in specimens])
        found[edge] = np.array(units), np.array(spots)
    return found


@pytest.mark.parametrize(("edge", "low", "high"), [("Al K", 0.04, 0.05), ("Fe L", 0.02, 0.03)])
def test_units_scatter_within_the_stated_range(lead_shares, edge, low, high):
    units, _ = lead_shares[edge]
    assert low <= units[:, :3].std(ddof=1) <= high


@pytest.mark.parametrize("edge", ["Al K", "Fe L"])
def test_spots_scatter_a_third_as_much_as_their_unit(riverbank, lead_shares, edge):
    units, spots = lead_shares[edge]
    third = riverbank.edges[edge].unit_sd / 3
    assert (spots - units)[:, :3].std() == pytest.approx(third, rel=0.12)


def test_halves_of_one_dig_share_some_of_its_scatter(lead_shares):
    units, _ = lead_shares["Al K"]
    raw, fired = units[:, :3].ravel(), units[:, 3:].ravel()
    assert 0.08 < np.corrcoef(raw, fired)[0, 1] < 0.35
    stranger = np.corrcoef(units[:, 0], units[:, 1])[0, 1]
    assert abs(stranger) < 0.2


def test_shares_always_add_up_to_one_and_keep_their_proportions(riverbank):
    model = riverbank.edges["Al K"]
    basis = basis_of(model, 0.0)
    for draw in range(50):
        drawn = populate(riverbank, model, basis, (6, draw))
        for matter in (*drawn.units.values(), *drawn.spots.values()):
            assert sum(matter.shares.values()) == pytest.approx(1.0)
            assert min(matter.shares.values()) >= 0.0
        fired = drawn.units["fired A"].shares
        assert fired["four"] / fired["five"] == pytest.approx(0.52 / 0.28)
        assert drawn.units["raw A"].shares["five"] == 0.0
