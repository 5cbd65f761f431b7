"""What shall our minutes buy? Three to five cards that rank nothing, two of them always there."""

import pytest

from edgeshift.questions.minutes import Asked, Open, answer
from edgeshift.questions.minutes.costs import Costs
from edgeshift.questions.minutes.offers import EdgeNow

COSTS = Costs({"Al K": 4.0, "Fe L": 5.0}, 1.0, 2.0, "Fe L")


def weighed(act, low, high, told=True, shares=None):
    middle = (low * high) ** 0.5
    return {"act": act, "low": low, "high": high, "middle": middle if told else None,
            "reason": "" if told else "wide", "shares": shares}  # fmt: skip


def edge(name="Al K", fresh=1, lit=False, role="family", told=True, units=3):
    dots = [{"spots": [{"keys": ["scan-001", "scan-002"]}]} for _ in range(2 * units)]
    detail = {
        "dots": dots, "paired": True, "role": role, "units": {"raw": units, "fired": units},
        "rungs": {"units": "lit" if lit else "not-shown"},
        "one_more": [weighed("scan", 0.93, 0.97, told), weighed("spot", 0.8, 0.86, told, (0.6, 0.3, 0.1)),
                     weighed("unit", 0.866, 0.866)],
        "half_round": weighed("half-spot", 0.9, 0.95, told),
    }  # fmt: skip
    return EdgeNow(name, detail, fresh, 1, 2)


def ask(left=300.0, edges=(), **changes):
    return answer(Asked(left, edges or (edge(),), COSTS, "Al K", 25.0)._replace(**changes))


def titles(found):
    return {card["title"] for card in found.detail["cards"]}


def test_the_first_specimen_and_writing_are_always_among_three_to_five_cards():
    for left in (300.0, 60.0, 20.0):
        found = ask(left)
        assert {"Repeat the first specimen", "Stop and write"} <= titles(found)
        assert found.verdict == "cards" and 2 <= len(found.detail["cards"]) <= 5
    assert len(ask(300.0).detail["cards"]) == 5


def test_a_card_says_its_cost_from_moves_scans_and_the_change_of_edge():
    card = {card["code"]: card for card in ask().detail["cards"]}
    assert card["spot/Al K"]["minutes"] == pytest.approx(2 + 6 * (1 + 2 * 4))
    assert card["unit/Al K"]["minutes"] == pytest.approx(2 + 2 * (1 + 2 * 4))
    assert card["first-again"]["minutes"] == pytest.approx(2 + 1 + 4)


def test_the_ratio_is_of_variances():
    card = {card["code"]: card for card in ask().detail["cards"]}
    assert card["unit/Al K"]["predicted_ratio"] == pytest.approx(0.75, abs=1e-3)
    assert card["write"]["predicted_ratio"] is None


def test_what_the_data_cannot_tell_has_no_number_and_says_so():
    found = ask(edges=(edge(told=False),))
    card = next(card for card in found.detail["cards"] if card["code"] == "spot/Al K")
    assert card["predicted_ratio"] is None and card["settles"] == "Cannot tell: perhaps 14 to 20 % narrower."
    assert sum(fact.code == "cannot-tell" for fact in found.because) == 2


def test_after_a_trip_only_what_fits_beside_the_closing_check_is_offered():
    found = ask(60.0)
    room = 60.0 - 25.0 - 7.0
    others = [c for c in found.detail["cards"] if c["code"] not in ("first-again", "write")]
    assert others and all(card["minutes"] <= room for card in others)
    assert any(fact.code == "too-long" for fact in found.because)


def test_where_a_whole_round_does_not_fit_half_a_round_is_offered():
    found = ask(75.0, (edge(fresh=0),))
    card = next(card for card in found.detail["cards"] if card["code"] == "half-spot/Al K")
    assert card["minutes"] == pytest.approx(2 + 4 * (1 + 2 * 4))


def test_a_unit_is_only_offered_where_one_is_mounted():
    assert "unit/Al K" not in {card["code"] for card in ask(edges=(edge(fresh=0),)).detail["cards"]}


def test_an_edge_that_still_waits_comes_before_one_that_is_answered():
    found = ask(edges=(edge("Fe L", lit=True), edge("Al K")))
    edges = [card["edge"] for card in found.detail["cards"] if card["predicted_ratio"]]
    assert edges == ["Al K"] * 3


def test_doubts_about_the_day_come_first():
    found = ask(confounded=(("Al K", 6),), old_tie=("Fe L", 150.0))
    assert {"Both arms again in turn at Al K", "Scan a standard"} <= titles(found)
    assert len(found.detail["cards"]) == 5


def test_the_order_is_a_lot_that_another_decision_draws_anew():
    def order(round):
        return [card["code"] for card in ask(round=round).detail["cards"]]

    assert order(0) == order(0)
    assert len({tuple(order(round)) for round in range(6)}) > 1


