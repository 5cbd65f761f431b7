"""The words of the page: the same keys and blanks in every language, short enough for where they stand."""

from __future__ import annotations

import string

import pytest

from edgeshift.drawing.metrics import text_width
from edgeshift.figures.stations import stations
from edgeshift.records.answer import QUESTIONS, Answer
from edgeshift.wording import stations as told
from edgeshift.wording.prompts import prompt
from edgeshift.wording.screen import ENGLISH, LANGUAGES, REVIEWED, Say, en, es, fr, language_for

OTHERS = [language for language in LANGUAGES if language != "en"]
CELL = 150.0
"""Pixels beside the mark in a cell of the strip, at 20 a letter."""


def blanks(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


@pytest.mark.parametrize("language", OTHERS)
def test_every_word_stands_in_every_language(language):
    assert set(LANGUAGES[language]) == set(LANGUAGES["en"])


@pytest.mark.parametrize("language", OTHERS)
def test_the_blanks_of_a_translation_are_those_of_the_english(language):
    for key, words in LANGUAGES["en"].items():
        assert blanks(LANGUAGES[language][key]) <= blanks(words) | {"count", "number"}, key
        assert bool(blanks(LANGUAGES[language][key])) == bool(blanks(words)), key


@pytest.mark.parametrize("module", [fr, es])
def test_a_translation_that_nobody_reviewed_says_so(module):
    assert "Unreviewed translation" in module.__doc__ and "Unreviewed" not in en.__doc__
    assert Say("en").reviewed and REVIEWED == ("en",)


def fullest(say: Say) -> list[str]:
    """The longest words that each kind of station comes to."""
    alone = [
        say(f"station.{key}")
        for key in (
            *("not-yet", "nothing", "refused", "cannot-tell", "below", "stalled", "keep", "keep-with-a-note"),
            *("set-aside", "none-kept", "no-change", "not-shown", "control-edge", "other-units", "none-seen"),
        )
    ]
    several = [say.several(f"station.{what}", 12) for what in ("elements", "choices", "claims", "drafts")]
    scans = [told.scans(say, 46, 0), told.scans(say, 27, 3), told.begin_minutes(say, 25.0, None)]
    edges = [told.edges(say, ["Al K"], ["Fe L"], 2), told.edges(say, ["Al K"], ["Fe L", "K L"], 5)]
    return [
        *alone,
        *several,
        *scans,
        *edges,
        say.several("station.rungs", 3),
        say("station.since", clock="11:02"),
        told.since(say, "minute 31"),
        say("station.elements-as-of", number=12, scan="scan 41"),
    ]


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_cell_of_the_strip_holds_its_words(language):
    for words in fullest(Say(language)):
        assert len(words) <= told.FULLEST and text_width(words, 20.0) <= CELL, words


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_question_of_the_strip_fills_two_lines(language):
    for question in QUESTIONS:
        assert text_width(Say(language)(f"question.{question}"), 18.0) <= 2 * 130.0


def test_stations_speak_the_language_they_are_asked_in():
    assert {one.words for one in stations({}, Say("fr"))} == {"pas encore"}
    answer = Answer("real", "cannot-tell", "", "Al K", detail={"role": "family"})
    assert [one.words for one in stations({"real": [answer]}, Say("es"))][3] == "no se sabe"


def test_the_open_question_follows_the_verdict_in_every_language():
    answer = Answer("real", "units", "")
    assert prompt("real", answer) == "What should not have moved, and did it stay?"
    assert prompt("real", answer, Say("fr")).startswith("Qu’est-ce qui ne devait pas bouger")
    assert prompt("real", None) == "What do you notice first?"
    assert prompt("begin", None, Say("es")).startswith("¿Dónde")


def test_numbers_on_the_page_have_a_decimal_comma_where_the_language_has():
    assert [Say(one).number("0.25") for one in LANGUAGES] == ["0.25", "0,25", "0,25"]
    assert Say("fr")("station.over", low=25.4) == "plus de 25 min"


@pytest.mark.parametrize(
    ("accepted", "language"),
    [
        ("fr-CH, fr;q=0.9, en;q=0.8", "fr"),
        ("de, es;q=0.5, en;q=0.4", "es"),
        ("fr;q=0, es;q=0.1", "es"),
        ("", "en"),
        ("de;q=often, *", "en"),
    ],
)
def test_the_language_is_the_first_that_a_browser_asks_for_and_we_have(accepted, language):
    assert language_for(accepted) == language


def test_a_script_gets_its_words_without_the_first_part_of_their_keys():
    assert ENGLISH.all_of("figure")["energy"] == "{x} eV"
