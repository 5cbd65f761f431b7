"""Sentences of "What have we got here?": few words, one fact, and no element without its verdict."""

from __future__ import annotations

import pytest
import sample_answers

from edgeshift.questions.here import lineup
from edgeshift.wording import here as words
from edgeshift.wording.element_names import NAMES, edge_in_words, element_name


def told(verdict: str, reason: str = "nothing", **more) -> dict:
    return {
        "verdict": verdict,
        "reason": reason,
        "limit": 0.039,
        "asked": True,
        "impostors": [],
        "edge": "Ti L",
    } | more


def test_absence_is_told_with_the_amount_that_would_have_shown():
    said = words.one_element("Ti", told("not-seen"))
    assert said == "No **titanium** seen. More than 3.9 % of the ground would have shown."


def test_a_ghost_names_what_is_missing_and_who_is_suspected():
    suspect = {"reason": "fits", "what": "Al K", "name": "x", "status": "not-yet", "why": "y"}
    said = words.one_element("Ba", told("not-seen", "ghost", impostors=[suspect]))
    assert (
        said
        == "This looks like barium but its twin is missing. Suspect double-energy light from **aluminium**."
    )


def test_many_elements_are_counted_and_not_all_named():
    elements = {symbol: told("seen") for symbol in list(NAMES)[:40]} | {"Ti": told("not-seen")}
    said = words.sentence(elements)
    assert len(said.split()) <= 20 and "more" in said and "Not seen: titanium" in said


@pytest.mark.parametrize("reason", words.IN_SHORT)
def test_every_doubt_fits_into_one_sentence(reason):
    said = words.one_element("Ti", told("cannot-tell", reason))
    assert len(said.split()) <= 20 and said.startswith("Cannot tell whether **titanium** is here: ")


def test_every_reason_that_leaves_a_doubt_has_its_short_words():
    settled = {"stands", "nothing", "ghost", "beam-marks"}
    assert set(words.IN_SHORT) == set(words.REASONS) - settled


def test_every_decisive_reason_has_its_words():
    assert set(lineup.DECISIVE) <= set(words.WHY)


def test_a_terminal_shows_the_asked_with_their_suspects_and_counts_the_rest():
    lines = words.element_lines(sample_answers.presence().detail["elements"])
    assert any(line.startswith("  Ba not seen     more than 3.9 % would have shown") for line in lines)
    assert any("aluminium K in second order: not yet excluded" in line for line in lines)
    assert lines[-1] == "  2 others not seen; 3.9 % of the ground would have shown"


def test_edges_and_elements_have_names():
    assert edge_in_words("Fe L") == "iron L" and element_name("Xy") == "Xy" and len(NAMES) == 92


def test_an_axis_that_is_off_says_how_far_and_that_nothing_was_moved():
    said = words.axis(9.3, 1.46, ("Fe L", "Al K"), True)
    assert said == (
        "Fe L and Al K together stand about 9 eV too high, give or take 1.5 eV:"
        " the energy axis is off; nothing was moved."
    )
    assert "or another element" in words.axis(-6.0, 4.0, ("Fe L",), False)
