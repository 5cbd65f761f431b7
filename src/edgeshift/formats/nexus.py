"""NeXus files that hold absorption scans (NXxas): the classic definition and the newer contributed ones.

The newer family (NXxas, NXxas_tey, NXxas_tfy) carries element, edge, energy and intensity at the top of
an entry; the classic NXxas keeps energy in the monochromator and counts in two beam detectors. Reading
takes both, every entry of a file. Links that lead out of the file are not followed.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np

from edgeshift.errors import FileRefused, NotAScan, UnreadableFile
from edgeshift.formats.header_facts import element, shell
from edgeshift.formats.number_rows import LARGEST
from edgeshift.records.table import Column, RawTable

NAME = "nexus"
SIGNATURE = b"\x89HDF\r\n\x1a\n"
SIGNATURE_PLACES = (0, 512, 1024, 2048)
ENTRY_CLASSES = ("NXentry", "NXsubentry")
GENERIC = ("data", "value", "values", "counts")
"""Names that say nothing: the group above names the column."""
MOST_POINTS = 1_000_000
MOST_OBJECTS = 20_000
MOST_DEPTH = 8
SHORT = 16
"""Lists up to this length are settings (a reflection, a position), not columns."""
DAMAGE = (
    OSError,
    RuntimeError,
    KeyError,
    ValueError,
    TypeError,
    OverflowError,
    SystemError,
    MemoryError,
    struct.error,
)
"""What h5py raises on damaged bytes; each becomes the same refusal."""

Definition = Literal["classic", "contributed"]
BEAMS = {"i0": ("incoming_beam",), "signal": ("itrans", "iey", "ifluor", "absorbed_beam")}
"""The classic definition's names for its two detectors, beside those that XDI gives."""


@dataclass(frozen=True)
class Written:
    """A finished file: its bytes, the definition of each entry, and required fields that were unknown."""

    data: bytes
    definitions: tuple[str, ...]
    missing: tuple[str, ...]


def claims(file: str, head: bytes) -> int:
    """100 for the signature of HDF5, at the start or behind a user block."""
    return 100 if any(head[k : k + 8] == SIGNATURE for k in SIGNATURE_PLACES) else 0


def read(file: str, data: bytes) -> tuple[RawTable, ...]:
    """One table for each entry that holds energies, with `entry` set to its name.

    Raises UnreadableFile for damaged or half-written files, NotAScan where no entry holds energies.
    """
    import h5py

    try:
        with h5py.File(io.BytesIO(data), "r") as root:
            tables = [_table(file, path, group) for path, group in _entries(root)]
    except DAMAGE as trouble:
        found = "a damaged or half-written one"
        raise UnreadableFile(
            file, "a whole HDF5 file", found, "Wait until it is closed, then copy it."
        ) from trouble
    found_tables = tuple(table for table in tables if table is not None)
    if not found_tables:
        found = f"{len(tables)} entries without it" if tables else "no NeXus entry"
        raise NotAScan(file, "an NXxas entry with energies", found, "Choose the file that holds the scan.")
    return found_tables


def write(tables: Sequence[RawTable], definition: Definition) -> Written:
    """Several scans as one NeXus file, an entry each; the same tables give the same bytes.

    Columns are found by name: energy and intensity, and where there are any intensity_errors, flags, i0,
    iey, ifluor (contributed), or energy, i0 and itrans, iey or ifluor (classic). Headers use the names of
    XDI. Nothing is invented: required fields without a value are written as 'not stated' and listed in
    `missing`. Raises FileRefused where a required column, the element or the edge is missing, or for a
    definition that is none of the two.
    """
    import h5py

    if definition not in get_args(Definition):
        needed = " or ".join(get_args(Definition))
        raise FileRefused("the NeXus file", f"the definition {needed}", repr(definition), "Choose one.")

    buffer = io.BytesIO()
    missing: list[str] = []
    written = []
    with h5py.File(buffer, "w", libver=("v108", "v110")) as root:
        root.attrs["NX_class"] = "NXroot"
        for number, table in enumerate(tables, start=1):
            entry = _group(root, table.entry or f"entry{number}", "NXentry")
            fill = _fill_contributed if definition == "contributed" else _fill_classic
            written.append(fill(entry, table, missing))
            root.attrs.setdefault("default", entry.name.lstrip("/"))
    return Written(buffer.getvalue(), tuple(written), tuple(dict.fromkeys(missing)))


