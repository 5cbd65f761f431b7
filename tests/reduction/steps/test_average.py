"""Repeats on one spot become one curve; nothing else is put together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import ENERGY, curve, passed, scan, spectrum

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE
from edgeshift.records.scan import Place
from edgeshift.records.spectrum import SharedTerm
from edgeshift.reduction.steps import average

SPIKE, BUSY = BY_CODE["spike"].bit, BY_CODE["dead-time"].bit


def one(key: str, value: np.ndarray, place: Place = Place("RAW-A", "1"), **changes):  # noqa: B008
    """A pass with its curve."""
    made = replace(spectrum(key, value, place), **changes)
    return replace(passed(replace(scan(key), place=place)), curve=made)


def averaged(*passes, recipe: Recipe | None = None):
    return [each.curve for each in average.run(passes, recipe or Recipe())]


def test_repeats_on_one_spot_are_averaged_without_weights():
    (found,) = averaged(one("a", curve(1.0)), one("b", curve(2.0), sigma=np.full(ENERGY.size, 0.05)))
    np.testing.assert_allclose(found.value, curve(1.5))
    np.testing.assert_allclose(found.sigma, np.hypot(0.01, 0.05) / 2)
    assert (found.scans, found.key) == (("a", "b"), "a+b")


def test_other_spots_and_other_specimens_stay_apart_in_order():
    places = [Place("RAW-A", "1"), Place("RAW-A", "2"), Place("RAW-B", "1"), Place("RAW-A", "1")]
    found = averaged(*(one(key, curve(1.0), place) for key, place in zip("abcd", places, strict=True)))
    assert [f.scans for f in found] == [("a", "d"), ("b",), ("c",)]


def test_scans_of_an_unknown_specimen_are_never_put_together():
    assert len(averaged(one("a", curve(1.0), Place()), one("b", curve(1.0), Place()))) == 2


def test_a_flagged_point_is_left_out_and_the_other_repeat_stands_for_it():
    flags = np.zeros(ENERGY.size, dtype=np.int64)
    flags[[50, 60]] = SPIKE, BUSY
    value = curve(1.0) + np.where(flags == SPIKE, 9.0, 0.0)
    (found,) = averaged(one("a", value, flags=flags), one("b", curve(1.0)))
    np.testing.assert_allclose(found.value, curve(1.0))
    assert found.sigma[50] == pytest.approx(0.01)
    assert (found.flags[50], found.flags[60]) == (0, BUSY)


def test_a_point_that_no_repeat_has_stays_missing_and_keeps_its_flag():
    flags = np.zeros(ENERGY.size, dtype=np.int64)
    flags[50] = SPIKE
    (found,) = averaged(one("a", curve(1.0), flags=flags), one("b", curve(1.0), flags=flags))
    assert np.isnan(found.value[50])
    assert found.flags[50] == SPIKE


def test_jitter_of_the_read_back_moves_no_value():
    rng = np.random.default_rng(1)
    jitter = ENERGY + 0.01 * rng.uniform(-1, 1, ENERGY.size)
    (found,) = averaged(one("a", curve(1.0)), one("b", curve(1.0), energy_ev=jitter))
    np.testing.assert_allclose(found.value, curve(1.0))


def test_another_grid_is_brought_onto_the_common_one():
    coarse = ENERGY[::2]
    second = one("b", curve(1.0)[::2], energy_ev=coarse, sigma=np.full(coarse.size, 0.01),
                 flags=np.zeros(coarse.size, dtype=np.int64))  # fmt: skip
    (found,) = averaged(one("a", curve(1.0)), second)
    assert np.all(np.diff(found.energy_ev) > 0)
    expected = curve(1.0, energy=found.energy_ev)
    np.testing.assert_allclose(found.value, expected, atol=0.03)


def test_energies_met_twice_are_one_point():
    energy = np.repeat(ENERGY[:100], 2)
    value = np.repeat(curve(1.0)[:100], 2) + np.tile([0.1, -0.1], 100)
    twice = one("a", value, energy_ev=energy, sigma=np.full(200, 0.01), flags=np.zeros(200, dtype=np.int64))
    (found,) = averaged(twice)
    assert found.energy_ev.size == 100
    np.testing.assert_allclose(found.value, curve(1.0)[:100], atol=1e-12)


def test_a_step_that_was_typed_is_the_step_of_the_grid():
    recipe = Recipe.model_validate({"average": {"grid_step_ev": 0.5}})
    (found,) = averaged(one("a", curve(1.0)), one("b", curve(1.0)), recipe=recipe)
    np.testing.assert_allclose(np.diff(found.energy_ev), 0.5)


def test_shared_terms_of_one_cause_move_together_and_of_two_apart():
    shape = np.ones(ENERGY.size)
    first = one("a", curve(1.0), shared=(SharedTerm("energy tie", "foil", shape),))
    same = one("b", curve(1.0), shared=(SharedTerm("energy tie", "foil", shape),))
    other = one("b", curve(1.0), shared=(SharedTerm("energy tie", "another foil", shape),))
    (together,), (apart,) = averaged(first, same), averaged(first, other)
    assert [float(t.shape[0]) for t in together.shared] == [1.0]
    assert [(t.cause, float(t.shape[0])) for t in apart.shared] == [("foil", 0.5), ("another foil", 0.5)]


def test_a_doubt_is_told_once():
    (found,) = averaged(*(one(key, curve(1.0), doubts=("It sagged.", key)) for key in "ab"))
    assert found.doubts == ("It sagged.", "a", "b")


def test_the_methods_count_scans_and_spots():
    passes = (one("a", curve(1.0)), one("b", curve(1.0)), one("c", curve(1.0), Place("RAW-A", "2")))
    assert average.sentence(passes, Recipe()) == (
        "The unweighted mean was taken of the scans on each spot (3 scans, 2 spots)."
    )


def test_scans_of_unknown_specimens_are_counted_as_the_spots_they_are():
    passes = tuple(one(key, curve(1.0), Place()) for key in "abc")
    assert "(3 scans, 3 spots)" in average.sentence(passes, Recipe())
