import numpy as np
import pytest

from edgeshift.numerics.autopsy import PARTS, autopsy, is_quiet

ENERGY = np.concatenate(
    [np.arange(80.0, 95.0, 0.5), np.arange(95.0, 110.0, 0.15), np.arange(110.0, 130.0, 0.4)]
)
NOISE = 0.006
TILT = (ENERGY - 105.0) / 50.0


def curve(energy, width=2.0):
    step = 0.6 + 0.5 + np.arctan((energy - 99.5) / 0.6) / np.pi
    return step + 1.8 * 2.0 / width * np.exp(-2.7726 * ((energy - 100) / width) ** 2)


def apart(second, rng, first=None):
    first = curve(ENERGY) if first is None else first
    sigma = NOISE * np.hypot(first, second)
    noisy = [y * (1 + NOISE * rng.standard_normal(y.size)) for y in (first, second)]
    return autopsy(ENERGY, *noisy, sigma)


def amount(found, code):
    return next(part for part in found.parts if part.code == code)


CHANGED = {
    "gain": (1.08 * curve(ENERGY), 0.08),
    "offset": (curve(ENERGY) + 0.10, 0.10),
    "slope": (curve(ENERGY) + 0.2 * TILT, 0.2),
    "slide": (curve(ENERGY - 0.31), 0.31),
    "blur": (curve(ENERGY, 2.6), (2.6**2 - 2.0**2) / (8 * np.log(2))),
}


@pytest.mark.parametrize("code", PARTS)
def test_each_planted_cause_is_named_with_its_amount(code):
    second, true = CHANGED[code]
    found = apart(second, np.random.default_rng(1))
    assert found.main == code
    part = amount(found, code)
    assert abs(part.value - true) < max(4 * part.sigma, 0.15 * true if code == "blur" else 0.0)


def test_a_new_peak_is_what_is_left():
    second = curve(ENERGY) + 0.3 * np.exp(-(((ENERGY - 107) / 1.0) ** 2))
    assert apart(second, np.random.default_rng(2)).main == "left"


def test_repeats_are_the_same_within_noise_and_their_rest_is_quiet():
    named = [apart(curve(ENERGY), np.random.default_rng(seed)).main for seed in range(20)]
    assert named.count("none") >= 19


def test_slides_have_no_bias_and_honest_errors():
    rng = np.random.default_rng(3)
    errors, pulls = [], []
    for _ in range(40):
        slide = rng.uniform(-0.5, 0.5)
        part = amount(apart(1.05 * curve(ENERGY - slide) + 0.02, rng), "slide")
        errors.append(part.value - slide)
        pulls.append(errors[-1] / part.sigma)
    assert abs(np.mean(errors)) < 0.005 and np.max(np.abs(errors)) < 0.02
    assert 0.5 < np.std(pulls) < 1.6


def test_a_gain_of_a_seventh_is_read_as_one():
    part = amount(apart(0.15 * curve(ENERGY), np.random.default_rng(4)), "gain")
    assert part.value == pytest.approx(-0.85, abs=0.005)


def test_what_the_parts_explain_and_what_is_left_make_up_the_difference():
    rng = np.random.default_rng(5)
    second = 1.1 * curve(ENERGY)
    found = autopsy(
        ENERGY, curve(ENERGY), second + 0.01 * rng.standard_normal(ENERGY.size), np.full(ENERGY.size, 0.01)
    )
    assert found.chi2_nu == pytest.approx(1.0, abs=0.3)
    assert amount(found, "gain").share > 0.95
    assert np.std(found.left) == pytest.approx(0.01, rel=0.25)


def test_missing_points_stay_missing_in_what_is_left():
    second = curve(ENERGY) * 1.05
    second[30] = np.nan
    found = apart(second, np.random.default_rng(6))
    assert np.isnan(found.left[30]) and np.isfinite(np.delete(found.left, 30)).all()


def test_runs_are_not_quiet_even_where_the_rest_is_small():
    assert is_quiet(1.0, 0.0, 200)
    assert not is_quiet(1.0, 0.4, 200)
    assert not is_quiet(1.6, 0.0, 200)


def test_too_few_common_points_are_refused():
    with pytest.raises(ValueError, match="needs 16 common points, found 10"):
        autopsy(np.arange(10.0), np.arange(10.0), np.arange(10.0), np.ones(10))


@pytest.mark.parametrize("scale", [1e-12, 1e-10, 1e-5, 1e-2, 10.0, 1e6])
def test_the_unit_of_the_curves_changes_no_cause(scale):
    rng = np.random.default_rng(7)
    second = 1.08 * curve(ENERGY - 0.12, 2.4) + 0.05 + 0.1 * TILT
    first, second = (y * (1 + NOISE * rng.standard_normal(y.size)) for y in (curve(ENERGY), second))
    sigma = NOISE * np.hypot(first, second)
    one = autopsy(ENERGY, first, second, sigma)
    other = autopsy(ENERGY, scale * first, scale * second, scale * sigma)
    assert other.main == one.main
    assert other.chi2_nu == pytest.approx(one.chi2_nu, rel=1e-6)
    np.testing.assert_allclose(other.left, scale * one.left, rtol=1e-4, atol=1e-6 * scale)
    for mine, theirs in zip(one.parts, other.parts, strict=True):
        unit = scale if mine.code in ("offset", "slope", "left") else 1.0
        assert theirs.value == pytest.approx(unit * mine.value, rel=1e-5)
        assert theirs.sigma == pytest.approx(unit * mine.sigma, rel=1e-5, nan_ok=True)
        assert theirs.share == pytest.approx(mine.share, abs=1e-6)


def test_shares_add_up_to_one_and_none_is_below_zero():
    """Gain and offset that pull against each other: taken one at a time each would only make it worse."""
    rng = np.random.default_rng(12)
    energy = np.linspace(1550, 1612, 249)
    first = 0.5 + 0.5 / (1 + np.exp(-(energy - 1567))) + 0.4 * np.exp(-(((energy - 1568) / 1.5) ** 2))
    second = 0.6 * first + 0.25 + 0.002 * rng.standard_normal(249)
    found = autopsy(energy, first + 0.002 * rng.standard_normal(249), second, np.full(249, 0.003))
    shares = [part.share for part in found.parts]
    assert min(shares) >= 0
    assert sum(shares) == pytest.approx(1)
    assert found.main == "gain"


def test_the_slide_of_a_strong_peak_is_as_precise_as_the_arithmetic_allows():
    """Height 2.4, FWHM 1.3 eV, steps of 0.12 eV, 1 % noise on both: 1/sqrt(sum (y'/sigma)^2) is 0.0016 eV."""
    energy = np.arange(700, 720, 0.12)
    peak = 2.4 * np.exp(-4 * np.log(2) * ((energy - 709.5) / 1.3) ** 2)
    moved = np.interp(energy - 0.02, energy, peak)
    rng = np.random.default_rng(1)
    told = []
    for _ in range(60):
        first, second = (curve + 0.01 * rng.standard_normal(energy.size) for curve in (peak, moved))
        slide = amount(autopsy(energy, first, second, np.full(energy.size, 0.01 * np.sqrt(2))), "slide")
        told.append((slide.value, slide.sigma))
    values, sigmas = np.array(told).T
    assert values.mean() == pytest.approx(0.02, abs=0.001)
    assert values.std(ddof=1) == pytest.approx(0.0016, rel=0.25)
    assert sigmas.mean() == pytest.approx(0.0016, rel=0.1)
