"""A short version of the benchmark of peak fits: they get there, and their ratio has room for a busy one."""

from __future__ import annotations

import numpy as np
from benchmark_modules import benchmark
from conftest import skip_unless_required


def test_fits_from_displaced_starts_get_there_sooner_than_one_of_lmfit():
    try:
        import lmfit  # noqa: F401
    except ImportError:
        skip_unless_required("lmfit is not installed (it is in the group dev)")
    found = benchmark("peak_speed").peak_speed(curves=100, some=5, rounds=2)
    assert found.ours_there >= 0.99
    assert found.ours_there >= found.lmfit_there
    assert np.median(found.lmfit / found.ours) > 1
