"""An envelope as one zip archive that its files alone determine, and what damage has done to one.

Nothing in it is compressed, so that a scratched byte hurts one file and any tool can read the rest; there is
no clock and no machine in it either. The same files give the same archive, so every byte of one can be
checked: those of files against their list of hashes, all others by writing the archive once more.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from edgeshift.errors import EnvelopeRefused
from edgeshift.records.identity import sha256_of

MANIFEST = "manifest-sha256.txt"
"""One line a file, hash and name, as common tools for SHA-256 read it. It stands first in the archive."""
MOST_BYTES = 2**31
"""A larger envelope needs another kind of zip, which older tools cannot open."""
MOST_FILES = 60_000
LONGEST_NAME = 400

LOCAL, CENTRAL, END = (struct.Struct(f"<{each}") for each in ("4s5H3L2H", "4s6H3L5H2L", "4s4H2LH"))
_LOCAL_MARK, _CENTRAL_MARK, _END_MARK = b"PK\3\4", b"PK\1\2", b"PK\5\6"
_NEEDS, _UTF8, _STORED = 20, 0x800, 0
_NO_TIME, _FIRST_DAY = 0, 0x21
"""Midnight of 1980-01-01, the first moment that a zip archive can tell: it stands for none."""
_UNIX, _PLAIN_FILE = 3 << 8, 0o100644 << 16
_DAMAGE = (
    zipfile.BadZipFile,
    OSError,
    RuntimeError,
    ValueError,
    EOFError,
    struct.error,
    zlib.error,
    NotImplementedError,
)


@dataclass(frozen=True)
class Opened:
    """What an archive holds. `files` are those that can be read, by name, without the list of hashes.

    `changed` are files with other bytes than were packed, `missing` those that are listed and not there,
    `strange` those that are there and not listed. `whole` says that no byte outside the files changed.
    """

    files: Mapping[str, bytes]
    changed: tuple[str, ...]
    missing: tuple[str, ...]
    strange: tuple[str, ...]
    whole: bool

    @property
    def untouched(self) -> bool:
        """Whether every byte is as it was packed."""
        return self.whole and not (self.changed or self.missing or self.strange)


def sealed(files: Mapping[str, bytes]) -> bytes:
    """The files with their list of hashes as one archive; the same files give the same bytes.

    Raises EnvelopeRefused for a name that leads out of it, and for more than an archive can hold.
    """
    names = sorted(files)
    _check_names(names)
    if len(files) > MOST_FILES or sum(map(len, files.values())) > MOST_BYTES:
        held = f"{sum(map(len, files.values())) / 1e9:.1f} GB in {len(files)} files"
        act = "Divide the shift into two experiments."
        raise EnvelopeRefused("the envelope", f"at most {MOST_BYTES / 1e9:.1f} GB", held, act)
    return _written({MANIFEST: manifest(files), **{name: files[name] for name in names}}, {})


def manifest(files: Mapping[str, bytes]) -> bytes:
    """The list of hashes: `<sha256>  <name>`, sorted by name."""
    return "".join(f"{sha256_of(files[name])}  {name}\n" for name in sorted(files)).encode()


def opened(data: bytes, name: str = "the envelope") -> Opened:
    """What is in an archive, file by file checked against its list.

    Each file is looked for twice, by the directory at the end and from header to header, so that damage
    beside a file does not lose it. Raises EnvelopeRefused where this is no envelope, or nothing of it can
    be read, or a name in it leads out of it.
    """
    if len(data) > 2 * MOST_BYTES:
        raise _no_envelope(name, f"{len(data) / 1e9:.1f} GB")
    ways = [way for way in (_by_directory(data), _by_chain(data)) if way]
    if not any(MANIFEST in way for way in ways):
        raise _no_envelope(name, _what_else(data, ways))
    found = {each: [way[each] for way in ways if each in way] for way in ways for each in way}
    listed = next((listed for one in found[MANIFEST] if one.fits for listed in [_listed(one.data)]), None)
    judged = _by_list(found, listed) if listed is not None else _by_check_sums(found)
    files, changed, missing = judged
    strange = () if listed is None else _strangers(ways, listed)
    _check_names((*(listed or ()), *strange), name)  # a name that only damage made is written nowhere
    whole = ways[0] is not None and _written_again(ways[0], changed) == data
    return Opened(files, changed, missing, strange, whole)


class _Found(NamedTuple):
    """Bytes that a header said belong to a file, and the check sum that it told of them."""

    data: bytes
    told: int

    @property
    def fits(self) -> bool:
        return zlib.crc32(self.data) == self.told


def _by_list(
    found: Mapping[str, list[_Found]], listed: Mapping[str, str]
) -> tuple[dict[str, bytes], tuple[str, ...], tuple[str, ...]]:
    files, changed, missing = {}, [], []
    for name, digest in listed.items():
        candidates = [one.data for one in found.get(name, ())]
        whole = next((each for each in candidates if sha256_of(each) == digest), None)
        if whole is None:
            (changed if candidates else missing).append(name)
        if candidates:
            files[name] = candidates[0] if whole is None else whole
    return files, tuple(changed), tuple(missing)


def _by_check_sums(
    found: Mapping[str, list[_Found]],
) -> tuple[dict[str, bytes], tuple[str, ...], tuple[str, ...]]:
    """The list itself is damaged, so only the archive's own check sums tell of the others."""
    files, changed = {}, [MANIFEST]
    for name, candidates in found.items():
        if name != MANIFEST:
            sound = next((one.data for one in candidates if one.fits), None)
            files[name] = candidates[0].data if sound is None else sound
            changed += [name] if sound is None else []
    return files, tuple(changed), ()


