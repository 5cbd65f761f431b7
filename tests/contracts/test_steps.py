"""Every step of the reduction is asked the same questions."""

from __future__ import annotations

import copy
import pickle
from dataclasses import replace

import numpy as np
import pytest
from invented import ENERGY, curve, scan

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.scan import Channel, Place, Tie
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.pipeline import flagged, settle
from edgeshift.reduction.steps import average, baseline, divide, flag, ordered, rates, scale, tie

ORDER = (rates, flag, divide, tie, average, baseline, scale)
STEPS = pytest.mark.parametrize("step", ORDER, ids=lambda step: step.NAME)


def scans(factor: float = 1.0):
    """Two noisy repeats and one more spot, tied, with one missing point in the first."""
    made = []
    for number, spot in ((1, "1"), (2, "1"), (3, "2")):
        rng = np.random.default_rng(number)
        beam = np.linspace(2, 1.8, len(ENERGY))
        signal = factor * beam * (0.5 + 0.3 * curve(1.0)) * (1 + 0.004 * rng.standard_normal(len(ENERGY)))
        if number == 1:
            signal[100] = np.nan
        one = scan(f"scan-{number:03d}", signal, beam, place=Place("RAW-A", spot))
        made.append(replace(one, tie=Tie(0.1, 0.05, "standard")))
    return made


def before(step, factor: float = 1.0) -> tuple[tuple[Pass, ...], Recipe]:
    """The passes as they reach the step, and the recipe it gets."""
    recipe = Recipe()
    passes = tuple(Pass(s, np.zeros(len(s.energy_ev), dtype=np.int64), {}, {}) for s in scans(factor))
    for earlier in ORDER[: ORDER.index(step)]:
        passes = earlier.run(passes, recipe)
        if earlier is average:
            recipe = settle("electron-yield", [p.curve for p in passes], recipe)
    return passes, recipe


def after(step, factor: float = 1.0) -> tuple[Pass, ...]:
    passes, recipe = before(step, factor)
    return step.run(passes, recipe)


def curves(passes: tuple[Pass, ...]) -> list[np.ndarray]:
    return [p.curve.value for p in passes if p.curve is not None]


@STEPS
def test_the_input_stays_untouched(step):
    passes, recipe = before(step)
    kept = pickle.dumps(passes)
    step.run(passes, recipe)
    assert pickle.dumps(passes) == kept


@STEPS
def test_the_same_twice(step):
    assert pickle.dumps(after(step)) == pickle.dumps(after(step))


@STEPS
def test_nothing_is_nothing(step):
    _, recipe = before(step)
    assert step.run((), recipe) == ()


@STEPS
def test_missing_points_stay_missing_or_are_taken_from_a_repeat(step):
    for passes in after(step):
        if passes.curve is not None and passes.curve.scans == ("scan-001",):
            assert np.isnan(passes.curve.value[100])


@STEPS
def test_energies_rise_and_every_array_has_their_length(step):
    for each in after(step):
        if each.curve is not None:
            assert np.all(np.diff(each.curve.energy_ev) > 0)
            lengths = {len(a) for a in (each.curve.value, each.curve.sigma, each.curve.flags)}
            assert lengths == {len(each.curve.energy_ev)}


@STEPS
def test_scaling_the_signal_scales_value_and_noise_together_or_not_at_all(step):
    one, ten = after(step), after(step, 10.0)
    for a, b in zip(one, ten, strict=True):
        if a.curve is not None:
            factor = np.nanmedian(b.curve.value / a.curve.value)
            assert factor == pytest.approx(1.0 if step is scale else 10.0, rel=1e-6)
            np.testing.assert_allclose(b.curve.sigma, factor * a.curve.sigma, rtol=1e-6)
            for s, t in zip(a.curve.shared, b.curve.shared, strict=True):
                np.testing.assert_allclose(t.shape, factor * s.shape, rtol=1e-5, atol=1e-9)


@STEPS
def test_no_scan_is_lost(step):
    keys = {key for each in after(step) for key in (each.curve.scans if each.curve else (each.scan.key,))}
    assert keys == {"scan-001", "scan-002", "scan-003"}


@STEPS
def test_its_sentence_is_one_sentence(step):
    passes, recipe = before(step)
    said = step.sentence(step.run(passes, recipe) if step is scale else passes, recipe)
    assert said.endswith(".")
    assert said[0].isupper()


def test_the_door_that_others_use_gives_the_steps_in_order():
    assert ordered() == ORDER


@pytest.mark.parametrize("step", ORDER[2:], ids=lambda step: step.NAME)
def test_the_printed_noise_agrees_with_two_hundred_draws(step):
    """Draws of the noise of two repeats, through every step; the flat stretch above the edge is compared."""
    flat = (ENERGY > 1590) & (ENERGY < 1605)
    seen, said = [], []
    for draw in range(200):
        rng = np.random.default_rng(1000 + draw)
        beam = np.full(len(ENERGY), 2.0)
        made = [
            scan(f"scan-{n}", beam * (0.5 + 0.3 * curve(1.0)) + 0.01 * rng.standard_normal(len(ENERGY)), beam,
                 place=Place("A", "1"))
            for n in (1, 2)
        ]  # fmt: skip
        recipe = Recipe()
        passes = flagged(made, recipe)
        for each in ORDER[2 : ORDER.index(step) + 1]:
            if each is baseline:
                recipe = settle("electron-yield", [p.curve for p in passes], recipe)
            passes = each.run(passes, recipe)
        seen.append(passes[0].curve.value[flat])
        said.append(np.median(passes[0].curve.sigma[flat]))
    assert np.mean(said) == pytest.approx(np.std(seen, axis=0, ddof=1).mean(), rel=0.15)


def counted(counts: np.ndarray, **more):
    """A scan of a counter without I0."""
    channel = Channel("fluorescence", counts[None, :], "counts", ("fy",), **more)
    return scan("scan-001", counts, channels={"fluorescence": channel})


def test_a_ratio_of_equal_channels_is_one():
    made = scan("scan-001", curve(1.0), curve(1.0))
    passes = divide.run(flagged((made,), Recipe()), Recipe())
    np.testing.assert_allclose(passes[0].curve.value, 1.0)


def test_copies_of_a_pass_do_not_share_what_a_step_returns():
    passes, recipe = before(divide)
    again = copy.deepcopy(passes)
    first, second = divide.run(passes, recipe), divide.run(again, recipe)
    assert first[0].curve.value is not second[0].curve.value
