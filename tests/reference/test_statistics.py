"""Two groups, exact labels and limits, against published data and tables."""

from __future__ import annotations

import math

import numpy as np
import pytest

from edgeshift.numerics.components import f_quantile, ratio_limit
from edgeshift.numerics.permutations import exact_p, exact_paired_p, smallest_reachable_p
from edgeshift.numerics.two_groups import paired_t, pooled_t, sidak_limit, t_quantile, welch_t

# Student 1908, Biometrika 6, 1 (data of Cushny and Peebles): extra hours of sleep, ten sleepers, two drugs
FIRST_DRUG = np.array([0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0])
SECOND_DRUG = np.array([1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4])


def test_students_sleep_data_pooled():
    found = pooled_t(FIRST_DRUG, SECOND_DRUG)
    assert found.t == pytest.approx(-1.8608, abs=5e-5)
    assert found.p == pytest.approx(0.07919, abs=5e-6)
    assert found.df == 18


def test_students_sleep_data_with_two_variances():
    found = welch_t(FIRST_DRUG, SECOND_DRUG)
    assert found.df == pytest.approx(17.776, abs=5e-4)
    assert found.p == pytest.approx(0.07939, abs=5e-6)


def test_pairing_changes_what_students_sleep_data_say():
    found = paired_t(FIRST_DRUG, SECOND_DRUG)
    assert found.difference == pytest.approx(-1.58)
    assert found.t == pytest.approx(-4.0621, abs=5e-5)
    assert found.p == pytest.approx(0.002833, abs=5e-7)


def test_students_sleep_data_by_every_label():
    # 184756 splits and 1024 choices of sign, counted out with scipy 1.17.1
    assert exact_p(FIRST_DRUG, SECOND_DRUG) == pytest.approx(0.081448, abs=5e-7)
    assert exact_paired_p(FIRST_DRUG - SECOND_DRUG) == 0.00390625


@pytest.mark.parametrize(("units", "smallest"), [(3, 0.1), (4, 0.02857), (5, 0.007937)])
def test_few_units_cannot_reach_a_small_exact_p(units, smallest):
    # combinatorics: 2 / C(2n, n)
    assert smallest_reachable_p(units, units, False) == pytest.approx(smallest, abs=5e-6)


def test_t_quantiles_agree_with_the_tables():
    printed = {1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 10: 2.228, 20: 2.086, 30: 2.042}
    assert {df: round(t_quantile(0.975, df), 3) for df in printed} == printed
    assert round(t_quantile(0.995, 4), 3) == 4.604
    assert round(t_quantile(0.995, 10), 3) == 3.169


def test_f_quantiles_agree_with_the_tables():
    printed = {(1, 60): 4.0012, (2, 10): 4.1028, (3, 20): 3.0984, (3, 242): 2.6419}
    assert {pair: round(f_quantile(0.95, *pair), 4) for pair in printed} == printed


def test_hamiltons_ratio_agrees_with_his_table():
    # Hamilton 1965, Acta Cryst. 18, 502
    printed = {(1, 1): 12.7455, (1, 2): 3.2026, (1, 3): 2.0919}
    printed |= {(1, 60): 1.0328, (1, 120): 1.0162, (3, 60): 1.0667}
    assert {pair: round(ratio_limit(0.05, *pair), 4) for pair in printed} == printed
    assert round(ratio_limit(0.01, 1, 60), 4) == 1.0573


def test_sidak_limits_for_known_noise():
    # Sidak 1967: 1 - (1 - alpha)^(1/n) for each of n independent points
    printed = {50: 3.2835, 100: 3.4740, 200: 3.6557, 400: 3.8298}
    assert {count: round(sidak_limit(0.05, count, math.inf), 4) for count in printed} == printed


def test_sidak_limits_for_few_degrees_of_freedom():
    assert round(sidak_limit(0.05, 100, 4), 2) == 10.24
    assert round(sidak_limit(0.05, 100, 10), 2) == 5.03


def test_the_sidak_limit_holds_for_two_hundred_independent_points():
    # 3.653 +- 0.02 by simulation, 3.6557 in closed form
    noise = np.random.default_rng(12345).standard_normal((20000, 200))
    farthest = np.abs(noise).max(axis=1)
    assert np.quantile(farthest, 0.95) == pytest.approx(sidak_limit(0.05, 200, math.inf), abs=0.02)
