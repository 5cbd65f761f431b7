"""What is said of one scan, spot or unit more."""

from __future__ import annotations

import pytest

from edgeshift.wording import one_more as words


def weighed(act: str, middle: float | None = None, low=0.9, high=0.99, reason: str = "") -> dict:
    return {"act": act, "middle": middle, "low": low, "high": high, "reason": reason}


SCAN, SPOT = weighed("scan", 0.96, 0.91, 0.99), weighed("spot", 0.8, 0.75, 0.85)
UNIT = weighed("unit", 0.866, 0.866, 0.866)
DARK = weighed("spot", None, 0.71, 1.0, "one-spot")


def said(each: dict, paired: bool = False, judged_by: str = "feature") -> str:
    return words.fact(each, {"paired": paired, "judged_by": judged_by})


def test_a_number_is_told_with_its_range():
    assert said(SCAN) == (
        "one more scan on every spot would narrow the give-or-take by 4 %, between 1 and 9 %"
    )


def test_a_range_of_one_number_is_not_told_twice():
    assert "between" not in said(weighed("scan", 0.9, 0.899, 0.901))


def test_a_unit_also_makes_the_scatter_better_known_so_the_least_is_told():
    assert said(UNIT) == "one more unit in each arm would narrow the give-or-take by at least 13 %"
    assert said(UNIT, paired=True) == "one more pair would narrow the give-or-take by at least 13 %"
    assert said(weighed("unit", 0.85, 0.8, 0.9)).endswith("by at least 10 %")


def test_whole_curves_have_a_band():
    assert "narrow the band by 4 %" in said(SCAN, judged_by="curve")


def test_hardly_anything_is_called_so():
    assert "by less than 1 %" in said(weighed("scan", 0.997, 0.996, 0.998))


def test_what_cannot_be_told_apart_has_its_reason_and_no_number():
    assert said(DARK) == "cannot tell what one more spot on every unit would do: one spot per unit everywhere"


@pytest.mark.parametrize("reason", ["few-units", "wide"])
def test_a_range_without_a_number_is_shown_as_a_range(reason):
    told = said(weighed("scan", None, 0.9, 0.97, reason))
    assert told.startswith(
        "cannot tell what one more scan on every spot would do, perhaps 3 to 10 % narrower: too few "
    )


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [
        (0.997, 0.999, "perhaps less than 1 % narrower"),
        (0.95, 0.999, "perhaps at most 5 % narrower"),
        (0.949, 0.951, "perhaps 5 % narrower"),
    ],
)
def test_a_range_never_begins_at_nothing(low, high, told):
    assert told in said(weighed("scan", None, low, high, "few-units"))


def test_a_number_whose_range_begins_at_nothing_is_told_with_the_most():
    assert said(weighed("scan", 0.97, 0.94, 0.999)).endswith("by 3 %, at most 6 %")


def test_a_single_pair_is_not_called_a_unit():
    alone = weighed("scan", None, None, None, "one-unit")
    assert said(alone, paired=True).endswith("one pair shows no scatter")
    assert said(alone).endswith("one unit in an arm shows no scatter")


@pytest.mark.parametrize("reason", words.REASONS)
@pytest.mark.parametrize("act", ["scan", "spot", "unit"])
def test_every_reason_is_short(act, reason):
    told = said(weighed(act, None, 0.8, 0.9, reason))
    assert told.startswith("cannot tell")
    assert len(told.split()) <= 20


def acts(*weighed_acts: dict, paired: bool = False) -> tuple[str, ...]:
    return words.acts({"one_more": weighed_acts, "paired": paired, "judged_by": "feature"})


def test_where_a_unit_narrows_most_only_the_unit_is_named():
    assert acts(SCAN, weighed("spot", 0.95), UNIT) == (
        "One more unit in each arm would narrow the give-or-take most, by at least 13 %.",
    )


def test_where_a_spot_narrows_more_the_unit_stands_beside_it_with_what_it_does_at_least():
    assert acts(SCAN, SPOT, UNIT, paired=True) == (
        "One more spot on every unit would narrow the give-or-take by 20 %.",
        "One more pair would narrow the give-or-take by at least 13 %.",
    )


def test_nothing_is_called_most_beside_what_cannot_be_told():
    assert acts(SCAN, DARK, UNIT) == (
        "One more unit in each arm would narrow the give-or-take by at least 13 %.",
        "Whether one more spot on every unit would narrow it more, we cannot tell.",
    )


def test_two_that_cannot_be_told_are_named_together():
    assert acts(weighed("scan", reason="wide"), DARK, UNIT)[1] == (
        "Whether one more scan or one more spot would narrow it more, we cannot tell."
    )


def test_where_nothing_can_be_told_nothing_is_promised():
    assert acts(*(weighed(a, reason="wide") for a in ("scan", "spot", "unit"))) == (
        "More units in each arm; what they or more scans would do, we cannot tell.",
    )
