"""The cards of a practice shift: made from its own answers, for the minutes that are left."""

import pytest
from practised import begun, files, made

from edgeshift.actions.ask import answer
from edgeshift.actions.session import Session


def ask(folder, **how):
    (found,) = answer(Session(folder), "minutes", **how)
    return found


def codes(found):
    return {card["code"] for card in found.detail["cards"]}


@pytest.fixture(scope="module")
def two_pairs(tmp_path_factory):
    """Al K with the third pair mounted and not yet measured there."""
    raw = [(name, data) for name, data in files("AlK") if b"RAW-C" not in data and b"PIT750-C" not in data]
    with begun(tmp_path_factory.mktemp("shift") / "two", raw) as folder:
        yield folder


def test_a_pair_that_is_mounted_and_unmeasured_is_offered(two_pairs):
    found = ask(two_pairs, left=300.0)
    assert "unit/Al K" in codes(found)
    pair = next(card for card in found.detail["cards"] if card["code"] == "unit/Al K")
    assert pair["predicted_ratio"] == pytest.approx(2 / 3)


def test_where_all_is_measured_no_pair_is_offered(tmp_path):
    with begun(tmp_path / "all", files("AlK")) as folder:
        assert "unit/Al K" not in codes(ask(folder, left=300.0))


def test_the_minutes_left_are_those_to_the_typed_end(tmp_path):
    text = made().experiment_text + "day: {ends: '2026-03-01T12:00:00Z', write_min: 20}\n"
    with begun(tmp_path / "day", files("AlK")[:4], text) as folder:
        found = ask(folder)
        assert 200 < found.detail["minutes_left"] < 240
        assert next(c for c in found.detail["cards"] if c["code"] == "write")["minutes"] == 20.0
        earlier = ask(folder, until="2026-03-01T08:03:00Z")
        assert earlier.detail["minutes_left"] > found.detail["minutes_left"]


def test_nothing_measured_yet_gives_no_cards(tmp_path):
    with begun(tmp_path / "none", []) as folder:
        assert ask(folder, left=300.0).verdict == "cannot-tell"
