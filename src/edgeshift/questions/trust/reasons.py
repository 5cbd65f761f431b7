"""A reason: its closed code, how much it weighs, and the numbers in its sentence."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

from edgeshift.wording.trust import reason

Weight = Literal["keep-with-a-note", "set-aside"]


class Reason(NamedTuple):
    """One reason; its code is a key of `wording.trust.REASONS`."""

    code: str
    weight: Weight
    numbers: dict[str, Any]

    @property
    def sentence(self) -> str:
        """The reason in plain words."""
        return reason(self.code, self.numbers)


def note(code: str, **numbers: Any) -> Reason:
    """A reason to keep in mind; the scan is kept."""
    return Reason(code, "keep-with-a-note", numbers)


def against(code: str, **numbers: Any) -> Reason:
    """A reason to set the scan aside; a person may still keep it."""
    return Reason(code, "set-aside", numbers)
