"""A finding: something about several scans together, with its closed code, its sentence and its next act."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from edgeshift.questions.trust.reasons import Reason, note
from edgeshift.records.answer import Fact, Ref
from edgeshift.wording import trust_findings as words
from edgeshift.wording.numbers import GIVE_OR_TAKE


@dataclass(frozen=True)
class Finding:
    """What was found, in which scans, with the numbers in its sentence.

    `code` is a key of `wording.trust_findings.FINDINGS`. `scans` get it as a note; `evidence` are the
    scans, units or specimens that it rests on. `value` is its one number with its standard deviation and
    unit.
    """

    code: str
    scans: tuple[str, ...] = ()
    numbers: Mapping[str, Any] = field(default_factory=dict)
    value: float | None = None
    sigma: float | None = None
    unit: str | None = None
    evidence: tuple[Ref, ...] = ()

    @property
    def sentence(self) -> str:
        """What was found and how sure that is."""
        return words.sentence(self.code, self.numbers)

    @property
    def next_act(self) -> str:
        """What to do about it."""
        return words.next_act(self.code, self.numbers)

    def fact(self) -> Fact:
        """The finding as a fact of the answer: its whole sentence, which holds the number."""
        refs = self.evidence or tuple(Ref("scan", key) for key in self.scans)
        if self.value is None:
            return Fact(self.code, self.sentence, evidence=refs)
        about_some = self.scans or len(refs) == 1
        what = words.of_scans(self.sentence, refs[0].token(), len(refs) - 1) if about_some else self.sentence
        wide = None if self.sigma is None else GIVE_OR_TAKE * self.sigma
        return Fact(self.code, what, self.value, wide, self.unit, refs)

    def as_note(self) -> Reason:
        """The finding as a note on one of its scans."""
        return note(self.code, **self.numbers)

    def as_detail(self) -> dict[str, Any]:
        """The finding as the answer's JSON holds it."""
        said = {"code": self.code, "sentence": self.sentence, "next": self.next_act}
        return {**said, "scans": list(self.scans), "numbers": dict(self.numbers)}


def in_percent(share: float, sigma: float | None) -> tuple[float, float | None, str]:
    """Value, standard deviation and unit of a share as people read it."""
    return 100.0 * share, None if sigma is None else 100.0 * sigma, "%"
