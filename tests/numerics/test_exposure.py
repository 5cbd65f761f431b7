"""Dose, yield and grains go the way they must."""

import pytest

from edgeshift.numerics import exposure


def test_ten_times_the_section_is_a_tenth_of_the_dose():
    once = exposure.dose_gy_per_s(1e11, 710, 850, 1.0)
    assert exposure.dose_gy_per_s(1e11, 710, 850, 10.0) == pytest.approx(once / 10)


def test_a_thin_yield_and_a_dilute_thick_specimen_lose_nothing():
    assert exposure.yield_factor(5, 1e9, 90) == pytest.approx(1.0)
    assert exposure.thick_reads(2.0, 1e9) == pytest.approx(2.0)


def test_finer_grains_scatter_less():
    assert exposure.grain_share_sd(0.02, 0.02, 1.0) < exposure.grain_share_sd(0.02, 0.1, 1.0)
