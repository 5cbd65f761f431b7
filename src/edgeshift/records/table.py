"""What a reader returns: named columns of numbers and the header they came with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True)
class Column:
    """One column as it stood in the file.

    `values` is read-only, one float per row (NaN where the file had no number).
    `unit` is the file's own word for the unit, or None where the file gave none.
    """

    name: str
    values: np.ndarray
    unit: str | None = None


@dataclass(frozen=True)
class RawTable:
    """One entry of one raw file, nothing interpreted yet.

    `header` keeps every key of the file, lower-cased words joined by dots where the format nests;
    `remarks` keeps header lines that are not `key: value`; `complaints` are what the reader noticed
    and read on regardless (each one short sentence).
    """

    file: str
    format: str
    columns: tuple[Column, ...]
    header: Mapping[str, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    entry: str | None = None
    complaints: tuple[str, ...] = ()

    def column(self, name: str) -> Column | None:
        """The column of that name, compared without case, or None."""
        wanted = name.strip().lower()
        return next((c for c in self.columns if c.name.strip().lower() == wanted), None)
