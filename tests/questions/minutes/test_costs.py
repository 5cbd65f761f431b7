"""How long a scan takes: by its clock, its times, else its dwell and settling."""

import numpy as np
import pytest

from edgeshift.questions.minutes import scan_minutes
from edgeshift.questions.minutes.costs import Costs
from edgeshift.recipe.beamline import Overheads
from edgeshift.records.scan import Scan

ENERGY = np.linspace(1550.0, 1600.0, 100)


def scan(**changes):
    return Scan("s", "s.dat", "0" * 64, "Al K", ENERGY, np.full(100, 0.7), {}, "i0", **changes)


def test_dwell_and_settling_count_where_no_clock_does():
    assert scan_minutes([scan()], Overheads(settle_s=0.5)) == pytest.approx(2.0)


def test_the_files_own_times_count_before_that():
    timed = scan(started="2026-03-01T10:00:00Z", ended="2026-03-01T10:05:00Z")
    assert scan_minutes([timed], Overheads()) == pytest.approx(5.0)


def test_the_points_own_clock_counts_first():
    clocked = scan(
        clock_s=np.linspace(0, 239.3, 100), started="2026-03-01T10:00:00Z", ended="2026-03-01T11:00:00Z"
    )
    assert scan_minutes([clocked], Overheads()) == pytest.approx(4.0)


def test_the_middle_of_several_scans_counts():
    assert scan_minutes(
        [scan(), scan(), scan(clock_s=np.linspace(0, 6000, 100))], Overheads()
    ) == pytest.approx(2.0)


def test_without_scans_nothing_is_known():
    assert scan_minutes([], Overheads()) is None


def test_a_change_of_edge_is_paid_only_where_the_beamline_is_elsewhere():
    costs = Costs({"Al K": 4.0}, 1.0, 2.0, "Fe L")
    assert costs.visits("Al K", 3, 2) == pytest.approx(2 + 3 * (1 + 8))
    assert costs._replace(edge="Al K").visits("Al K", 3, 2) == pytest.approx(3 * (1 + 8))
