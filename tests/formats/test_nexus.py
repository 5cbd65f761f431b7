"""NeXus NXxas, the classic and the contributed definitions, written and read."""

from __future__ import annotations

import io
import time

import h5py
import numpy as np
import pytest
from raw_files import ENERGY, I0, YIELD, nxxas, table

from edgeshift.errors import FileRefused, NotAScan, UnreadableFile
from edgeshift.formats import nexus
from edgeshift.records.table import RawTable

HEADER = {"element.symbol": "Al", "element.edge": "K", "sample.name": "river clay"}


def made(**columns: np.ndarray) -> RawTable:
    return RawTable("clay.h5", "nexus", table(**columns).columns, HEADER)


def test_every_entry_becomes_a_table_with_its_name() -> None:
    tables = nexus.read("clay.h5", nxxas())
    assert [one.entry for one in tables] == ["fired", "raw"]
    assert tables[0].header["definition"] == "NXxas_tey"
    np.testing.assert_array_equal(tables[0].column("iey").values, YIELD)
    assert tables[0].columns[0].unit == "eV"


@pytest.mark.parametrize(("measured", "definition"), [("iey", "NXxas_tey"), ("ifluor", "NXxas_tfy")])
def test_the_measured_yield_chooses_the_contributed_definition(measured: str, definition: str) -> None:
    columns = {"energy__eV": ENERGY, "intensity": YIELD / I0, "i0": I0, measured: YIELD}
    written = nexus.write([made(**columns)], "contributed")
    assert written.definitions == (definition,)
    assert written.missing == ()
    (again,) = nexus.read("clay.h5", written.data)
    assert {c.name for c in again.columns} == {"energy", "intensity", "i0", measured}
    assert (again.header["element.symbol"], again.header["edge.name"]) == ("Al", "K")


def test_the_classic_definition_holds_what_it_requires_and_lists_what_is_unknown() -> None:
    written = nexus.write([made(energy__eV=ENERGY, i0=I0, itrans=I0 - YIELD)], "classic")
    assert written.definitions == ("NXxas (classic)",)
    assert written.missing == (
        "scan.start_time", "facility.xray_source", "facility.name", "monitor.mode", "monitor.preset",
    )  # fmt: skip
    with h5py.File(io.BytesIO(written.data)) as root:
        entry = root["entry1"]
        for path in (
            "title", "start_time", "definition", "instrument/source/type", "instrument/source/name",
            "instrument/source/probe", "instrument/monochromator/energy", "instrument/incoming_beam/data",
            "instrument/absorbed_beam/data", "sample/name", "monitor/mode", "monitor/preset", "monitor/data",
        ):  # fmt: skip
            assert path in entry
    (again,) = nexus.read("clay.h5", written.data)
    np.testing.assert_array_equal(again.column("incoming_beam").values, I0)
    np.testing.assert_array_equal(again.column("absorbed_beam").values, I0 - YIELD)


@pytest.mark.parametrize("definition", ["classic", "contributed"])
def test_the_same_tables_give_the_same_bytes_at_another_time(definition: nexus.Definition) -> None:
    one = made(energy__eV=ENERGY, intensity=YIELD / I0, i0=I0, iey=YIELD)
    first = nexus.write([one], definition)
    time.sleep(1.1)
    assert nexus.write([one], definition) == first


@pytest.mark.parametrize(
    ("columns", "header", "needed"),
    [
        ({"energy__eV": ENERGY, "i0": I0}, HEADER, "needed a column intensity"),
        ({"energy__eV": ENERGY, "intensity": I0}, {}, "needed the name of the element"),
    ],
)
def test_required_parts_are_not_invented(columns: dict, header: dict, needed: str) -> None:
    with pytest.raises(FileRefused, match=needed):
        nexus.write([RawTable("clay.h5", "nexus", table(**columns).columns, header)], "contributed")


def test_element_and_edge_are_found_under_the_names_of_either_layout() -> None:
    header = {"element.symbol": "Fe", "edge.name": "K"}
    one = RawTable("clay.h5", "nexus", table(energy__eV=ENERGY, intensity=I0).columns, header)
    (back,) = nexus.read("clay.h5", nexus.write([one], "contributed").data)
    assert (back.header["element.symbol"], back.header["edge.name"]) == ("Fe", "K")


def test_an_unknown_definition_is_refused() -> None:
    with pytest.raises(FileRefused, match="needed the definition classic or contributed, found 'newest'"):
        nexus.write([], "newest")


def test_a_half_written_file_is_refused() -> None:
    data = nxxas()
    for part in (data[:600], data[: len(data) // 2], nexus.SIGNATURE):
        with pytest.raises(UnreadableFile, match="a damaged or half-written one"):
            nexus.read("clay.h5", part)


def test_a_file_without_scans_is_no_scan() -> None:
    for fill, found in ((lambda root: None, "no NeXus entry"), (_empty_entry, "1 entries without it")):
        buffer = io.BytesIO()
        with h5py.File(buffer, "w") as root:
            fill(root)
        with pytest.raises(NotAScan, match=found):
            nexus.read("clay.h5", buffer.getvalue())


def _empty_entry(root: h5py.File) -> None:
    root.create_group("entry").attrs["NX_class"] = "NXentry"


def test_links_and_storage_outside_the_file_are_not_followed(tmp_path) -> None:
    secret = tmp_path / "secret.h5"
    with h5py.File(secret, "w") as other:
        other["energy"] = ENERGY
    raw = tmp_path / "numbers.bin"
    raw.write_bytes(ENERGY.tobytes())
    buffer = io.BytesIO()
    with h5py.File(buffer, "w") as root:
        _empty_entry(root)
        root["entry/energy"] = h5py.ExternalLink(str(secret), "/energy")
        root["entry"].create_dataset("photon_energy", (120,), "f8", external=[(str(raw), 0, 960)])
    with pytest.raises(NotAScan, match="1 entries without it"):
        nexus.read("clay.h5", buffer.getvalue())


def test_a_field_of_another_length_is_left_out_aloud() -> None:
    buffer = io.BytesIO()
    with h5py.File(buffer, "w") as root:
        _empty_entry(root)
        root["entry/energy"], root["entry/dark"] = ENERGY, ENERGY[:50]
    (one,) = nexus.read("clay.h5", buffer.getvalue())
    assert one.complaints == ("The field dark has 50 values, not 120, so it is left out.",)
