"""Numbers from outside: the NIST Statistical Reference Datasets, and how many digits agree."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

NIST = Path(__file__).parent / "nist"


def _rows(name: str) -> list[dict[str, str]]:
    lines = (NIST / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.fixture(scope="session")
def curve() -> Callable[[str], tuple[np.ndarray, np.ndarray]]:
    """A nonlinear set by its name: (x, y)."""

    def read(name: str) -> tuple[np.ndarray, np.ndarray]:
        rows = _rows(name)
        return tuple(np.array([float(row[column]) for row in rows]) for column in ("x", "y"))

    return read


@pytest.fixture(scope="session")
def groups() -> Callable[[str], list[np.ndarray]]:
    """An analysis-of-variance set by its name: one array a group."""

    def read(name: str) -> list[np.ndarray]:
        rows = _rows(name)
        names = list(dict.fromkeys(row["group"] for row in rows))
        return [np.array([float(row["value"]) for row in rows if row["group"] == each]) for each in names]

    return read


@pytest.fixture(scope="session")
def certified() -> Callable[[str], dict[str, dict[str, float]]]:
    """Certified numbers of a nonlinear set: name -> start_1, start_2, value, deviation."""

    def read(name: str) -> dict[str, dict[str, float]]:
        kept = ("start_1", "start_2", "value", "deviation")
        rows = (row for row in _rows("certified") if row["set"] == name)
        return {row["name"]: {key: float(row[key] or "nan") for key in kept} for row in rows}

    return read


@pytest.fixture(scope="session")
def digits() -> Callable[[float, float], float]:
    """How many digits agree: the log relative error, at most 16."""

    def count(found: float, wanted: float) -> float:
        return 16.0 if found == wanted else -math.log10(abs(found - wanted) / abs(wanted))

    return count
