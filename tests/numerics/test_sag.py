"""A yield that sags beside a fluorescence that does not."""

import numpy as np
import pytest

from edgeshift.numerics.sag import Both, sag_of

AT = np.linspace(1550.0, 1612.0, 220)
ALONG = np.linspace(0.004, 1.0, AT.size)
ELEMENT = (
    0.5 + np.arctan((AT - 1567) / 0.7) / np.pi + 1.3 * np.exp(-(((AT - 1568) / 1.4) ** 2))
    + 0.4 * np.exp(-(((AT - 1588) / 6.0) ** 2))
)  # fmt: skip
I0 = 1.0 + 0.1 * np.exp(-(((AT - 1575) / 3.0) ** 2))


def both(loss=0.0, time=0.25, seed=0, noise=0.005):
    rng = np.random.default_rng(seed)
    background = (AT / 1567.0) ** -2.7
    lost = 1.0 - loss * (1.0 - np.exp(-ALONG / time))
    electrons = (background + 0.4 * ELEMENT) * lost * (1 + noise * rng.standard_normal(AT.size))
    light = (0.15 + ELEMENT) * (1 + 0.006 * rng.standard_normal(AT.size))
    return Both(AT, ALONG, electrons, light, I0)


@pytest.mark.parametrize(("loss", "time"), [(0.25, 0.24), (0.35, 0.1)])
def test_a_planted_loss_is_found_with_its_size(loss, time):
    found = sag_of(both(loss, time, seed=1))
    assert found.share == pytest.approx(loss * (1 - np.exp(-1 / time)), abs=0.06)
    assert found.share > 6 * found.sigma and found.lowers > 0.15


def test_a_slow_loss_looks_smaller_than_it_is_because_a_background_may_be_like_it():
    found = sag_of(both(0.15, 0.4, seed=1))
    assert 3 * found.sigma < found.share < 0.15 * (1 - np.exp(-1 / 0.4))


def test_a_yield_that_keeps_its_level_shows_no_loss_in_forty_scans():
    scores = [found.share / found.sigma for found in (sag_of(both(seed=n)) for n in range(40))]
    assert max(scores) < 4.5


def test_a_thick_specimen_s_fluorescence_is_not_taken_for_a_loss():
    plain = both(seed=3)
    pressed = plain._replace(fluorescence=plain.fluorescence * 2.0 / (1.0 + plain.fluorescence))
    found = sag_of(pressed)
    assert found.share < 6 * found.sigma or found.lowers < 0.15


def test_marks_of_the_beam_are_not_taken_for_a_loss():
    plain = both(seed=4)
    marked = plain._replace(electrons=plain.electrons - 0.3 * (I0 - 1.0))
    assert abs(sag_of(marked).share) < 0.05


def test_few_points_or_a_dead_detector_say_nothing():
    plain = both(seed=5)
    assert sag_of(Both(*(column[:30] for column in plain))) is None
    assert sag_of(plain._replace(fluorescence=np.ones(AT.size))) is None
