"""The truth of the scenario's table, before and after this instrument's blurring."""

from dataclasses import replace

import numpy as np
import pytest

from edgeshift.practice.beamline import resolution_ev
from edgeshift.practice.specimens import basis_of, populate, typical
from edgeshift.practice.truth import edge_truth, read_true
from edgeshift.recipe.experiment import Feature

ALUMINIUM = {
    # six-, four-, five-fold: ratio before the instrument, ratio as the instrument sees it (both invented)
    "dried at 105": ((0.86, 0.14, 0.00), 0.34, 0.364),
    "fired at 550": ((0.52, 0.30, 0.18), 0.61, 0.616),
    "fired at 750": ((0.20, 0.52, 0.28), 0.97, 0.944),
    "kiln at 900": ((0.24, 0.64, 0.12), 1.05, 1.014),
}
IRON = {"dried": (0.72, 1.83), "skin": (0.92, 2.75), "core": (0.48, 1.15), "kiln": (0.97, 3.07)}


def feature_of(scenario, edge, shares, fwhm_ev):
    """The ratio at the two energies that the table speaks of."""
    model = replace(scenario.edges[edge], shares={"raw": shares})
    basis = basis_of(model, fwhm_ev)
    middles = [sum(window) / 2 for window in scenario.experiment.edge_plan(edge).feature.windows]
    curve = basis.curve(typical(scenario, model, None, "raw", basis))
    at = [np.interp(middle, basis.energy_ev, curve) for middle in middles]
    return at[0] / at[1]


@pytest.mark.parametrize("name", ALUMINIUM)
def test_aluminium_follows_the_table(riverbank, name):
    numbers, sharp, seen = ALUMINIUM[name]
    shares = dict(zip(("six", "four", "five"), numbers, strict=True))
    assert feature_of(riverbank, "Al K", shares, 0.0) == pytest.approx(sharp, abs=0.01)
    assert feature_of(riverbank, "Al K", shares, 1566.2 / 2000) == pytest.approx(seen, abs=0.01)


@pytest.mark.parametrize("name", IRON)
def test_iron_follows_the_table(riverbank, name):
    fe3, sharp = IRON[name]
    assert feature_of(riverbank, "Fe L", {"fe3": fe3, "fe2": 1 - fe3}, 0.0) == pytest.approx(sharp, abs=0.01)


def test_the_declared_windows_read_the_same_truth(made):
    aluminium, iron = made.truth.edges["Al K"], made.truth.edges["Fe L"]
    assert aluminium.arms["raw"] == pytest.approx(0.364, abs=0.01)
    assert aluminium.arms["fired"] == pytest.approx(0.944, abs=0.01)
    assert iron.unblurred["raw"] == pytest.approx(1.83, abs=0.01)
    assert iron.unblurred["fired"] == pytest.approx(2.75, abs=0.01)


def test_control_edges_do_not_move(made):
    for edge in ("K L", "Ti L"):
        assert made.truth.edges[edge].difference("raw", "fired") == 0.0


def test_silicon_moves_by_very_little(made):
    truth = made.truth.edges["Si K"]
    assert truth.unblurred["fired"] - truth.unblurred["raw"] == pytest.approx(-0.07, abs=0.01)
    assert -0.07 < truth.difference("raw", "fired") < -0.02


def test_only_units_and_spots_that_are_scanned_have_a_truth(made):
    assert set(made.truth.edges["Si K"].units) == {"raw A", "raw B", "fired A", "fired B"}
    assert set(made.truth.edges["Al K"].units["raw C"].spots) == {("RAW-C", "s1"), ("RAW-C", "s2")}


@pytest.mark.parametrize(
    ("kind", "windows", "expected"),
    [
        ("ratio", ((1, 2), (3, 4)), 1.5 / 3.5),
        ("height", ((1, 2),), 1.5),
        ("area", ((1, 3),), 4.0),
        ("centroid", ((0, 3),), 2.0),
        ("position", ((1, 3),), 3.0),
    ],
)
def test_a_feature_of_a_straight_line_is_what_a_pencil_says(kind, windows, expected):
    energy = np.linspace(0, 5, 5001)
    assert read_true(Feature(kind=kind, windows=windows), energy, energy) == pytest.approx(expected, abs=2e-3)


def drawn_moves(scenario, edge, draws):
    """Fired minus raw within pairs (draws, pairs), from the true features of drawn units."""
    model = scenario.edges[edge]
    basis = basis_of(model, resolution_ev(scenario.beamline, model.at_ev))
    moves = []
    for draw in range(draws):
        units = edge_truth(scenario, model, basis, populate(scenario, model, basis, (1, draw))).units
        pairs = sorted(name.split()[1] for name in units if name.startswith("raw"))
        moves.append([units[f"fired {pair}"].feature - units[f"raw {pair}"].feature for pair in pairs])
    return np.array(moves)


@pytest.mark.parametrize(("edge", "times"), [("Al K", 8.0), ("Fe L", 5.0)])
def test_a_true_treatment_stands_far_above_the_scatter_of_pairs(riverbank, edge, times):
    moves = drawn_moves(riverbank, edge, 40)
    assert moves.mean() > times * moves.std(ddof=1)


@pytest.mark.parametrize("edge", ["K L", "Ti L"])
def test_control_edges_scatter_between_units_around_nothing(riverbank, edge):
    moves = drawn_moves(riverbank, edge, 60)
    error = moves.std(ddof=1) / np.sqrt(moves.size)
    assert error > 0
    assert abs(moves.mean()) < 4 * error
