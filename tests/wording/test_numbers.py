"""Numbers with the digits they earn."""

import math

import pytest

from edgeshift.wording.numbers import count, earned, plain, with_give_or_take


@pytest.mark.parametrize(
    ("value", "give_or_take", "text"),
    [
        (0.6312, 0.104, "0.63"),
        (1566.2346, 0.021, "1566.235"),
        (12345.0, 230.0, "12345"),
        (0.0, 0.5, "0.00"),
        (7120.73, None, "7120.7"),
        (0.51283, None, "0.513"),
        (7.866e-11, 1.3e-12, "7.87e-11"),
        (1.3e-12, 1.3e-12, "1.3e-12"),
        (0.0, 1.3e-12, "0e+00"),
        (5.8333333333e-07, 8.0e-23, "5.83333e-07"),
        (math.nan, 0.1, "unknown"),
        (0.25, 0.0, "0.25"),
    ],
)
def test_a_number_has_the_digits_its_give_or_take_earns(value, give_or_take, text):
    assert earned(value, give_or_take) == text


def test_an_energy_without_give_or_take_has_one_decimal():
    assert with_give_or_take(707.83, None, "eV") == "707.8 eV"


def test_both_numbers_stop_at_the_same_place():
    assert with_give_or_take(0.6312, 0.104, "edge steps") == "0.63, give or take 0.10 edge steps"


def test_small_counts_are_words():
    assert [count(n) for n in (0, 3, 10, 11)] == ["no", "three", "ten", "11"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1_555_000.0, "1555000"),
        (1596.654321, "1596.65"),
        (0.0, "0"),
        (-0.012, "-0.012"),
        (2.5e-9, "2.5e-09"),
        (math.nan, "nan"),
        (math.inf, "inf"),
    ],
)
def test_plain_numbers_have_no_power_of_ten(value, text):
    assert plain(value) == text


def test_a_number_that_rounds_to_nothing_has_no_sign():
    assert earned(-0.001, 0.41) == "0.00"
    assert earned(-0.01, 0.041) == "-0.010"


def test_a_large_number_without_a_give_or_take_has_three_figures_and_an_energy_its_tenth():
    assert with_give_or_take(1675.5, None, "atoms an atom") == "1680 atoms an atom"
    assert with_give_or_take(1566.24, None, "eV") == "1566.2 eV"