def test_the_best_number_of_spots_is_told_where_the_data_tell_it():
    fact = next(fact for fact in ask().because if fact.code == "best-spots")
    unit, spot = 1 + (1 + 2 * 4), 1 + 2 * 4
    assert fact.value == pytest.approx((unit / spot * 0.3 / 0.6) ** 0.5)
    dark = edge()
    for each in dark.detail["one_more"]:
        each["shares"] = None
    assert not any(fact.code == "best-spots" for fact in ask(edges=(dark,)).because)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"left": None}, "Cannot tell: nobody said how many minutes are left."),
        ({"first": None}, "Nothing measured yet, so there is nothing to choose between."),
    ],
)
def test_without_an_end_or_a_scan_there_are_no_cards(changes, sentence):
    found = ask(**changes)
    assert (found.verdict, found.sentence) == ("cannot-tell", sentence)
    assert found.detail["cards"] == [] and found.would_change_it


def test_a_group_without_a_comparison_still_has_two_cards():
    found = answer(Asked(100.0, (), COSTS, "Al K", 25.0))
    assert len(found.detail["cards"]) == 2


@pytest.mark.parametrize(
    ("code", "there", "gone"),
    [
        ("spot/Al K", {}, {"edges": (edge("Fe L"),)}),
        ("unit/Al K", {}, {"edges": (edge(fresh=0),)}),
        (
            "half-spot/Al K",
            {"left": 75.0, "edges": (edge(fresh=0),)},
            {"left": 300.0, "edges": (edge(fresh=0),)},
        ),
        ("in-turn/Al K", {"confounded": (("Al K", 6),)}, {"confounded": ()}),
        ("tie/Fe L", {"old_tie": ("Fe L", 150.0)}, {"old_tie": None}),
    ],
)
def test_a_card_names_the_number_that_put_it_there_and_goes_when_that_goes(code, there, gone):
    cards = {card["code"]: card for card in ask(**there).detail["cards"]}
    assert code in cards, sorted(cards)
    assert any(letter.isdigit() for letter in cards[code]["settles"]) and cards[code]["minutes"] > 0
    assert code not in {card["code"] for card in ask(**gone).detail["cards"]}


@pytest.mark.parametrize(
    ("why", "title", "settles"),
    [
        ("blank-unmeasured", "Scan a bare mount at Fe L", "in its mount"),
        ("partner-unscanned", "Scan on past both lines of Fe L", "Whether iron is there"),
        ("incomplete", "One longer, finer scan at Fe L", "Whether iron is there"),
        ("fits", "One longer, finer scan at Fe L", "only imitated"),
    ],
)
def test_an_element_that_may_or_may_not_be_there_is_a_card(why, title, settles):
    found = ask(open=(Open("Fe", "Fe L", why),))
    card = next(card for card in found.detail["cards"] if card["code"] == "open/Fe")
    assert card["title"] == title and settles in card["settles"] and "units" in card["cannot_fix"]
    assert card["minutes"] == pytest.approx(1 + 5) and card["predicted_ratio"] is None


def test_one_open_element_is_enough_on_the_table():
    found = ask(open=(Open("Fe", "Fe L", "incomplete"), Open("Al", "Al K", "incomplete")))
    assert sum(card["code"].startswith("open/") for card in found.detail["cards"]) == 1


def test_where_nothing_can_be_compared_there_is_still_a_choice():
    found = answer(
        Asked(120.0, (), COSTS._replace(scan={**COSTS.scan, "K L": 3.0}), "Al K", 25.0, unscanned=("K L",),
              specimens=4)
    )  # fmt: skip
    codes = {card["code"] for card in found.detail["cards"]}
    assert "first-round/K L" in codes and 3 <= len(codes) <= 5
    assert codes & {"again/Al K", "again/Fe L"} and "again/K L" not in codes


def test_an_edge_nobody_looked_at_gives_way_to_what_can_be_weighed():
    assert not any("first-round" in c["code"] for c in ask(unscanned=("K L",), specimens=6).detail["cards"])


def test_a_doubt_about_the_day_leaves_room_for_the_closing_check_and_writing():
    found = ask(left=40.0, old_tie=("Al K", 200.0), open=(Open("Fe", "Fe L", "incomplete"),))
    codes = [card["code"] for card in found.detail["cards"]]
    assert {"tie/Al K", "open/Fe", "first-again", "write"} == set(codes)
    assert sum(c["minutes"] for c in found.detail["cards"] if c["code"] in ("write", "first-again")) <= 40.0


def test_with_less_than_the_closing_check_takes_only_writing_is_offered_and_that_is_said():
    found = ask(left=5.0)
    assert [card["code"] for card in found.detail["cards"]] == ["write"]
    assert found.sentence == "5 minutes are ours: only writing fits."
    assert any(fact.code == "no-closing-check" and fact.value > 5.0 for fact in found.because)
