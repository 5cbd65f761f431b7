"""What is compared at one edge, and whether it was named before or after looking."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from edgeshift.recipe.experiment import Feature


@dataclass(frozen=True)
class Comparison:
    """One edge's declared feature (None: none was named), what difference matters, its part in the family.

    `declared` is "before" when the feature stood in the book before the first scan of this edge arrived;
    `matters_after` says that what matters was named or changed only after it: then no verdict rests on that.
    """

    edge: str
    feature: Feature | None = None
    matters: float | None = None
    declared: Literal["before", "after"] = "after"
    role: Literal["family", "control", "outside"] = "family"
    matters_after: bool = False
