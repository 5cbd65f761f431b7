"""The group's own words go where what goes home waits for them, letter by letter, and can be taken back."""

import pytest
from a_room import GUEST, HOST, state

from edgeshift.actions.slots import undo_words, write_words
from edgeshift.errors import NoteRefused

ODD = "We see *two* things:\nless of it, #more than {arm:x} says <b>twice</b>."


def test_words_are_kept_letter_by_letter_under_a_role(folder, desk):
    event = write_words(folder, desk, GUEST, "what-we-see", ODD)
    assert (event.payload, event.role) == ({"slot": "what-we-see", "text": ODD}, "student")
    assert [(one.slot, one.text) for one in state(folder).words] == [("what-we-see", ODD)]


def test_words_are_undone_once(folder, desk):
    number = write_words(folder, desk, GUEST, "title", "Fire").number
    undo_words(folder, desk, HOST, number)
    assert state(folder).words == ()
    with pytest.raises(NoteRefused, match=f"line {number}: needed words that stand in a slot, found none"):
        undo_words(folder, desk, HOST, number)


@pytest.mark.parametrize(
    ("slot", "text", "words"),
    [
        ("name", "Ann", "the slot: needed one of title, .*, found 'name'"),
        ("title", " ", "the words: needed some words, found none"),
        ("title", "x" * 121, "the words: needed at most 120 letters"),
        ("what-next", "x" * 601, "the words: needed at most 600 letters"),
    ],
)
def test_what_fits_no_slot_is_refused(folder, desk, slot, text, words):
    with pytest.raises(NoteRefused, match=words):
        write_words(folder, desk, GUEST, slot, text)
