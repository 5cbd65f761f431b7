"""How many of the group's own words are the trade's: a reader who was not there has to be told them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from edgeshift.publish.material import Material, Said
from edgeshift.wording.glossary import Entry, spoken_in

_WORD = re.compile(r"[^\W\d_]+(?:[-'’][^\W\d_]+)*")


class Jargon(NamedTuple):
    """`words` written by the group, and how often each entry of the glossary stands among them."""

    words: int
    entries: tuple[tuple[Entry, int], ...]

    @property
    def trade(self) -> int:
        """How many of the words are the trade's."""
        return sum(times for _, times in self.entries)

    @property
    def per_100(self) -> float:
        """The same of a hundred words."""
        return 100 * self.trade / self.words if self.words else 0.0


def jargon(material: Material) -> Jargon:
    """The trade's words in the slots and claims, the most frequent first. It lowers and changes nothing."""
    own = [said.text for said in _own(material)]
    found = Counter(entry for text in own for entry in spoken_in(text))
    return Jargon(sum(len(_WORD.findall(text)) for text in own), tuple(found.most_common()))


def _own(material: Material) -> Iterator[Said]:
    yield from (said for said in material.words.values() if said)
    for one in material.claims:
        yield from (one.claim, one.evidence, one.reason, one.unless)
