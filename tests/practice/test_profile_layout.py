"""Files in somebody's own layout read back to what was measured."""

from datetime import UTC, datetime

import numpy as np
import pytest

from edgeshift.errors import TextRefused
from edgeshift.formats import text
from edgeshift.practice.instrument import Reading
from edgeshift.practice.profile_layout import bytes_for, name_for
from edgeshift.practice.schedule import PlannedScan
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.reduction.steps.columns import place_from, scan_from_table

POINTS = 60
ENERGY = np.linspace(1550.0, 1600.0, POINTS)
SHAPE = 1.0 + 0.4 * (ENERGY > 1566) + 0.001 * np.arange(POINTS)


@pytest.fixture
def reading():
    """One scan whose drain over mesh is SHAPE over one."""
    scan = PlannedScan(7, "Al K", "A 1", "s2", 3600.0, ENERGY, 0.5)
    counts = np.rint(4000.0 * SHAPE)
    clock = np.cumsum(np.full(POINTS, 1.0))
    mesh = 1.6 * (1.0 + 0.01 * np.sin(ENERGY))
    return Reading(
        scan,
        ENERGY,
        mesh,
        -2.0e-10 * SHAPE,
        counts,
        clock,
        np.full(POINTS, 0.5),
        np.array([12.5]),
        1e-8,
        300.0,
    )


def profile(**changes):
    told = {
        "energy": {"column": "Mono Energy", "unit": "eV"},
        "channels": [
            {"role": "i0", "columns": ["I0"], "unit": "counts"},
            {"role": "electron-yield", "columns": ["drain"], "unit": "V", "offset": 0.1, "gain": 2.0},
        ],
        "signal": "electron-yield",
        "dwell_column": "t",
        "start_key": "began",
        "zone": "-05:00",
        "edge_key": "edge",
        "place": {"specimen_key": "what", "spot_key": "where"},
    }
    return BeamlineProfile.model_validate({**told, **changes})


def read_back(profile, reading):
    data = bytes_for(profile, reading, datetime(2026, 3, 14, 9, 0, tzinfo=UTC))
    table = text.read(name_for(profile, reading), data)[0]
    return scan_from_table(table, profile, "scan-001", "", place_from(table, profile))


def test_it_is_read_by_its_own_profile(reading):
    scan = read_back(profile(), reading)
    assert (scan.place.specimen, scan.place.spot, scan.edge) == ("A 1", "s2", "Al K")
    assert scan.started == "2026-03-14T05:00:00-05:00"
    assert scan.energy_ev == pytest.approx(ENERGY, abs=1e-4)
    raw = scan.channels["electron-yield"]
    assert 2.0 * (raw.raw[0] - 0.1) == pytest.approx(1.6 * SHAPE, rel=1e-6)
    assert (scan.channels["i0"].raw[0] == np.rint(scan.channels["i0"].raw[0])).all()


@pytest.mark.parametrize(
    "energy",
    [{"column": "#3", "unit": "keV"}, {"column": "angle", "unit": "deg", "d_spacing_angstrom": 10.64}],
)
def test_other_axes_come_back_as_the_same_energies(reading, energy):
    scan = read_back(profile(energy=energy), reading)
    assert np.sort(scan.energy_ev) == pytest.approx(ENERGY, rel=1e-6)


def test_elements_share_the_light_and_a_negative_signal_stays_one(reading):
    channels = [
        {"role": "i0", "columns": ["I0"], "unit": "V"},
        {
            "role": "fluorescence",
            "columns": ["roi1", "roi2"],
            "unit": "counts",
            "dead_time_columns": ["d1", "d2"],
        },
        {"role": "electron-yield", "columns": ["drain"], "unit": "A", "sign": -1},
    ]
    scan = read_back(profile(channels=channels), reading)
    assert scan.channels["fluorescence"].raw.sum(axis=0) == pytest.approx(reading.counts, abs=1.1)
    assert scan.channels["electron-yield"].raw.max() < 0


def test_a_name_may_hold_the_place(reading):
    pattern = {"file_name": r"^(?P<specimen>[^_]+)_(?P<spot>[^_]+)_"}
    scan = read_back(profile(place=pattern), reading)
    assert (scan.place.specimen, scan.place.spot) == ("A 1", "s2")


def test_a_pattern_that_no_name_fits_is_refused(reading):
    with pytest.raises(TextRefused, match="needed a pattern that reads a name as A 1_s2_AlK_0007.dat"):
        name_for(profile(place={"file_name": r"^Q(?P<specimen>\d{9})"}), reading)


def test_an_angle_without_spacing_is_refused(reading):
    with pytest.raises(TextRefused, match="needed a crystal spacing for its angles"):
        read_back(profile(energy={"column": "angle", "unit": "deg"}), reading)


def test_a_layout_that_announces_its_points_writes_how_many_it_will_have(reading):
    data = bytes_for(profile(points_key="npts"), reading, datetime(2026, 3, 14, 9, 0, tzinfo=UTC))
    assert f"# npts: {POINTS}\n".encode() in data
