"""Worked values of planning: arithmetic on given scatter and minutes."""

import numpy as np
import pytest

from edgeshift.numerics import exposure
from edgeshift.numerics.scatter_shares import Counts, best_spots, carried

SCATTER = np.array([0.05, 0.04, 0.015]) ** 2
"""Variances of units, spots and scans in the worked values."""


@pytest.mark.parametrize(
    ("units", "spots", "scans", "standard_error"),
    [(1, 3, 4, 0.078), (3, 1, 1, 0.054), (3, 2, 2, 0.047), (5, 1, 1, 0.042)],
)
def test_the_standard_error_of_a_nested_design(units, spots, scans, standard_error):
    """sqrt(2 [su^2/U + ss^2/(US) + sr^2/(USR)]), two arms alike."""
    each = Counts(
        np.full(2 * units * spots, float(scans)),
        np.repeat(np.arange(2 * units), spots),
        np.full(2 * units, 1 / units**2),
    )
    assert np.sqrt(carried(each) @ SCATTER) == pytest.approx(standard_error, abs=0.0006)


def test_the_best_number_of_spots_for_a_pot_of_twelve_minutes():
    """A pot costs 12 min, a spot 6, spots scatter 0.8 times as much: sqrt(2 x 0.64) = 1.13, so one spot."""
    assert best_spots(12, 6, 1.0, 0.64) == pytest.approx(1.13, abs=0.005)


def test_without_scatter_of_units_spots_have_no_end():
    assert best_spots(12, 6, 0.0, 1.0) == np.inf


def test_the_dose_rate_of_an_arithmetic_beam():
    """1e11 photons/s of 710 eV on 1 mm2 of 850 m2/kg: 9.67 kGy/s."""
    assert exposure.dose_gy_per_s(1e11, 710, 850, 1.0) == pytest.approx(9.67e3, abs=5)


@pytest.mark.parametrize(
    ("absorption_nm", "factors"), [(17.0, (0.7727, 0.7062, 0.6296)), (52.5, (0.9130, 0.8813, 0.8400))]
)
def test_the_yield_of_iron_oxides_flattens(absorption_nm, factors):
    """d 5.0 nm, lambda 17 nm (L3), 52.5 nm (L2): Gota and others 2000, Phys. Rev. B 62, 4187, abstract."""
    found = [exposure.yield_factor(5.0, absorption_nm, angle) for angle in (90, 45, 30)]
    assert found == pytest.approx(factors, abs=1e-4)


def test_electron_yield_of_an_arithmetic_film():
    """d 5 nm, lambda 30 nm: 0.86 upright, 0.75 at 30 degrees."""
    assert exposure.yield_factor(5, 30, 90) == pytest.approx(0.857, abs=0.001)
    assert exposure.yield_factor(5, 30, 30) == pytest.approx(0.750, abs=0.001)


def test_a_lying_layer_reads_as_a_powder_at_the_magic_angle():
    """3 cos^2 of the angle between field and normal is 1 at 54.7 degrees: arithmetic."""
    assert pytest.approx(54.74, abs=0.01) == exposure.MAGIC_DEG
    assert exposure.along_the_normal(exposure.MAGIC_DEG) == pytest.approx(1.0)


def test_electron_yield_of_iron_oxide_reads_less_of_its_strongest_line():
    """The factors of the L3 line of hematite upright (0.7727) and of what lies below it, in a ratio: with
    nothing below, 1 + d / lambda at one step over the same at two gives 2 (1 + x) / (1 + 2 x)."""
    x = 5.0 / 17.0
    found = exposure.yield_reads(2.0, 0.0, 1e7 / 17.0, 5e-7, 90.0)
    assert found == pytest.approx(2 * (1 + x) / (1 + 2 * x))


@pytest.mark.parametrize(
    ("alpha", "reads"),
    [
        (0.9646, 1.3254),
        (3.4034, 1.6299),
        (2.7591, 1.5798),
        (1.3712, 1.4067),
        (196.10, 1.9899),
        (1.0679, 1.3481),
    ],
)
def test_what_thick_specimens_show_of_a_line_two_steps_high(alpha, reads):
    """Alphas computed from Elam's tables for oxides, kaolinite and calcite; the formula is arithmetic."""
    assert exposure.thick_reads(2.0, alpha) == pytest.approx(reads, abs=2e-4)


def test_coarse_grains_are_one_lucky_grain():
    """A mineral of 2 %, 1 mm2 of beam: 100 um grains scatter by 70 %, 20 um ones by 14 %."""
    assert exposure.grain_share_sd(0.02, 0.1, 1.0) == pytest.approx(0.70, abs=0.005)
    assert exposure.grain_share_sd(0.02, 0.02, 1.0) == pytest.approx(0.14, abs=0.001)
    assert exposure.grain_mm_for(0.14, 0.02, 1.0) == pytest.approx(0.02, abs=0.0001)
