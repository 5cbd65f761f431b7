"""Heights that bend smoothly, and the slide beside them."""

import numpy as np
import pytest

from edgeshift.numerics.autopsy import PARTS, autopsy
from edgeshift.numerics.bends import bent

ENERGY = np.r_[np.arange(2450.0, 2465.0, 1.0), np.arange(2465.0, 2500.0, 0.2), np.arange(2500.0, 2540.0, 1.0)]
NOISE = 0.002


def curve(energy=ENERGY, line=2.0):
    step = 0.5 + np.arctan((energy - 2472.0) / 0.6) / np.pi
    shoulder = 0.8 * np.exp(-(((energy - 2477.0) / 1.5) ** 2))
    return 0.05 + step + line * np.exp(-(((energy - 2473.0) / 1.0) ** 2)) + shoulder


def noisy(value, seed):
    return value + NOISE * np.random.default_rng(seed).standard_normal(value.size)


def looked(first, second):
    sigma = np.full(ENERGY.size, NOISE * 2**0.5)
    return bent(ENERGY, first, second, sigma), autopsy(ENERGY, first, second, sigma)


def test_pressed_tops_on_a_bent_background_leave_no_slide():
    """On a step the tops lean to one side, and plain parts take that for a slide."""
    pressed = 3.0 * curve() / (1.0 + 0.25 * curve()) + 0.1 * ((ENERGY - 2450.0) / 90.0) ** 2
    found, plain = looked(noisy(curve(), 1), noisy(pressed, 2))
    assert abs(found.slide_ev) < 0.03 and found.left < 0.01
    assert found.over_noise**2 < 0.3 * plain.chi2_nu


@pytest.mark.parametrize("slide", [0.35, -0.1])
def test_a_true_slide_outlives_the_bends(slide):
    errors = []
    for seed in range(10):
        found, plain = looked(noisy(curve(), 2 * seed), noisy(1.1 * curve(ENERGY - slide), 2 * seed + 1))
        assert found.over_noise == pytest.approx(1.0, abs=0.2)
        assert abs(found.slide_ev) > 0.9 * abs(plain.parts[PARTS.index("slide")].value)
        errors.append((found.slide_ev - slide) / found.sigma_ev)
    assert abs(np.mean(errors)) < 1.0 and np.std(errors) < 2.0


def test_a_new_line_is_left_over():
    found, _ = looked(noisy(curve(), 1), noisy(curve() + 0.4 * np.exp(-((ENERGY - 2486.0) ** 2)), 2))
    assert found.over_noise > 10
