"""Words of the page that belong to no answer, in the languages that a room may choose.

    en    English, in which the page is written
    fr, es    unreviewed translations

Each language is one mapping of the same keys; a new word is entered in all three. Files and JSON never pass
through here: they keep their dots and their ASCII.
"""

from __future__ import annotations

import string
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from edgeshift.wording.screen import en, es, fr

LANGUAGES: Mapping[str, Mapping[str, str]] = {"en": en.WORDS, "fr": fr.WORDS, "es": es.WORDS}
DECIMAL_COMMA = ("fr", "es")
REVIEWED = ("en",)
"""Languages whose words somebody who speaks them has read; the page says so of the others."""


class _Filled(string.Formatter):
    """Fills blanks, with the decimal sign of the language in numbers that have one."""

    def __init__(self, say: Say) -> None:
        self._say = say

    def format_field(self, value: Any, spec: str) -> str:
        text = super().format_field(value, spec)
        return self._say.number(text) if isinstance(value, float) else text


@dataclass(frozen=True)
class Say:
    """The words of one language, by their keys."""

    language: str = "en"

    def __call__(self, key: str, **fill: object) -> str:
        """The words of a key, with what stands in their blanks."""
        words = LANGUAGES[self.language][key]
        return _Filled(self).format(words, **fill) if fill else words

    def number(self, text: str) -> str:
        """A printed number as this language writes it."""
        return text.replace(".", ",") if self.language in DECIMAL_COMMA else text

    def count(self, number: int) -> str:
        """Small counts as words."""
        words = self("count").split()
        return words[number] if 0 <= number < len(words) else str(number)

    def several(self, key: str, number: int) -> str:
        """So many of something: the words of `key`.one or `key`.more."""
        return self(f"{key}.one" if number == 1 else f"{key}.more", number=number, count=self.count(number))

    def all_of(self, part: str) -> dict[str, str]:
        """Every word whose key begins with `part` and a dot, by the rest of its key: for a script."""
        words = LANGUAGES[self.language]
        return {
            key.removeprefix(f"{part}."): text for key, text in words.items() if key.startswith(f"{part}.")
        }

    @property
    def reviewed(self) -> bool:
        """Whether somebody who speaks the language has read its words."""
        return self.language in REVIEWED


ENGLISH = Say()


def language_for(accepted: str) -> str:
    """The best language of ours for an Accept-Language header; English where none fits."""
    wanted: list[tuple[float, int, str]] = []
    for place, entry in enumerate(accepted.split(",")[:20]):
        tag, _, weight = entry.partition(";q=")
        try:
            share = float(weight or 1)
        except ValueError:
            continue
        wanted.append((-share, place, tag.strip().partition("-")[0].lower()))
    return next((tag for share, _, tag in sorted(wanted) if share < 0 and tag in LANGUAGES), "en")
