"""Names are taken out of what people wrote, and nothing stands there that could be traced back to them."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.wording.hush import HIDDEN, Hush, words_of

CLAY = Hush(
    frozenset({"raw", "raw clay", "fired", "A", "r.*w", "RAW A", "粘土"}),
    frozenset({"p_17.dat", "my scan.dat"}),
)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("the raw clay glows", "the … glows"),
        ("Raw, RAW and fired.", "…, … and …."),
        ("a pit-fired pot, twice_fired.pot", "a … pot, …"),
        ("unfired straw", "unfired straw"),
        ("A scan of a pot", "… scan of a pot"),
        ("RAW-A and raw_a", "… and …"),
        ("r.*w is odd, ruw is not", "… is odd, ruw is not"),
        ("这是粘土的扫描", "这是…的扫描"),
        ("see p_17.dat, 'P_17.DAT' and my scan.dat!", "see …, '…' and …!"),
        ("p_17.data", "p_17.data"),
        ("raw raw fired", "…"),
        ("{arm:raw}", "{arm:…}"),
        ("nothing here", "nothing here"),
    ],
)  # fmt: skip
def test_whole_words_go_with_whatever_is_joined_to_them(text, told):
    assert CLAY(text) == told


def test_accents_are_the_same_however_they_were_typed():
    name = "se\u0301che\u0301"
    for one in (name, unicodedata.normalize("NFC", name)):
        for other in (name, unicodedata.normalize("NFC", name), name.upper()):
            assert Hush(frozenset({one}))(f"le {other}!") == "le …!"


def test_without_names_a_text_stays_as_it_is():
    assert Hush()("raw clay") == "raw clay"
    assert Hush(frozenset({"", " "}))("raw clay") == "raw clay"


NAMES = st.text(
    st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"), exclude_characters="{}…"), min_size=1
)


@given(st.sets(NAMES.filter(lambda name: name.strip()), min_size=1, max_size=4), st.data())
def test_no_name_that_stands_by_itself_is_left(names, data):
    name = data.draw(st.sampled_from(sorted(names)))
    told = Hush(frozenset(names))(f"see | {name} | there")
    assert unicodedata.normalize("NFC", name.strip()) not in told.replace("see", "").replace("there", "") or (
        name.strip() in "|"
    )
    assert HIDDEN in told


@given(st.text(max_size=200))
def test_any_text_can_be_hushed_and_hushed_again(text):
    once = CLAY(text)
    assert CLAY(once) == once


def test_the_words_of_a_text_lie_between_signs_and_blanks():
    assert words_of("PIT750-A, pit_fired  clay!") == ["pit750", "a", "pit", "fired", "clay"]
