"""Step 1: a raw table and a profile become a scan, or a refusal that names what was needed and found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from raw_files import ENERGY, I0, SEEDS, YIELD, table

from edgeshift.errors import NotAScan, UnclearColumns
from edgeshift.formats.recognise import tables
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.records.scan import Place, Scan
from edgeshift.records.table import RawTable
from edgeshift.reduction.steps import columns

TABLE = table(Energy__eV=ENERGY, I0=I0, TEY=YIELD, FY=2 * YIELD)


def profile(*channels: dict, energy: dict | None = None, **more) -> BeamlineProfile:
    channels = channels or ({"role": "i0", "columns": ["I0"]}, {"role": "electron-yield", "columns": ["TEY"]})
    return BeamlineProfile.model_validate(
        {"energy": energy or {"column": "Energy"}, "channels": channels, **more}
    )


def scan(raw: RawTable, how: BeamlineProfile) -> Scan:
    return columns.scan_from_table(raw, how, "s1", "abc", Place())


def test_a_plain_table_becomes_a_scan() -> None:
    made = scan(TABLE, profile())
    np.testing.assert_array_equal(made.energy_ev, ENERGY)
    np.testing.assert_array_equal(made.channels["electron-yield"].raw, [YIELD])
    assert (made.signal, made.direction, made.doubts) == ("electron-yield", "up", ())
    np.testing.assert_array_equal(made.dwell_s, np.ones(len(ENERGY)))
    assert (
        columns.sentence(made) == "Read 120 points from 1550.00 to 1609.50 eV (up) with i0, electron-yield."
    )


@pytest.mark.parametrize("name", ["#1", "energy", "ENERGY", "Energy (eV)", "Energy/eV"])
def test_a_column_is_found_by_number_name_or_name_with_unit(name: str) -> None:
    assert len(scan(TABLE, profile(energy={"column": name})).energy_ev) == len(ENERGY)


def test_kev_become_ev() -> None:
    made = scan(
        table(Energy=ENERGY / 1000, I0=I0, TEY=YIELD), profile(energy={"column": "Energy", "unit": "keV"})
    )
    np.testing.assert_allclose(made.energy_ev, ENERGY, rtol=1e-12)


def test_an_angle_becomes_an_energy_by_the_exact_constant() -> None:
    # E λ = 12398.419843320 eV Å: h, c and e are exact in the SI of 2019.
    raw = table(angle=np.linspace(30, 20, 11), I0=I0[:11], TEY=YIELD[:11])
    made = scan(raw, profile(energy={"column": "angle", "unit": "deg", "d_spacing_angstrom": 12.39841984332}))
    assert made.energy_ev[0] == pytest.approx(1000.0, abs=1e-9)


def test_the_spacing_may_stand_in_the_header() -> None:
    (raw,) = tables("clay.001", SEEDS["clay.001"])
    made = scan(raw, profile(energy={"column": "Angle(o)", "unit": "deg"}))
    np.testing.assert_allclose(made.energy_ev, ENERGY, atol=0.001)
    with pytest.raises(UnclearColumns, match="needed a crystal spacing for the angle"):
        scan(replace(raw, header={}), profile(energy={"column": "Angle(o)", "unit": "deg"}))


@pytest.mark.parametrize(
    ("order", "direction"), [(slice(None), "up"), (slice(None, None, -1), "down"), (None, "mixed")]
)
def test_the_direction_is_kept(order: slice | None, direction: str) -> None:
    index = np.arange(120)[order] if order else np.r_[0:60, 60:0:-1]
    made = scan(table(Energy=ENERGY[index], I0=I0[index], TEY=YIELD[index]), profile())
    assert made.direction == direction
    np.testing.assert_array_equal(made.energy_ev, ENERGY[index])


def test_times_clock_and_injections_come_from_where_the_profile_says() -> None:
    raw = table(Energy=ENERGY, I0=I0, TEY=YIELD, t=ENERGY * 0 + 0.5, clock=np.arange(120.0))
    raw = replace(raw, header={"began": "2026-05-01 09:30:00", "ended": "half past", "added": "12.5, 30"})
    made = scan(
        raw,
        profile(
            dwell_column="t", clock_column="clock", start_key="began", end_key="ended", zone="+02:00",
            injections_key="added",
        ),
    )  # fmt: skip
    assert made.started == "2026-05-01T09:30:00+02:00"
    assert made.ended is None
    assert made.injections_s == (12.5, 30.0)
    assert made.dwell_s[0] == 0.5
    assert made.clock_s[-1] == 119.0
    assert made.doubts == ("'half past' (ended) is no ISO 8601 time, so it is left open.",)


@pytest.mark.parametrize(
    ("header", "key", "edge"),
    [
        ({"edge": "Al K"}, "edge", "Al K"),
        ({"element.symbol": "al", "element.edge": "k"}, None, "Al K"),
        ({"element.symbol": "Fe", "edge.name": "L3"}, None, "Fe L3"),
        ({"element.symbol": "Qq", "element.edge": "K"}, None, None),
        ({}, None, None),
    ],
)
def test_the_edge_is_what_the_header_says_and_never_guessed(
    header: dict, key: str | None, edge: str | None
) -> None:
    assert scan(replace(TABLE, header=header), profile(edge_key=key)).edge == edge


@pytest.mark.parametrize(("unit", "reading"), [("percent", 25.0), ("share", 0.25), ("factor", 4 / 3)])
def test_a_reported_dead_time_becomes_a_share(unit: str, reading: float) -> None:
    raw = table(Energy=ENERGY, FY=YIELD, dead=ENERGY * 0 + reading)
    fluorescence = {
        "role": "fluorescence",
        "columns": ["FY"],
        "dead_time_columns": ["dead"],
        "dead_time_unit": unit,
    }
    made = scan(raw, profile(fluorescence))
    np.testing.assert_allclose(made.channels["fluorescence"].dead_fraction, np.full((1, 120), 0.25))


@pytest.mark.parametrize(
    ("channel", "needed"),
    [
        ({"dead_time_columns": ["I0"], "dead_time_unit": "percent"}, "dead time as percent below the whole"),
        ({"dead_time_columns": ["I0"], "corrected": True}, "dead time undone once"),
        ({"dead_time_s": 1e-6, "corrected": True}, "dead time undone once"),
        ({"dead_time_columns": ["I0", "TEY"]}, "one dead-time column per element"),
        ({"columns": ["nowhere"]}, r"the column 'nowhere', found the columns Energy, I0, TEY, FY"),
        ({"columns": ["#9"]}, "the column '#9'"),
    ],
)
def test_an_unclear_detector_is_refused(channel: dict, needed: str) -> None:
    with pytest.raises(UnclearColumns, match=needed):
        scan(TABLE, profile({"role": "fluorescence", "columns": ["FY"], **channel}))


def test_a_profile_without_energy_or_detectors_is_refused_with_the_names_found() -> None:
    with pytest.raises(UnclearColumns, match="found the columns Energy, I0, TEY, FY"):
        scan(TABLE, BeamlineProfile())


def test_one_role_twice_or_a_signal_without_detector_is_refused() -> None:
    twice = ({"role": "i0", "columns": ["I0"]}, {"role": "i0", "columns": ["TEY"]})
    with pytest.raises(UnclearColumns, match="one detector for each role, found i0 twice"):
        scan(TABLE, profile(*twice))
    with pytest.raises(UnclearColumns, match="a detector for the signal 'transmitted'"):
        scan(TABLE, profile(signal="transmitted"))


@pytest.mark.parametrize("column", ["TEY", "I0"])
@pytest.mark.parametrize(
    ("value", "words"), [(0.0, "holds only zeros"), (7.0, "never changes"), (np.nan, "no numbers")]
)
def test_a_dead_signal_or_beam_is_refused(column: str, value: float, words: str) -> None:
    raw = table(**{"Energy": ENERGY, "I0": I0, "TEY": YIELD, column: np.full(120, value)})
    with pytest.raises(UnclearColumns, match=f"'{column}', which .*{words}"):
        scan(raw, profile())


def test_a_dead_element_among_live_ones_is_doubted_aloud() -> None:
    raw = table(Energy=ENERGY, a=YIELD, b=0 * YIELD)
    made = scan(raw, profile({"role": "fluorescence", "columns": ["a", "b"]}))
    assert made.channels["fluorescence"].raw.shape == (2, 120)
    assert made.doubts == ("The column b holds only zeros.",)


def test_a_signal_that_is_only_noise_is_doubted_aloud() -> None:
    noise = 1000 + 30 * np.random.default_rng(1).normal(size=120)
    made = scan(table(Energy=ENERGY, I0=I0, TEY=noise), profile())
    assert made.doubts == ("The column TEY shows nothing beyond its own noise.",)


def test_rows_without_an_energy_are_left_out_aloud() -> None:
    energy = np.where(np.arange(120) == 5, np.nan, ENERGY)
    made = scan(table(Energy=energy, I0=I0, TEY=YIELD), profile())
    assert len(made.energy_ev) == 119
    assert made.doubts == ("1 rows without an energy are left out.",)


@pytest.mark.parametrize(("low", "high"), [(-60.0, 550.0), (5.0, 29.0), (700.0, 700.0), (7e3, 7e4)])
def test_energies_that_are_none_are_refused(low: float, high: float) -> None:
    with pytest.raises(NotAScan, match="energies between 30 and 30000 eV"):
        scan(table(Energy=np.linspace(low, high, 120), I0=I0, TEY=YIELD), profile())


def test_the_place_is_read_from_header_or_file_name() -> None:
    raw = replace(TABLE, file="deep/in/potA_spot2_003.dat", header={"sample.name": "river clay"})
    by_name = {"file_name": r"(?P<specimen>[^_]+)_spot(?P<spot>\d+)"}
    assert columns.place_from(raw, profile(place=by_name)) == Place(specimen="potA", spot="2")
    assert columns.place_from(raw, profile(place={"specimen_key": "Sample.Name"})).specimen == "river clay"
    assert columns.place_from(TABLE, profile(place=by_name)) == Place()


def region(low: int, high: int, file: str, sign: int = 1) -> Scan:
    part = slice(low, high)
    raw = table(Energy=ENERGY[part][::sign], I0=I0[part][::sign], TEY=YIELD[part][::sign])
    return scan(replace(raw, file=file), profile())


@pytest.mark.parametrize("sign", [1, -1])
def test_regions_that_continue_one_another_become_one_scan(sign: int) -> None:
    joined = columns.join_regions([region(60, 120, "b", sign), region(0, 60, "a", sign)])
    np.testing.assert_array_equal(joined.energy_ev, ENERGY[::sign])
    np.testing.assert_array_equal(joined.channels["electron-yield"].raw, [YIELD[::sign]])
    assert joined.direction == ("up" if sign > 0 else "down")
    assert joined.file == ("a + b" if sign > 0 else "b + a")


def test_overlapping_points_are_left_out_aloud() -> None:
    joined = columns.join_regions([region(0, 70, "a"), region(60, 120, "b")])
    np.testing.assert_array_equal(joined.energy_ev, ENERGY)
    assert joined.doubts[0] == "10 points of b overlap a and are left out."


def test_regions_that_do_not_belong_together_are_refused() -> None:
    with pytest.raises(NotAScan, match=r"a gap of 10\.5 eV after a"):
        columns.join_regions([region(0, 40, "a"), region(60, 120, "b")])
    with pytest.raises(NotAScan, match="all of b inside a"):
        columns.join_regions([region(0, 60, "a"), region(10, 50, "b")])
    with pytest.raises(UnclearColumns, match="others than in a"):
        columns.join_regions([region(0, 60, "a"), replace(region(60, 120, "b"), place=Place("pot", "1"))])
    with pytest.raises(UnclearColumns, match="at least one region"):
        columns.join_regions([])