def _children(group: Any) -> Iterator[tuple[str, Any]]:
    """Members of a group that lie in this file and can be opened."""
    import h5py

    for name in group:
        if isinstance(group.get(name, getlink=True), h5py.ExternalLink):
            continue
        child = group.get(name)
        if child is not None:
            yield name, child


def _entries(root: Any) -> list[tuple[str, Any]]:
    import h5py

    found = []
    for name, child in _children(root):
        if not isinstance(child, h5py.Group):
            continue
        if _text(child.attrs.get("NX_class", "")) in ENTRY_CLASSES:
            found.append((name, child))
            parts = ((inner, part) for inner, part in _children(child) if isinstance(part, h5py.Group))
            found += [
                (f"{name}/{n}", p) for n, p in parts if _text(p.attrs.get("NX_class", "")) == "NXsubentry"
            ]
    return found


def _fields(group: Any, path: str, depth: int) -> Iterator[tuple[str, Any]]:
    """Every dataset below a group with its dotted path, to a depth that no honest file exceeds."""
    import h5py

    for name, child in _children(group):
        here = f"{path}.{name}" if path else name
        if isinstance(child, h5py.Dataset):
            yield here, child
        elif depth < MOST_DEPTH and _text(child.attrs.get("NX_class", "")) != "NXsubentry":
            yield from _fields(child, here, depth + 1)


def _table(file: str, entry: str, group: Any) -> RawTable | None:
    """The columns as long as the energies, and the header; None for an entry without energies."""
    import h5py

    header: dict[str, str] = {}
    arrays: dict[str, Any] = {}
    seen: set[int] = set()
    for count, (path, field) in enumerate(_fields(group, "", 0)):
        if count >= MOST_OBJECTS:
            break
        if field.external or field.is_virtual or field.size is None or field.size > MOST_POINTS:
            continue
        address = h5py.h5o.get_info(field.id).addr
        if field.size == 1:
            header[path.lower()] = _text(field[()])
        elif field.ndim == 1 and field.dtype.kind in "iuf" and address not in seen:
            seen.add(address)
            arrays[path] = field
    energy = _energy_path(arrays)
    if energy is None:
        return None
    columns, complaints = _columns(arrays, energy)
    return RawTable(file, NAME, columns, header, (), entry, complaints)


def _energy_path(arrays: dict[str, Any]) -> str | None:
    named = [path for path in arrays if path.lower().rpartition(".")[2] in ("energy", "photon_energy")]
    return min(named, key=lambda path: (path.count("."), path)) if named else None


def _columns(arrays: dict[str, Any], energy: str) -> tuple[tuple[Column, ...], tuple[str, ...]]:
    """Energies first; what is shorter or longer is left out."""
    columns: list[Column] = []
    complaints = []
    length = arrays[energy].size
    for path in (energy, *(path for path in arrays if path != energy)):
        values = np.array(arrays[path][()], dtype=float)
        if len(values) != length:
            if len(values) > SHORT:
                complaints.append(
                    f"The field {path} has {len(values)} values, not {length}, so it is left out."
                )
            continue
        *groups, last = path.split(".")
        name = groups[-1] if groups and last in GENERIC else last
        twins = any(column.name == name for column in columns)
        values[~(np.abs(values) < LARGEST)] = np.nan
        values.setflags(write=False)
        unit = _text(arrays[path].attrs.get("units", "")) or None
        columns.append(Column(path if twins else name, values, unit))
    return tuple(columns), tuple(complaints)


def _text(value: Any) -> str:
    """A scalar of HDF5 as text; bytes are read as UTF-8, damage made visible."""
    if isinstance(value, np.ndarray):
        value = value.reshape(-1)[0] if value.size else ""
    if isinstance(value, bytes):
        return value.decode("utf-8", errors="replace").strip()
    return str(value).strip()


def _group(parent: Any, name: str, nx_class: str) -> Any:
    group = parent.require_group(name)
    group.attrs["NX_class"] = nx_class
    return group


