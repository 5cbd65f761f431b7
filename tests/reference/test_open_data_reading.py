"""Every open measured file is read, or refused in one sentence; what its own notes say of it is found.

Source of the expectations: the notes beside the data, `README.md` of that folder, with the credit of each
set; the XDI relation ln(i0/itrans) = mutrans: XDI/1.0 specification, example file.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from edgeshift.errors import FileRefused, NotAScan, UnreadableFile
from edgeshift.formats import xdi
from edgeshift.formats.proposal import Proposal, propose
from edgeshift.formats.recognise import tables
from edgeshift.records.scan import Scan
from edgeshift.records.table import RawTable
from edgeshift.reduction.steps.columns import place_from, scan_from_table


def read(path: Path) -> tuple[RawTable, ...]:
    return tables(path.name, path.read_bytes())


def one(folder: Path, pattern: str) -> RawTable:
    (path,) = folder.glob(pattern)
    (table,) = read(path)
    return table


def scan_of(table: RawTable) -> Scan:
    profile = propose(table).profile
    return scan_from_table(table, profile, table.file, "hash", place_from(table, profile))


def columns_of(proposal: Proposal) -> dict[str, tuple[str, ...]]:
    return {channel.role: channel.columns for channel in proposal.profile.channels}


def test_every_file_is_read_or_refused_in_one_sentence(open_data: Path) -> None:
    refused = {}
    scans = 0
    for path in sorted(path for path in open_data.rglob("*") if path.is_file()):
        try:
            scans += sum(len(scan_of(table).energy_ev) >= 5 for table in read(path))
        except FileRefused as refusal:
            assert str(refusal).startswith(f"{path.name}: needed ")
            refused[path.name] = type(refusal)
    descriptions = {name for name in refused if name.endswith((".json", ".md"))}
    assert {refused.pop(name) for name in descriptions} == {UnreadableFile}
    no_scans = {name for name, kind in refused.items() if kind is NotAScan}
    assert {name for name in no_scans if "NOT-AN-EDGE" in name or "nonxafs" in name} == no_scans
    assert len(no_scans) == 4
    unclear = set(refused) - no_scans
    # An angle without a spacing, and a layout whose detectors are only numbered: both must be asked about.
    assert len(unclear) == 2
    assert "bad_12.xdi" in unclear
    assert scans == 148


def test_electron_yields_are_doubted_per_scan_and_not_per_layout(open_data: Path) -> None:
    alive = set()
    for folder in ("redox_glass_raw", "mineral_raw", "dose_series_raw"):
        for path in sorted((open_data / folder).glob("*.dat")):
            (table,) = read(path)
            proposal = propose(table)
            dead = any(doubt.startswith("The column TEY ") for doubt in proposal.doubts)
            assert dead != ("electron-yield" in columns_of(proposal))
            if not dead:
                alive.add(path.stem)
    assert (
        {"Pyrite_01", "Pyrite_02", "Gypse_01"}
        <= alive
        <= {"Pyrite_01", "Pyrite_02", "Gypse_01", "Gypse_02", "Gypse_03"}
    )


def test_fluorescence_is_corrected_once(open_data: Path) -> None:
    for path in sorted((open_data / "redox_glass_raw").glob("*.dat")):
        (table,) = read(path)
        proposal = propose(table)
        assert proposal.certain
        assert columns_of(proposal) == {"i0": ("Io",), "fluorescence": ("FY",)}
        assert "FY_c is FY corrected by DeadTime, so it is left out." in proposal.doubts
        assert "The column It holds only zeros, so it is not taken." in proposal.doubts
        channel = scan_of(table).channels["fluorescence"]
        undone = channel.raw[0] / (1 - channel.dead_fraction[0])
        np.testing.assert_allclose(undone, table.column("FY_c").values, rtol=1e-5)


def test_an_angle_becomes_the_energies_that_the_header_promises(open_data: Path) -> None:
    table = one(open_data / "beamline_text_layouts", "*9A_2022.dat")
    proposal = propose(table)
    assert (proposal.certain, proposal.profile.channels) == (False, ())
    said = {"role": "transmitted", "columns": ["3"]}
    profile = type(proposal.profile).model_validate({**proposal.profile.model_dump(), "channels": [said]})
    energy = scan_from_table(table, profile, "key", "hash", place_from(table, profile)).energy_ev
    # The file's own block table: 6606.20 to 8211.20 eV.
    assert energy[0] == pytest.approx(6606.20, abs=0.05)
    assert energy[-1] == pytest.approx(8205.2, abs=6.5)


def test_a_logarithm_beside_its_raw_columns_agrees_with_them(open_data: Path) -> None:
    carrying = 0
    for path in sorted(open_data.rglob("*")):
        if path.suffix not in (".xdi", ".dat"):
            continue
        (table,) = read(path)
        absorption = table.column("mutrans") or table.column("mu")
        front, behind = (
            table.column("i0") or table.column("I0_EH1"),
            table.column("itrans") or table.column("I1_EH1"),
        )
        if absorption and front and behind:
            carrying += 1
            np.testing.assert_allclose(np.log(front.values / behind.values), absorption.values, atol=1e-6)
    assert carrying == 20


def test_the_files_without_names_are_never_certain(open_data: Path) -> None:
    bare = propose(one(open_data / "beamline_text_layouts", "*no_header.dat"))
    assert not bare.certain
    assert columns_of(bare) == {"i0": ("column 2",), "transmitted": ("column 3",)}


def test_detector_elements_and_their_dead_time_are_asked_about(open_data: Path) -> None:
    proposal = propose(one(open_data / "beamline_text_layouts", "*ap1.001"))
    assert not proposal.certain
    assert columns_of(proposal)["fluorescence"] == tuple(f"V_Ka_mca{k}" for k in (1, 2, 3, 4))
    assert proposal.profile.channels[1].dead_time_unit == "factor"


def test_every_entry_of_a_file_is_listed_with_its_edge(open_data: Path) -> None:
    several = read(open_data / "nexus_examples" / "Fe_XDIFiles.h5")
    assert [table.entry for table in several] == ["fe2o3", "fe_metal", "feo"]
    assert {scan_of(table).edge for table in several} == {"Fe K"}
    assert len(read(open_data / "nexus_examples" / "generic.h5")) == 10


def test_electron_loss_energies_are_said_to_be_uncalibrated(open_data: Path) -> None:
    for path in sorted((open_data / "eels_msa").glob("*.msa")):
        (table,) = read(path)
        if table.format == "emsa":
            assert any("not calibrated" in said or "were tied" in said for said in table.complaints)
            assert "NOT-AN-EDGE" in path.name or not propose(table).certain
    axis = one(open_data / "eels_msa", "alumina*.msa").columns
    assert axis[0].values[np.argmax(axis[1].values)] == pytest.approx(1567.8, abs=0.11)


def test_the_bad_files_of_the_standard_are_read_with_a_complaint(open_data: Path) -> None:
    bad = sorted((open_data / "xdi_conformance" / "bad").glob("*.xdi"))
    assert len(bad) == 18
    complaints = {path.stem: read(path)[0].complaints for path in bad}
    assert all(complaints.values())
    # In these the departure is of a kind of its own, beside the unit that all of them leave out.
    own = {name for name, said in complaints.items() if len(said) > 1}
    assert set(complaints) - own == {"bad_00", "bad_26"}


def test_library_files_survive_writing_and_reading(open_data: Path) -> None:
    for path in sorted((open_data / "library_xdi").rglob("*.xdi")):
        (table,) = read(path)
        (again,) = xdi.read(path.name, xdi.write(table))
        assert dict(again.header) == dict(table.header)
        assert again.remarks == table.remarks
        for before, after in zip(table.columns, again.columns, strict=True):
            np.testing.assert_array_equal(before.values, after.values)
        assert propose(table).certain


def test_the_short_dose_series_is_read(open_data: Path) -> None:
    lengths = {
        len(scan_of(read(path)[0]).energy_ev) for path in (open_data / "dose_series_raw").glob("*.dat")
    }
    assert lengths == {7}