def _strangers(ways: list[dict[str, _Found]], listed: Mapping[str, str]) -> tuple[str, ...]:
    """A name that only one of the two ways knows is a damaged name, not another file."""
    names = set.intersection(*(set(way) for way in ways)) - set(listed) - {MANIFEST}
    return tuple(sorted(names))


def _listed(data: bytes) -> dict[str, str] | None:
    lines = [line.partition("  ") for line in data.decode("utf-8", errors="replace").splitlines()]
    sound = all(len(digest) == 64 and name for digest, _, name in lines)
    return {name: digest for digest, _, name in lines} if sound else None


def _by_directory(data: bytes) -> dict[str, _Found]:
    """As the directory at the end says; empty where there is none that can be read.

    Somebody may have unpacked the files and packed them anew, so compressed ones are read too.
    """
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except _DAMAGE:
        return {}
    listed = archive.infolist()
    if len(listed) > MOST_FILES + 1 or sum(one.file_size for one in listed) > MOST_BYTES:
        return {}
    made = {}
    for one in listed:
        if not one.filename or one.is_dir():
            continue
        begins = one.header_offset + LOCAL.size + len(one.filename.encode("utf-8"))
        if one.compress_type == zipfile.ZIP_STORED and not _extra(data, one.header_offset):
            made[one.filename] = _Found(data[begins : begins + one.file_size], one.CRC)
            continue
        try:
            made[one.filename] = _Found(archive.read(one), one.CRC)
        except _DAMAGE:
            made[one.filename] = _Found(data[begins : begins + one.compress_size], one.CRC)
    return made


def _extra(data: bytes, at: int) -> bool:
    """Whether a header that can be read has more behind its name, as those of other packers do."""
    head = data[at : at + LOCAL.size]
    if len(head) < LOCAL.size or head[:4] != _LOCAL_MARK:
        return False
    *_, extra = LOCAL.unpack(head)
    return extra > 0 and data[at : at + 30][6:8] != _UTF8.to_bytes(2, "little")


def _by_chain(data: bytes) -> dict[str, _Found]:
    """From header to header, as far as they lead."""
    made, at = {}, 0
    while data[at : at + 4] == _LOCAL_MARK and at + LOCAL.size <= len(data) and len(made) <= MOST_FILES:
        _, _, _, method, _, _, told, packed, _, length, extra = LOCAL.unpack_from(data, at)
        begins = at + LOCAL.size + length + extra
        name = data[at + LOCAL.size : at + LOCAL.size + length].decode("utf-8", errors="replace")
        if method == _STORED and not name.endswith("/"):
            made[name] = _Found(data[begins : begins + packed], told)
        at = begins + packed
    return made


def _written_again(way: Mapping[str, _Found], changed: Iterable[str]) -> bytes:
    """The archive as it was packed but for the bytes of changed files: the check sums stay what they were."""
    told = {name: way[name].told for name in changed if name in way}
    return _written({name: one.data for name, one in way.items()}, told)


def _written(files: Mapping[str, bytes], told: Mapping[str, int]) -> bytes:
    body, directory, at = [], [], 0
    for name, data in files.items():
        spelled = name.encode("utf-8")
        crc = told.get(name, zlib.crc32(data))
        how = (_NEEDS, _UTF8, _STORED, _NO_TIME, _FIRST_DAY, crc, len(data), len(data), len(spelled), 0)
        body += [LOCAL.pack(_LOCAL_MARK, *how), spelled, data]
        directory += [CENTRAL.pack(_CENTRAL_MARK, _UNIX | _NEEDS, *how, 0, 0, 0, _PLAIN_FILE, at), spelled]
        at += LOCAL.size + len(spelled) + len(data)
    entries = b"".join(directory)
    end = END.pack(_END_MARK, 0, 0, len(files), len(files), len(entries), at, 0)
    return b"".join((*body, entries, end))


def _check_names(names: Iterable[str], archive: str = "the envelope") -> None:
    """Refuse what would be written outside the place where an envelope is opened."""
    for name in names:
        parts = name.split("/")
        odd = not name.isprintable() or "\\" in name or ":" in parts[0] or len(name) > LONGEST_NAME
        if odd or any(part in ("", ".", "..") for part in parts):
            needed, act = "names that stay inside it", "Do not unpack it; ask for another copy."
            raise EnvelopeRefused(archive, needed, repr(name[:80]), act)


def _what_else(data: bytes, ways: list[dict[str, _Found]]) -> str:
    if ways:
        return "an archive without a list of hashes"
    damaged = _LOCAL_MARK in data or _END_MARK in data
    return "archive damaged beyond reading" if damaged else "no zip archive"


def _no_envelope(name: str, found: str) -> EnvelopeRefused:
    act = "Name the zip that `edgeshift pack` wrote."
    return EnvelopeRefused(name, "an envelope", found, act)
