"""Names taken out of what people wrote, where a curtain hides them.

A name is not replaced by another one: whoever wrote "the fired pot glows" and reads "the Q pot glows" has
looked behind the curtain.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

HIDDEN = "…"
"""What stands where a name stood."""
HIDDEN_WHY = "Why may name what the curtain hides: edgeshift take says it in your own terminal."
HIDDEN_COMPLAINT = "What does not hold may name an arm: edgeshift ask says it in your own terminal."
"""What stands where whole sentences about files and texts stood."""
_JOINED = re.compile(r"[^\W_]+(?:[-_.][^\W_]+)+")
_SEVERAL = re.compile(rf"{HIDDEN}(\s*{HIDDEN})+")
_RUN = re.compile(r"\S+")
_AROUND = "\"'`.,;:!?()[]<>„“”«»"
_SPACES = re.compile(r"(?<=[^\s_-])[\s_-]+(?=[^\s_-])")


@dataclass(frozen=True)
class Hush:
    """Any text into the same text without these names: whole words, whatever their case, and whatever is
    joined to them by a hyphen, a dot or an underscore. `files` are names of files, hidden as they stand."""

    names: frozenset[str] = frozenset()
    files: frozenset[str] = frozenset()

    def __call__(self, text: str) -> str:
        """The text, its accents composed, with `HIDDEN` for every name."""
        text = unicodedata.normalize("NFC", text)
        spans = [*self._named(text), *self._filed(text)]
        if not spans:
            return text
        joined = [m.span() for m in _JOINED.finditer(text)]
        spans += [(a, b) for a, b in joined if any(a < end and start < b for start, end in spans)]
        told, at = [], 0
        for start, end in sorted(spans):
            if start >= at:
                told += [text[at:start], HIDDEN]
            at = max(at, end)
        return _SEVERAL.sub(HIDDEN, "".join([*told, text[at:]]))

    def _named(self, text: str) -> Iterator[tuple[int, int]]:
        pattern = _pattern(self.names)
        yield from ((m.start(), m.end(1)) for m in pattern.finditer(text)) if pattern else ()

    def _filed(self, text: str) -> Iterator[tuple[int, int]]:
        if not self.files:
            return
        for run in _RUN.finditer(text):
            bare = run[0].strip(_AROUND)
            if bare.casefold() in self._one_word:
                start = run.start() + run[0].index(bare)
                yield start, start + len(bare)
        for name in self._several_words:
            yield from (m.span() for m in re.finditer(re.escape(name), text, re.IGNORECASE))

    @cached_property
    def _one_word(self) -> frozenset[str]:
        composed = (unicodedata.normalize("NFC", name) for name in self.files)
        return frozenset(name.casefold() for name in composed if not re.search(r"\s", name))

    @cached_property
    def _several_words(self) -> tuple[str, ...]:
        composed = {unicodedata.normalize("NFC", name) for name in self.files}
        return tuple(sorted((name for name in composed if re.search(r"\s", name)), key=len, reverse=True))


def words_of(text: str) -> list[str]:
    """The words of a text, composed and without case: what lies between signs and blanks."""
    return re.findall(r"[^\W_]+", unicodedata.normalize("NFC", text).casefold())


@lru_cache(maxsize=8)
def _pattern(names: frozenset[str]) -> re.Pattern | None:
    """All of the names, longest first; a look ahead, so that names may lie over one another."""
    every = sorted({unicodedata.normalize("NFC", name).strip() for name in names} - {""})
    every = sorted(every, key=len, reverse=True)
    return re.compile(f"(?=({'|'.join(map(_one, every))}))", re.IGNORECASE) if every else None


def _one(name: str) -> str:
    """One name as a pattern. Blanks, hyphens and underscores inside it are one another; a single letter keeps
    its case, or every "a" would go; scripts without cases are written without blanks, so need none."""
    parts = r"[\s_-]+".join(map(re.escape, _SPACES.split(name)))
    parts = f"(?-i:{parts})" if len(name) == 1 else parts
    before = r"(?<![^\W_])" if _needs_an_end(name[0]) else ""
    return before + parts + (r"(?![^\W_])" if _needs_an_end(name[-1]) else "")


def _needs_an_end(letter: str) -> bool:
    return letter.isdigit() or letter.lower() != letter.upper()
