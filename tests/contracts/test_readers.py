"""Every reader is asked the same: it changes nothing, gives the same twice, and says no in a sentence."""

from __future__ import annotations

import ast
import hashlib
import inspect
import re

import numpy as np
import pytest
from raw_files import SEEDS

from edgeshift.errors import FileRefused, UnreadableFile
from edgeshift.formats.recognise import readers, tables
from edgeshift.records.table import Column, RawTable

GOOD = {"text": "clay.dat", "xdi": "clay.xdi", "emsa": "clay.msa", "nexus": "clay.h5"}
"""For each reader an invented file that is its own."""
READERS = pytest.mark.parametrize("reader", readers(), ids=lambda reader: reader.NAME)
BAD = {
    "nothing": b"",
    "one letter": b"x",
    "zeros": b"\x00" * 600,
    "noise": bytes(np.random.default_rng(5).integers(0, 256, 5000, dtype=np.uint8)),
    "prose": "Der Ton war noch nass, als wir kamen.\n".encode("utf-16"),
    "one number": b"1\n",
    "markup": b"<html><body>404</body></html>\n",
    "half of an HDF5 file": SEEDS["clay.h5"][: len(SEEDS["clay.h5"]) // 2],
    "an XDI header": SEEDS["clay.xdi"].split(b"# energy")[0],
    "an EMSA header": SEEDS["clay.msa"].split(b"1550")[0],
}
SENTENCES = re.compile(r"[.?!](?:\s|$)")


def own(reader) -> tuple[str, bytes]:
    name = GOOD[reader.NAME]
    return name, SEEDS[name]


def as_plain(found: tuple[RawTable, ...]) -> list:
    return [
        (t.file, t.format, t.entry, dict(t.header), t.remarks, t.complaints,
         [(c.name, c.unit, c.values.tobytes(), c.values.dtype.str) for c in t.columns])
        for t in found
    ]  # fmt: skip


def test_four_readers_are_found_by_the_door_that_others_use():
    assert [reader.NAME for reader in readers()] == sorted(GOOD)


@READERS
def test_the_bytes_stay_untouched(reader):
    name, data = own(reader)
    kept = hashlib.sha256(data).digest()
    for handed in (data, bytes(bytearray(data))):
        reader.read(name, handed)
        assert hashlib.sha256(handed).digest() == kept


@READERS
def test_the_same_bytes_give_the_same_tables(reader):
    name, data = own(reader)
    assert as_plain(reader.read(name, data)) == as_plain(reader.read(name, data))


@READERS
def test_the_name_is_for_messages_only(reader):
    name, data = own(reader)
    one, other = reader.read(name, data), reader.read("elsewhere/other.bin", data)
    assert [each[2:] for each in as_plain(one)] == [each[2:] for each in as_plain(other)]


@READERS
def test_a_reader_is_the_surest_of_its_own_file_and_claims_no_other(reader):
    for name, data in ((n, SEEDS[n]) for n in GOOD.values()):
        claims = {each.NAME: each.claims(name, data[:4096]) for each in readers()}
        assert all(isinstance(claim, int) and 0 <= claim <= 100 for claim in claims.values())
        if name == GOOD[reader.NAME]:
            assert max(claims, key=claims.get) == reader.NAME
            assert sorted(claims.values())[-1] > sorted(claims.values())[-2]


@READERS
def test_a_claim_never_fails_whatever_the_first_bytes(reader):
    rng = np.random.default_rng(1)
    heads = [b"", b"\x00", b"\xff\xfe", *(rng.bytes(int(n)) for n in rng.integers(1, 600, 50))]
    assert all(isinstance(reader.claims("x", head), int) for head in heads)


@READERS
def test_columns_are_read_only_floats_of_one_length(reader):
    for table in reader.read(*own(reader)):
        assert len({column.values.shape for column in table.columns}) == 1
        assert len({column.name for column in table.columns}) == len(table.columns) >= 2
        for column in table.columns:
            assert isinstance(column, Column)
            assert (column.values.dtype, column.values.ndim) == (np.dtype(float), 1)
            with pytest.raises(ValueError, match="read-only"):
                column.values[0] = 1.0


@READERS
def test_a_table_says_where_it_came_from(reader):
    name, data = own(reader)
    for table in reader.read(name, data):
        assert (table.file, table.format) == (name, reader.NAME)
        assert all(isinstance(k, str) and isinstance(v, str) for k, v in table.header.items())
        assert all(complaint.strip().endswith((".", "?")) for complaint in table.complaints)


@READERS
def test_several_entries_have_names_of_their_own(reader):
    entries = [table.entry for table in reader.read(*own(reader))]
    assert len(set(entries)) == len(entries)
    assert len(entries) == 1 or None not in entries


@READERS
@pytest.mark.parametrize("what", BAD)
def test_what_is_no_table_is_refused_in_a_sentence_that_names_the_file(reader, what):
    with pytest.raises(FileRefused, match=r"^club/river\.dat: needed .+, found .+\. .+\.$") as refused:
        reader.read("club/river.dat", BAD[what])
    said = str(refused.value)
    assert len(SENTENCES.findall(said.replace("river.dat", "river"))) <= 2, said
    assert len(said) < 400 and "\n" not in said and "Traceback" not in said


@pytest.mark.parametrize("what", BAD)
def test_the_one_door_refuses_alike(what):
    with pytest.raises(UnreadableFile if what == "nothing" else FileRefused, match=r"^river\.dat: needed "):
        tables("river.dat", BAD[what])


@READERS
def test_every_cut_of_a_good_file_is_a_table_or_a_refusal(reader):
    name, data = own(reader)
    outcomes = set()
    for cut in np.linspace(0, len(data) - 1, 60).astype(int):
        try:
            outcomes.add(type(reader.read(name, data[:cut])))
        except FileRefused as refused:
            outcomes.add(type(refused))
            assert str(refused).startswith(f"{name}: needed ")
    assert any(issubclass(outcome, FileRefused) for outcome in outcomes)


@READERS
def test_a_reader_opens_no_file(reader):
    """Bytes come in as an argument: no reader names a way to open one on the disk."""
    calls = {node.func.id for node in ast.walk(ast.parse(inspect.getsource(reader)))
             if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}  # fmt: skip
    assert "open" not in calls
