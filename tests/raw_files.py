"""Invented raw files, one of each format, and ways to damage them; all bytes are made here."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from edgeshift.errors import Refusal
from edgeshift.formats import nexus
from edgeshift.formats.proposal import propose
from edgeshift.formats.recognise import tables
from edgeshift.records.table import Column, RawTable
from edgeshift.reduction.steps import columns

ENERGY = np.round(np.linspace(1550.0, 1609.5, 120), 2)
I0 = np.round(40_000 + 300 * np.sin(ENERGY / 9.0))
YIELD = np.round(
    I0 * (0.05 + 0.1 / (1 + np.exp(-(ENERGY - 1566.0))) + 0.1 * np.exp(-(((ENERGY - 1568) / 1.5) ** 2)))
)


def table(**columns_by_name: np.ndarray) -> RawTable:
    """A raw table of the named columns; a name may carry its unit after two underscores."""
    made = []
    for name, values in columns_by_name.items():
        name, _, unit = name.partition("__")
        made.append(Column(name, np.asarray(values, dtype=float), unit or None))
    return RawTable("clay.dat", "text", tuple(made))


def rows(*values: np.ndarray, separator: str = "  ", end: str = "\n") -> str:
    """The columns as text, a row each, in the shortest digits that give the numbers back."""
    return "".join(
        separator.join(f"{number:.10g}" for number in row) + end for row in zip(*values, strict=True)
    )


def delimited() -> bytes:
    """A banner, a range table, double tabs and CRLF, with a dead yield and a corrected column."""
    dead_percent = np.round(5 + YIELD / 1000, 3)
    ready = np.round(YIELD / (1 - dead_percent / 100), 3)
    head = "# River clay, raw\r\n# Start : 09:30:00\r\n# Range\t\tFrom\tTo\r\n## 1\t\t1550\t1610\r\n"
    names = "# Energy\tI0\t\tFY\t\tDeadTime\t\tFY_c\t\tTEY\r\n"
    body = rows(ENERGY, I0, YIELD, dead_percent, ready, 0 * I0, separator="\t\t", end="\r\n")
    return (head + names + body).encode("latin-1")


def xdi() -> bytes:
    """A good XDI 1.0 file with an extension field and comments."""
    head = (
        "# XDI/1.0 CLUB/0.1\n# Column.1: energy eV\n# Column.2: i0 counts\n# Column.3: itrans counts\n"
        "# Element.symbol: Al\n# Element.edge: K\n# Sample.name: river clay\n# Club.kiln: pit\n"
        "# Scan.start_time: 2026-05-01T09:30:00\n# ///\n# dried on the beach\n#----\n# energy i0 itrans\n"
    )
    return (head + rows(ENERGY, I0, I0 - YIELD)).encode()


def emsa() -> bytes:
    """An EMSA/MAS file of type XY."""
    head = (
        "#FORMAT      : EMSA/MAS Spectral Data File\r\n#VERSION     : 1.0\r\n#TITLE       : clay\r\n"
        f"#NPOINTS     : {len(ENERGY)}\r\n#NCOLUMNS    : 1\r\n#XUNITS      : eV\r\n"
        "#YUNITS      : <undefined>\r\n#DATATYPE    : XY\r\n#XPERCHAN    : 0.5\r\n#OFFSET      : 1550.0\r\n"
        "#SIGNALTYPE  : ELS\r\n"
        "#SPECTRUM    : Spectral Data Starts Here\r\n"
    )
    return (head + rows(ENERGY, YIELD, separator=", ", end="\r\n") + "#ENDOFDATA   : \r\n").encode()


def nxxas() -> bytes:
    """A NeXus file of two entries, electron yield by the contributed definition."""
    one = table(energy__eV=ENERGY, intensity=YIELD / I0, i0=I0, iey=YIELD)
    header = {"element.symbol": "Al", "element.edge": "K", "sample.name": "river clay"}
    made = [RawTable("clay.h5", "nexus", one.columns, header, entry=name) for name in ("raw", "fired")]
    return nexus.write(made, "contributed").data


def angle() -> bytes:
    """No comment marks, an uncommented range table, and a monochromator angle instead of an energy."""
    degrees = np.round(np.degrees(np.arcsin(12398.419843320 / (2 * 4.2554 * ENERGY))), 5)
    banner = " River club   line 1\n Mono :  quartz   D=  4.25540 A\n"
    head = banner + " Block  From  To  Num\n 1  1550  1609  120\n\n"
    return (
        head + "  Angle(c)  Angle(o)  time/s  I0  TEY\n" + rows(degrees, degrees, 0 * I0 + 1, I0, YIELD)
    ).encode()


SEEDS = {
    "clay.dat": delimited(),
    "clay.xdi": xdi(),
    "clay.msa": emsa(),
    "clay.h5": nxxas(),
    "clay.001": angle(),
    "clay.csv": rows(ENERGY, YIELD / I0, separator=";").replace(".", ",").encode("utf-16"),
}
PIECES = (
    b"nan",
    b"inf",
    b"1e400",
    b"-1",
    b"\x00" * 8,
    b"\n\n",
    b"\r",
    b"1_0",
    b"#",
    b"=",
    b"{",
    b"\xff\xfe",
    b",",
    b"\t",
)


@st.composite
def damaged(draw: st.DrawFn, seeds: dict[str, bytes]) -> tuple[str, bytes]:
    """A file name and the bytes of one seed after one to eight damages."""
    name = draw(st.sampled_from(sorted(seeds)))
    data = bytearray(seeds[name])
    for _ in range(draw(st.integers(1, 8))):
        kind = draw(st.sampled_from(("byte", "drop", "double", "cut", "piece", "swap", "front")))
        at = draw(st.integers(0, max(len(data) - 1, 0)))
        to = min(len(data), at + draw(st.integers(1, 200)))
        piece = draw(st.sampled_from(PIECES))
        if kind == "byte":
            data[at : at + 1] = bytes([draw(st.integers(0, 255))])
        elif kind == "drop":
            del data[at:to]
        elif kind == "double":
            data[at:at] = data[at:to]
        elif kind == "cut":
            del data[at:]
        elif kind == "piece":
            data[at:to] = piece
        elif kind == "swap":
            data = data.replace(draw(st.sampled_from((b".", b" ", b"\n", b"\t", b"#", b":"))), piece)[
                :200_000
            ]
        else:
            data[0:0] = piece
    return name, bytes(data)


def taken(name: str, data: bytes) -> str:
    """What becomes of a file from bytes to scan: 'scan', or the kind of the refusal, which must be short."""
    try:
        for one in tables(name, data):
            profile = propose(one).profile
            columns.scan_from_table(one, profile, "key", "hash", columns.place_from(one, profile))
    except Refusal as refusal:
        assert len(str(refusal)) < 600, "a refusal is one or two short sentences"
        return type(refusal).__name__
    return "scan"
