"""The files read like any other beamline's, by the ordinary path."""

import numpy as np
import pytest

from edgeshift.actions.follow import points_said
from edgeshift.formats import text
from edgeshift.practice.file_layout import file_name
from edgeshift.reduction.steps.columns import place_from, scan_from_table


def test_a_name_counts_and_names_the_edge():
    assert file_name(17, "Al K") == "0017_AlK.dat"


@pytest.fixture(scope="module")
def scans(riverbank, made):
    profile = riverbank.experiment.beamline
    tables = [text.read(file.name, file.data)[0] for file in made.files]
    return [scan_from_table(t, profile, t.file, "", place_from(t, profile)) for t in tables]


def test_the_typed_profile_reads_every_file_without_a_doubt(scans):
    assert {scan.doubts for scan in scans} == {()}
    assert {scan.signal for scan in scans} == {"electron-yield"}
    assert {scan.edge for scan in scans} == {"Al K", "Fe L", "K L", "Ti L", "Si K"}


def test_the_header_says_where_and_when(riverbank, scans):
    known = {specimen.name for specimen in riverbank.experiment.specimens}
    standards = {s.name for s in riverbank.experiment.specimens if s.unit is None}
    assert {scan.place.specimen for scan in scans} == known - standards
    assert {scan.place.spot for scan in scans} == {"s1", "s2"}
    starts = [scan.started for scan in scans]
    assert starts == sorted(starts)
    assert all(scan.started.endswith("+01:00") and scan.started < scan.ended for scan in scans)


def test_the_header_announces_as_many_points_as_the_file_holds(riverbank, made):
    profile = riverbank.experiment.beamline
    for file in made.files:
        said = points_said(file.name, file.data, profile)
        assert said.planned == said.there == file.data.count(b"\n") - file.data.count(b"#")


def test_injections_lie_within_their_scan(made, scans):
    for scan in scans:
        assert len(scan.injections_s) == len(made.truth.scans[scan.file].injected)
        assert all(0 <= moment <= scan.clock_s[-1] for moment in scan.injections_s)
        assert (np.diff(scan.clock_s) > 0).all()
