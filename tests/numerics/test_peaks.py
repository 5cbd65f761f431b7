"""Sums of parts come back from noise with the errors they claim, inside their bounds."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics import lines, peaks
from edgeshift.numerics.peaks import SHAPES, Part, fit, free, model, model_slopes

ENERGY = np.linspace(1555.0, 1590.0, 351)
TRUTH = np.array([0.05, 1.0, 1565.0, 1.5, 1.8, 1567.9, 1.6])
PARTS = (
    free("constant", (0.0,)),
    free("arctangent", (0.8, 1564.5, 1.2)),
    free("lorentzian", (1.5, 1568.2, 1.2)),
)


def test_a_step_with_a_line_comes_back_with_the_errors_it_claims():
    rng = np.random.default_rng(11)
    sigma = np.full(len(ENERGY), 0.02)
    clean = model(ENERGY, PARTS, TRUTH)
    fits = [fit(ENERGY, clean + sigma * rng.standard_normal(len(ENERGY)), sigma, PARTS) for _ in range(80)]
    pulls = np.array([(each.parameters - TRUTH) / each.errors for each in fits])
    assert np.all(np.abs(pulls.mean(axis=0)) < 0.45)
    assert np.all((pulls.std(axis=0) > 0.75) & (pulls.std(axis=0) < 1.25))
    assert np.mean([each.rss / each.df for each in fits]) == pytest.approx(1.0, abs=0.05)


def test_errors_from_scatter_do_not_care_how_large_sigma_was_said_to_be():
    rng = np.random.default_rng(12)
    value = model(ENERGY, PARTS, TRUTH) + 0.02 * rng.standard_normal(len(ENERGY))
    small, large = (fit(ENERGY, value, np.full(len(ENERGY), s), PARTS) for s in (0.02, 2.0))
    assert large.errors_from_scatter == pytest.approx(small.errors_from_scatter, rel=1e-4)


def test_a_bound_holds_and_is_told():
    truth = np.array([0.05, 1.8, 1567.9, 1.6])
    line = Part("lorentzian", (1.5, 1567.2, 1.2), (0.0, 1567.0, 0.1), (9.0, 1567.5, 5.0))
    value = model(ENERGY, (PARTS[0], line), truth)
    found = fit(ENERGY, value, np.ones(len(ENERGY)), (PARTS[0], line))
    assert found.parameters[2] == pytest.approx(1567.5, abs=1e-4)
    assert found.parameters[2] <= 1567.5
    assert found.at_bound.tolist() == [False, False, True, False]


def test_missing_points_are_left_out():
    value = model(ENERGY, PARTS, TRUTH)
    value[[3, 130]] = np.nan
    found = fit(ENERGY, value, np.full(len(ENERGY), 0.02), PARTS)
    assert found.parameters == pytest.approx(TRUTH, rel=1e-5)
    assert found.df == len(ENERGY) - 2 - 7


@pytest.mark.parametrize("kind", SHAPES)
def test_every_shape_has_exact_slopes(kind):
    own = {"level": 0.4, "slope": 0.01, "height": 1.3, "rate": 0.002}
    own |= {"centre": 1566.0, "fwhm": 2.0, "lorentzian_share": 0.4}
    parts = (free(kind, tuple(own[name] for name in SHAPES[kind].names)),)
    start = np.array(parts[0].start)
    for place in range(len(start)):
        step = np.zeros(len(start))
        step[place] = 1e-6
        measured = (model(ENERGY, parts, start + step) - model(ENERGY, parts, start - step)) / 2e-6
        assert model_slopes(ENERGY, parts, start)[:, place] == pytest.approx(measured, rel=1e-5, abs=1e-6)


def test_an_unknown_shape_is_refused():
    with pytest.raises(ValueError, match="a part must be one of constant, .* found bump"):
        fit(ENERGY, ENERGY, ENERGY, (free("bump", (1.0,)),))


def test_a_wrong_count_of_numbers_is_refused():
    with pytest.raises(ValueError, match="a gaussian needs 3 numbers, found 2"):
        fit(ENERGY, ENERGY, ENERGY, (free("gaussian", (1.0, 2.0)),))


def test_too_few_points_are_refused():
    with pytest.raises(ValueError, match="7 parameters need more points than that, found 5"):
        fit(ENERGY[:5], ENERGY[:5], ENERGY[:5], PARTS)


def test_shared_widths_are_one_parameter_with_one_error():
    energy = np.linspace(0.0, 20.0, 200)
    value = lines.gaussian(energy, 1.0, 6.0, 2.0) + lines.gaussian(energy, 0.6, 13.0, 2.0)
    value = value + 0.01 * np.random.default_rng(1).standard_normal(energy.size)
    parts = (peaks.free("gaussian", (0.8, 5.5, 1.5)), peaks.free("gaussian", (0.5, 13.4, 2.6)))
    sigma = np.full(energy.size, 0.01)
    apart = peaks.fit(energy, value, sigma, parts)
    shared = peaks.fit(energy, value, sigma, parts, (((0, "fwhm"), (1, "fwhm")),))
    assert shared.parameters[2] == shared.parameters[5] == pytest.approx(2.0, abs=0.03)
    assert shared.df == apart.df + 1 and shared.rss >= apart.rss
    assert shared.errors[2] == shared.errors[5] < min(apart.errors[2], apart.errors[5])


def test_a_share_of_what_is_not_there_is_refused():
    energy = np.linspace(0.0, 20.0, 50)
    parts = (peaks.free("gaussian", (1.0, 5.0, 1.5)),)
    with pytest.raises(ValueError, match="part 1 has no parameter fwhm"):
        peaks.fit(energy, energy, energy + 1.0, parts, (((0, "fwhm"), (1, "fwhm")),))


def test_the_best_of_several_starts_is_taken():
    energy = np.linspace(0.0, 40.0, 300)
    value = lines.gaussian(energy, 1.0, 30.0, 2.0)
    sigma = np.full(energy.size, 0.01)
    lost, near = ((peaks.free("gaussian", (0.3, at, 2.0)),) for at in (6.0, 29.0))
    found = peaks.best_fit(energy, value, sigma, (lost, near))
    assert found.parameters == pytest.approx((1.0, 30.0, 2.0), rel=1e-6)
    assert found.rss <= peaks.fit(energy, value, sigma, near).rss


def test_displaced_starts_find_their_way_back_in_99_of_100_cases():
    rng = np.random.default_rng(4)
    energy = np.linspace(0.0, 30.0, 300)
    sigma = np.full(energy.size, 0.01)
    well = 0
    for _ in range(100):
        centres = np.array([8.0, 14.0, 21.0]) + rng.uniform(-1, 1, 3)
        truth = [(rng.uniform(0.5, 1.5), centre, rng.uniform(1.5, 3.0)) for centre in centres]
        value = sum(lines.gaussian(energy, *one) for one in truth) + 0.01 * rng.standard_normal(energy.size)
        starts = tuple(
            tuple(
                peaks.Part(
                    "gaussian",
                    (0.7 * h, c + rng.uniform(-0.5, 0.5) * w, 1.4 * w),
                    (0.0, 0.0, 0.3),
                    (9.0, 30.0, 9.0),
                )
                for h, c, w in truth
            )
            for _ in range(3)
        )
        found = peaks.best_fit(energy, value, sigma, starts)
        well += bool(found.rss < 1.3 * found.df)
    assert well >= 99
