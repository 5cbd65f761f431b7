"""The words of the cards."""

import pytest

from edgeshift.wording import minutes as words


def weighed(act="spot", low=0.8, high=0.9, middle=0.85, reason=""):
    return {"act": act, "low": low, "high": high, "middle": middle, "reason": reason}


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (weighed(), "The give-or-take narrows by 15 %, between 10 and 20."),
        (weighed("unit", 0.866, 0.866, 0.866), "The give-or-take narrows by at least 13 %."),
        (weighed(middle=None, reason="wide"), "Cannot tell: perhaps 10 to 20 % narrower."),
        (weighed(middle=None, reason="one-spot"), "Cannot tell by how much: one spot per unit everywhere."),
        (weighed(low=None, high=None, middle=None, reason="uneven"),
         "Cannot tell by how much: some unit's specimens have unequal numbers of spots."),
    ],
)  # fmt: skip
def test_what_a_card_settles_is_a_number_or_why_there_is_none(told, said):
    assert words.narrowing_settles(told, False) == said


def test_one_pair_is_called_a_pair():
    told = weighed(low=None, high=None, middle=None, reason="one-unit")
    assert words.narrowing_settles(told, True).endswith("one pair shows no scatter.")


def test_every_act_has_a_title_and_what_it_cannot_fix():
    for act in words.NARROWING_CANNOT:
        assert words.narrowing_title(act, True, "Al K").endswith(" at Al K")
