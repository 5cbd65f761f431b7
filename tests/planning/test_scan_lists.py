"""Scan lists: fine where the lines are, as long as the shift can bear, and told in minutes."""

import numpy as np
import pytest

from edgeshift.errors import TextRefused
from edgeshift.planning.scan_lists import csv_rows, dwell_for, scan_list, scan_lists
from edgeshift.recipe.beamline import BeamlineProfile, Overheads
from edgeshift.recipe.experiment import Experiment, ScanWish

WORKED = {
    "Al K": (1550, 1612, 2000, 0.7, 4.2),
    "Si K": (1832, 1892, 1700, 1.0, 4.1),
    "Fe L": (698, 740, 2600, 0.6, 4.4),
    "Ca L": (340, 362, 3400, 0.5, 2.3),
    "O K": (522, 570, 3000, 0.4, 3.0),
    "K L": (290, 304, 3600, 0.4, 1.9),
    "Ti L": (450, 480, 3100, 1.0, 4.8),
    "C K": (278, 312, 3700, 0.4, 2.7),
    "N K": (392, 425, 3300, 1.3, 5.2),
}
"""Edge: range eV, resolving power and dwell (s) that we state, and the minutes of the job's own scan clock;
settling 0.4 s a point."""


@pytest.mark.parametrize("edge", WORKED)
def test_scans_take_the_minutes_of_the_jobs_clock(edge):
    low, high, resolving, dwell, minutes = WORKED[edge]
    beamline = BeamlineProfile(resolving_power=resolving, overheads=Overheads(settle_s=0.4))
    found = scan_list(edge, ScanWish(low_ev=low, high_ev=high, dwell_s=dwell), beamline)
    assert found.minutes == pytest.approx(minutes, rel=0.15)
    assert (found.energies_ev[0], found.energies_ev[-1]) == (low, high)


@pytest.mark.parametrize("edge", [*WORKED, "Ba M", "Fe L3"])
def test_energies_rise_without_a_gap_and_none_comes_twice(edge):
    found = scan_list(edge, ScanWish(), BeamlineProfile())
    steps = np.diff(found.energies_ev)
    assert steps.min() > 0.09 and steps.max() < 0.501
    assert 5 * min(region.step_ev for region in found.regions) <= max(found.width_ev, 0.5) + 1e-9


def test_a_blunt_instrument_needs_fewer_points():
    sharp, blunt = (scan_list("Si K", ScanWish(), BeamlineProfile(resolving_power=r)) for r in (6000, 1500))
    assert len(blunt.energies_ev) < len(sharp.energies_ev)


def test_half_the_scatter_takes_four_times_as_long():
    assert dwell_for(0.01, 0.005) == pytest.approx(4.0)
    assert scan_list("Al K", ScanWish(noise_at_1s=0.01, precision=0.01), BeamlineProfile()).dwell_s == 1.0


def test_tables_that_differ_are_told():
    assert scan_list("O K", ScanWish(), BeamlineProfile()).tables_differ_ev == pytest.approx(11.1)
    assert scan_list("Al K", ScanWish(low_ev=1550), BeamlineProfile()).tables_differ_ev > 1
    assert scan_list("Si K", ScanWish(), BeamlineProfile()).tables_differ_ev == 0.0


def test_a_range_that_ends_in_the_fine_part_is_kept():
    found = scan_list("Al K", ScanWish(low_ev=1560, high_ev=1565), BeamlineProfile())
    assert (found.energies_ev[0], found.energies_ev[-1], len(found.regions)) == (1560, 1565, 1)


def test_the_table_is_what_somebody_types():
    text = Experiment.model_validate({"edges": [{"edge": "Si K"}, {"edge": "K L"}]})
    rows = csv_rows(scan_lists(text))
    assert rows[0] == ("edge", "from_ev", "to_ev", "step_ev", "points", "dwell_s", "settle_s")
    assert {row[0] for row in rows[1:]} == {"Si K", "K L"} and all(len(row) == 7 for row in rows)


def test_a_list_knows_its_scatter_and_what_getting_there_costs():
    beamline = BeamlineProfile(overheads=Overheads(move_min=1.5, edge_change_min=3.0))
    found = scan_list("Al K", ScanWish(noise_at_1s=0.01, dwell_s=0.25), beamline)
    assert found.scatter == pytest.approx(0.02)
    assert found.minutes_with_move - found.minutes == pytest.approx(1.5) and found.edge_change_min == 3.0


def test_an_edge_in_no_table_is_refused():
    with pytest.raises(TextRefused, match="needed"):
        scan_list("Xx K", ScanWish(), BeamlineProfile())


def test_a_range_upside_down_is_refused():
    with pytest.raises(ValueError, match="needs its low end first, found 1600 to 1500"):
        ScanWish(low_ev=1600, high_ev=1500)


@pytest.mark.parametrize("edge", [*WORKED, "Ba M", "Fe L3"])
def test_the_points_of_the_regions_add_up_to_the_points_of_the_list(edge):
    found = scan_list(edge, ScanWish(), BeamlineProfile())
    assert sum(region.points for region in found.regions) == len(set(found.energies_ev))
    assert sum(int(row[4]) for row in csv_rows([found])[1:]) == len(found.energies_ev)
