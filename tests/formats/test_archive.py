"""An archive is determined by its files, and damage to one is found and named."""

import io
import random
import zipfile

import pytest

from edgeshift.errors import EnvelopeRefused
from edgeshift.formats import archive
from edgeshift.formats.archive import MANIFEST, manifest, opened, sealed

DRAW = random.Random(20)
FILES = {f"raw/tëst {n}.dat": DRAW.randbytes(DRAW.randint(0, 900)) for n in range(12)}
FILES |= {"README.txt": b"read me\n", "answers/real.json": b"[]\n"}
DATA = sealed(FILES)


def spans(data: bytes = DATA) -> dict[str, range]:
    """Where the bytes of each file lie."""
    return {
        one.filename: range(
            start := one.header_offset + 30 + len(one.filename.encode()), start + one.file_size
        )
        for one in zipfile.ZipFile(io.BytesIO(data)).infolist()
    }


def with_byte(place: int, data: bytes = DATA) -> bytes:
    """The same with one byte that is another."""
    return data[:place] + bytes([data[place] ^ DRAW.randint(1, 255)]) + data[place + 1 :]


def repacked(how: int, files=FILES) -> bytes:
    """The same files as another program packs them."""
    page = io.BytesIO()
    with zipfile.ZipFile(page, "w", how) as other:
        for name, data in {MANIFEST: manifest(files), **files}.items():
            other.writestr(name, data)
    return page.getvalue()


def test_the_same_files_give_the_same_bytes_in_whatever_order():
    assert sealed(dict(reversed(FILES.items()))) == DATA


def test_any_tool_opens_it_and_finds_every_file_uncompressed():
    plain = zipfile.ZipFile(io.BytesIO(DATA))
    assert plain.testzip() is None
    assert {one.filename: plain.read(one) for one in plain.infolist()} == {MANIFEST: manifest(FILES), **FILES}
    assert {one.compress_type for one in plain.infolist()} == {zipfile.ZIP_STORED}
    assert plain.infolist()[0].filename == MANIFEST


def test_an_archive_as_it_was_packed_is_untouched():
    found = opened(DATA)
    assert found.untouched
    assert found.files == FILES


def test_every_byte_of_every_file_is_found_and_the_file_is_named():
    for name, span in spans().items():
        for place in list(span)[:: max(1, len(span) // 10)]:
            found = opened(with_byte(place))
            assert (found.changed, found.missing, found.strange) == ((name,), (), ()), place
            assert found.whole, "nothing else was touched"


def test_every_byte_between_the_files_is_found_and_blamed_on_none():
    inside = {place for span in spans().values() for place in span}
    for place in range(len(DATA)):
        if place in inside:
            continue
        try:
            found = opened(with_byte(place))
        except EnvelopeRefused as refusal:
            assert "damaged" in str(refusal)
            continue
        assert not found.whole, place
        assert (found.changed, found.missing, found.strange) == ((), (), ()), place
        assert found.files == FILES


@pytest.mark.parametrize("added", [b"\0", b"a comment"])
def test_bytes_behind_the_archive_are_noticed(added):
    assert not opened(DATA + added).whole


def test_half_a_download_says_which_files_are_gone():
    span = spans()["raw/tëst 5.dat"]
    found = opened(DATA[: span.start + 1])
    assert not found.whole
    assert "raw/tëst 5.dat" in found.changed and "raw/tëst 6.dat" in found.missing
    assert found.files["README.txt"] == FILES["README.txt"]


@pytest.mark.parametrize("how", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
def test_files_that_somebody_packed_anew_are_read_and_the_archive_is_said_to_be_another(how):
    found = opened(repacked(how))
    assert not found.whole
    assert (found.files, found.changed, found.missing, found.strange) == (FILES, (), (), ())


def test_a_file_that_nobody_packed_and_one_that_was_taken_out_are_named():
    other = {**FILES, "raw/new.dat": b"1"}
    other.pop("README.txt")
    page = io.BytesIO()
    with zipfile.ZipFile(page, "w") as plain:
        for name, data in {MANIFEST: manifest(FILES), **other}.items():
            plain.writestr(name, data)
    found = opened(page.getvalue())
    assert (found.missing, found.strange) == (("README.txt",), ("raw/new.dat",))


BAD_NAMES = ["../out", "/etc/x", "a/../../b", "a\\b", "C:/x", "", "a//b", "a\nb", "x" * 500]


@pytest.mark.parametrize("name", BAD_NAMES)
def test_a_name_that_leads_out_is_never_packed(name):
    with pytest.raises(EnvelopeRefused, match="needed names that stay inside it"):
        sealed({name: b""})


@pytest.mark.parametrize("name", BAD_NAMES[:4])
def test_a_name_that_leads_out_is_never_opened(name):
    with pytest.raises(EnvelopeRefused, match="names that stay inside it, found .* Do not unpack it"):
        opened(repacked(zipfile.ZIP_STORED, {**FILES, name: b"x"}), "clay.zip")


def test_files_that_would_unpack_to_more_than_an_envelope_holds_are_not_unpacked(monkeypatch):
    bomb = repacked(zipfile.ZIP_DEFLATED, {"raw/big": bytes(10**6)})
    assert len(bomb) < 5000
    monkeypatch.setattr(archive, "MOST_BYTES", 10**5)
    with pytest.raises(EnvelopeRefused, match="needed an envelope"):
        opened(bomb)


def test_more_than_a_zip_can_hold_is_refused(monkeypatch):
    monkeypatch.setattr(archive, "MOST_BYTES", 100)
    with pytest.raises(EnvelopeRefused, match="needed at most .* Divide the shift into two"):
        sealed({"raw/big": bytes(101)})


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "no zip archive"),
        (b"not a zip", "no zip archive"),
        (repacked(zipfile.ZIP_STORED)[:10], "archive damaged beyond reading"),
    ],
)
def test_what_is_no_envelope_is_refused(data, found):
    with pytest.raises(EnvelopeRefused, match=f"clay.zip: needed an envelope, found {found}"):
        opened(data, "clay.zip")


def test_another_zip_is_no_envelope():
    page = io.BytesIO()
    with zipfile.ZipFile(page, "w") as plain:
        plain.writestr("holiday.txt", "sun")
    with pytest.raises(EnvelopeRefused, match="found an archive without a list of hashes"):
        opened(page.getvalue())