def _field(group: Any, name: str, value: Any, unit: str | None = None) -> Any:
    field = group.create_dataset(name, data=value, track_times=False)
    if unit:
        field.attrs["units"] = unit
    return field


def _stated(table: RawTable, key: str, missing: list[str]) -> str:
    value = table.header.get(key, "")
    if not value:
        missing.append(key)
    return value or "not stated"


def _needed_column(table: RawTable, *names: str) -> Column:
    for name in names:
        column = table.column(name)
        if column is not None:
            return column
    raise FileRefused(table.file, f"a column {' or '.join(names)}", "none", "Name the columns as NXxas does.")


def _needed(table: RawTable, what: str, said: str | None) -> str:
    """The element or the edge, under whichever of its names the header has it."""
    if not said:
        raise FileRefused(
            table.file, f"the name of the {what}", "none", "Name the element and the edge first."
        )
    return said


def _fill_contributed(entry: Any, table: RawTable, missing: list[str]) -> str:
    """The newer definition; the yield that was measured chooses between its three names."""
    energy, intensity = _needed_column(table, "energy"), _needed_column(table, "intensity")
    measured = "iey" if table.column("iey") else "ifluor" if table.column("ifluor") else None
    name = {"iey": "NXxas_tey", "ifluor": "NXxas_tfy", None: "NXxas"}[measured]
    _field(entry, "definition", name)
    _field(_group(entry, "element", "NXelement"), "symbol", _needed(table, "element", element(table)))
    _field(_group(entry, "edge", "NXedge"), "name", _needed(table, "edge", shell(table)))
    _field(entry, "is_experimental", True)
    _field(entry, "energy", energy.values, energy.unit)
    _field(entry, "intensity", intensity.values, intensity.unit)
    for column in table.columns:
        if column.name.lower() in ("i0", "iey", "ifluor", f"{intensity.name}_errors", "flags"):
            _field(entry, column.name.lower(), column.values, column.unit)
    _field(_group(entry, "sample", "NXsample"), "name", _stated(table, "sample.name", missing))
    _plot(entry, "energy", "intensity")
    return name


def _fill_classic(entry: Any, table: RawTable, missing: list[str]) -> str:
    """The older definition: raw counts in two beam detectors, no element and no edge."""
    energy, i0 = _needed_column(table, "energy"), _needed_column(table, "i0", *BEAMS["i0"])
    signal = _needed_column(table, *BEAMS["signal"])
    _field(entry, "definition", "NXxas")
    _field(entry, "title", table.header.get("sample.name") or table.file)
    _field(entry, "start_time", _stated(table, "scan.start_time", missing))
    instrument = _group(entry, "instrument", "NXinstrument")
    source = _group(instrument, "source", "NXsource")
    _field(source, "type", _stated(table, "facility.xray_source", missing))
    _field(source, "name", _stated(table, "facility.name", missing))
    _field(source, "probe", "x-ray")
    _field(_group(instrument, "monochromator", "NXmonochromator"), "energy", energy.values, energy.unit)
    _field(_group(instrument, "incoming_beam", "NXdetector"), "data", i0.values, i0.unit)
    _field(_group(instrument, "absorbed_beam", "NXdetector"), "data", signal.values, signal.unit)
    _field(_group(entry, "sample", "NXsample"), "name", _stated(table, "sample.name", missing))
    monitor = _group(entry, "monitor", "NXmonitor")
    _field(monitor, "mode", _stated(table, "monitor.mode", missing))
    _field(monitor, "preset", _stated(table, "monitor.preset", missing))
    monitor["data"] = entry["instrument/incoming_beam/data"]
    plot = _plot(entry, "energy", "absorbed_beam")
    plot["energy"] = entry["instrument/monochromator/energy"]
    plot["absorbed_beam"] = entry["instrument/absorbed_beam/data"]
    _field(plot, "mode", "Transmission" if signal.name.lower() == "itrans" else "Emission")
    return "NXxas (classic)"


def _plot(entry: Any, axis: str, signal: str) -> Any:
    plot = _group(entry, "plot", "NXdata")
    plot.attrs["axes"], plot.attrs["signal"] = axis, signal
    entry.attrs["default"] = "plot"
    for name in (axis, signal, f"{signal}_errors"):
        if name in entry:
            plot[name] = entry[name]
    return plot
