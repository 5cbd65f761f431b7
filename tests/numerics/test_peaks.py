"""Sums of parts come back from noise with the errors they claim, inside their bounds."""

from __future__ import annotations

import numpy as np
import pytest

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
