"""The cards of a practice shift: made from its own answers, for the minutes that are left."""

import pytest
from practised import begun, files, made

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
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
    text = made().experiment_text + "day: {ends: '2026-03-14T16:00:00Z', write_min: 20}\n"
    live = steady_desk("2026-03-14T12:00:00.000Z")
    with begun(tmp_path / "day", files("AlK")[:4], text, live) as folder:
        found = ask(folder)
        assert 200 < found.detail["minutes_left"] < 240
        assert next(c for c in found.detail["cards"] if c["code"] == "write")["minutes"] == 20.0
        earlier = ask(folder, until="2026-03-14T12:03:00Z")
        assert earlier.detail["minutes_left"] > found.detail["minutes_left"]


def test_nothing_measured_yet_gives_no_cards(tmp_path):
    with begun(tmp_path / "none", []) as folder:
        assert ask(folder, left=300.0).verdict == "cannot-tell"


def cut(data, at_ev):
    """The same file, ended early."""
    rows = data.decode().splitlines(keepends=True)
    return "".join(row for row in rows if row[0] == "#" or float(row.split()[0]) <= at_ev).encode()


def test_titanium_scanned_to_its_first_line_alone_stays_open_and_is_a_card(tmp_path):
    raw = [(name, cut(data, 463.0)) for name, data in files("TiL")]
    with begun(tmp_path / "short", raw) as folder:
        card = next(c for c in ask(folder, left=120.0).detail["cards"] if c["code"] == "open/Ti")
    assert card["title"] == "Scan on past both lines of Ti L"


def test_where_all_is_named_nothing_is_open(tmp_path):
    with begun(tmp_path / "whole", files("TiL")) as folder:
        assert "open/Ti" not in codes(ask(folder, left=120.0))


def test_a_mounted_standard_that_nobody_scanned_for_two_hours_is_a_card(tmp_path):
    """The three edges span more than two hours by their own clock; one edge alone does not."""
    text = made().experiment_text
    assert "kind: standard" in text
    with begun(tmp_path / "long", [*files("AlK")[:2], *files("SiK")[-2:]], text) as folder:
        assert "tie/Si K" in codes(ask(folder, left=300.0))
    with begun(tmp_path / "brief", files("AlK")[:4], text) as folder:
        assert not any(code.startswith("tie/") for code in codes(ask(folder, left=300.0)))
