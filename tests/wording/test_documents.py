"""The few sentences that documents have of their own hold just the numbers they were given."""

from edgeshift.wording.documents import arm_line, between, dwell_s, jargon_lines, lot, range_ev, scanned


def test_how_an_edge_was_scanned_is_one_sentence():
    assert scanned((1550.0, 1612.4), (0.7, 0.7), 18, [146.2, 293.0]) == (
        "Scanned from 1550 to 1612 eV, 0.7 s on a point; "
        "18 scans lay on 2 spots, the beam on each for 146 to 293 s in all."
    )


def test_one_number_is_said_where_both_are_alike():
    assert dwell_s(0.5, 0.5001) == "0.5 s"
    assert dwell_s(0.5, 1.0) == "0.5 to 1 s"
    assert range_ev(1549.6, 1612.4) == "1550 to 1612 eV"


def test_a_shift_past_midnight_says_its_days():
    assert between(["2026-03-01T16:26:00", "2026-03-01T12:46:00"]) == "12:46 to 16:26"
    assert between(["2026-03-01T23:50:00", "2026-03-02T00:10:00"]) == "2026-03-01 23:50 to 2026-03-02 00:10"
    assert between([]) == "not said"


def test_an_arm_is_told_with_its_units_or_that_there_are_none():
    assert arm_line("raw clay", ["raw A", "raw B"], True) == "raw clay (the control): raw A, raw B"
    assert arm_line("fired", [], False) == "fired (treated): no unit"


def test_a_lot_can_be_drawn_again():
    assert lot("curtain", 17) == "The lot of the curtain was drawn from seed 17."


def test_the_meter_tells_which_words_to_explain_and_says_nothing_of_nothing():
    assert jargon_lines(0, 0, 0.0, []) == []
    assert jargon_lines(12, 0, 0.0, []) == ["None of your 12 words is the trade's."]
    first, second = jargon_lines(50, 2, 4.0, [("White line", "a sharp peak.")])
    assert first.startswith("2 of your 50 words are the trade's, 4 in a hundred.")
    assert second == "White line: a sharp peak."
