"""Scans of one edge to spectra."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import ENERGY, curve, scan

from edgeshift.numerics.edges import double_step
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.scan import Place, Tie
from edgeshift.reduction.pipeline import flagged, reduce_edge, settle
from edgeshift.reduction.steps import divide

RECIPE = Recipe()


def noisy(seed: int, line: float = 1.0, sigma: float = 0.004, i0: np.ndarray | None = None, **more):
    rng = np.random.default_rng(seed)
    beam = np.linspace(2, 1.8, len(ENERGY)) if i0 is None else i0
    value = 0.5 + 0.3 * curve(line)
    return scan(
        f"scan-{seed:03d}", beam * value * (1 + sigma * rng.standard_normal(len(ENERGY))), beam, **more
    )


def reduced(*scans, recipe=RECIPE, aside=frozenset()):
    return reduce_edge("Al K", flagged(scans, recipe), recipe, aside)


def test_the_edge_step_becomes_one_and_the_beam_divides_out():
    found = reduced(noisy(1), noisy(2))
    one = found.spots[0]
    assert one.unit == "step"
    assert one.value[ENERGY > 1595].mean() == pytest.approx(1, abs=0.02)
    assert one.value[ENERGY < 1560].mean() == pytest.approx(0, abs=0.02)
    assert one.value.max() == pytest.approx(curve(1.0).max(), rel=0.05)


def test_repeats_on_one_spot_become_one_spectrum_with_less_noise():
    spot = Place("RAW-A", "1")
    found = reduced(noisy(1, place=spot), noisy(2, place=spot), noisy(3, place=Place("RAW-A", "2")))
    assert [s.scans for s in found.spots] == [("scan-001", "scan-002"), ("scan-003",)]
    assert np.median(found.spots[0].sigma) == pytest.approx(
        np.median(found.spots[1].sigma) / np.sqrt(2), rel=0.2
    )


def test_what_is_set_aside_stays_in_the_passes_and_out_of_the_spectra():
    found = reduced(noisy(1), noisy(2), aside=frozenset({"scan-002"}))
    assert [p.scan.key for p in found.passes] == ["scan-001", "scan-002"]
    assert set(found.scans) == {"scan-001"}


def test_all_set_aside_is_an_empty_set_and_no_fault():
    found = reduced(noisy(1), aside=frozenset({"scan-001"}))
    assert found.spots == ()


def test_the_printed_noise_agrees_with_the_noise_put_in():
    found = reduced(*(noisy(seed, sigma=0.01) for seed in range(8)))
    flat = (ENERGY > 1590) & (ENERGY < 1612)
    rows = np.vstack([found.scans[k].value for k in found.scans])
    seen = rows[:, flat].std(axis=0, ddof=1).mean()
    said = np.mean([found.scans[k].sigma[flat].mean() for k in found.scans])
    assert said == pytest.approx(seen, rel=0.3)


def test_a_declared_tie_moves_the_energies_and_names_its_uncertainty():
    tied = replace(noisy(1), tie=Tie(0.35, 0.05, "standard of the day"))
    plain, moved = reduced(noisy(1)), reduced(tied)
    assert moved.spots[0].energy_ev[0] == pytest.approx(plain.spots[0].energy_ev[0] + 0.35)
    assert "energy tie" in [term.name for term in moved.spots[0].shared]
    assert any("+0.35 eV (standard of the day)" in sentence for sentence in moved.methods)


def test_a_scan_without_a_stretch_above_has_no_usable_step_and_says_so():
    keep = ENERGY < 1571
    short = scan("scan-001", curve(1.0)[keep], energy_ev=ENERGY[keep])
    found = reduced(short)
    assert found.spots[0].unit == "area"
    assert any(d.startswith("No usable edge step:") for d in found.spots[0].doubts)


def test_flat_noise_has_no_usable_step():
    rng = np.random.default_rng(1)
    found = reduced(scan("scan-001", 1 + 0.01 * rng.standard_normal(len(ENERGY))))
    assert any(d.startswith("No usable edge step") for d in found.spots[0].doubts)


def test_every_curve_of_an_edge_is_scaled_alike():
    keep = ENERGY < 1571
    short = scan("scan-002", curve(1.0)[keep], energy_ev=ENERGY[keep], place=Place("B", "1"))
    found = reduced(noisy(1, place=Place("A", "1")), short)
    assert {s.unit for s in found.spots} == {"area"}


def test_knobs_typed_by_a_person_are_kept_and_empty_ones_are_filled():
    recipe = Recipe.model_validate({"baseline": {"below_ev": [1552, 1560]}})
    found = reduced(noisy(1), recipe=recipe)
    assert found.recipe.baseline.below_ev == (1552, 1560)
    assert found.recipe.scale.above_ev is not None
    assert any("1552.0 to 1560.0 eV" in sentence for sentence in found.methods)


def test_a_line_lies_under_a_transmitted_beam_and_a_level_under_a_yield():
    curves = [p.curve for p in divide.run(flagged((noisy(1),), RECIPE), RECIPE)]
    assert settle("transmitted", curves, RECIPE).baseline.degree == 1
    assert settle("electron-yield", curves, RECIPE).baseline.degree == 0


def test_a_weak_second_line_stays_out_of_the_stretch_above_the_edge():
    """An L2 of a quarter of L3 hides beside it; the table says how far above L3 it lies."""
    energy = np.linspace(625, 680, 276)
    lines = 4 * np.exp(-((energy - 642.0) ** 2)) + np.exp(-((energy - 653.2) ** 2))
    value = double_step(energy, (641.0, 652.2), (1.0, 1.0), (2 / 3, 1 / 3)) + lines
    found = reduce_edge(
        "Mn L", flagged([scan("scan-001", value, energy_ev=energy, edge="Mn L")], RECIPE), RECIPE, frozenset()
    )
    assert found.recipe.scale.above_ev[0] > 656
    assert found.spots[0].value.max() == pytest.approx(value.max(), rel=0.03)


def test_same_scans_and_recipe_give_the_same_numbers_twice():
    one, two = reduced(noisy(1), noisy(2)), reduced(noisy(1), noisy(2))
    np.testing.assert_array_equal(one.spots[0].value, two.spots[0].value)
    assert one.methods == two.methods


def test_the_baseline_spread_is_named_and_not_part_of_the_noise():
    found = reduced(noisy(1)).spots[0]
    names = [term.name for term in found.shared]
    assert names.count("baseline choice") == 1
    assert names.count("scaling") == 1


def test_a_memory_changes_nothing_but_the_time():
    memory: dict = {}
    spot = Place("RAW-A", "1")
    one, two, three = noisy(1, place=spot), noisy(2, place=Place("RAW-A", "2")), noisy(3, place=spot)
    for scans in ((one, two), (one, two, three)):
        passes = flagged(scans, RECIPE)
        with_memory = reduce_edge("Al K", passes, RECIPE, frozenset(), memory)
        without = reduce_edge("Al K", passes, RECIPE, frozenset())
        assert with_memory.recipe == without.recipe
        for a, b in zip(with_memory.spots, without.spots, strict=True):
            np.testing.assert_array_equal(a.value, b.value)


def test_a_single_scan_that_cannot_be_scaled_like_its_spot_has_no_spectrum_of_its_own():
    """Thirty repeats make a step together that none of them shows alone."""
    spot = Place("RAW-A", "1")
    rng = np.random.default_rng(3)
    weak = [
        scan(f"scan-{n:03d}", 1 + 0.02 * curve(0.0) + 0.05 * rng.standard_normal(len(ENERGY)), place=spot)
        for n in range(30)
    ]
    found = reduced(*weak)
    assert found.spots[0].unit == "step"
    assert {s.unit for s in found.scans.values()} <= {"step"}
    assert len(found.scans) < 30
