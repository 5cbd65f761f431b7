"""Words and their voices above a picture."""

from __future__ import annotations

from edgeshift.drawing.header import bold_words


def test_what_follows_a_bold_stretch_without_a_space_stays_at_it():
    assert bold_words("It differs **in gain**: much.") == [
        ("It", "regular"), ("differs", "regular"), ("in", "bold"), ("gain:", "bold"), ("much.", "regular"),
    ]  # fmt: skip


def test_a_sign_before_a_bold_stretch_stays_at_it():
    assert bold_words("(**so it** is)")[:2] == [("(so", "regular"), ("it", "bold")]


def test_words_apart_stay_apart():
    assert bold_words("**All kept** now") == [("All", "bold"), ("kept", "bold"), ("now", "regular")]
    assert bold_words("") == []
