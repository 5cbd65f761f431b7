"""A font with only the letters a picture needs, so that a picture alone keeps its looks anywhere.

Glyphs keep their numbers; the outlines of all others are left out, and so are tables that only matter
to layout (kerning too: our own widths know none) or variation. Table layouts: OpenType specification 1.9
(ISO/IEC 14496-22).
"""

from __future__ import annotations

import struct

_KEPT = ("OS/2", "cmap", "cvt ", "fpgm", "head", "hhea", "hmtx", "maxp", "name", "prep")
_ARGS_ARE_WORDS, _SCALE, _MORE, _TWO_SCALES, _MATRIX = 0x0001, 0x0008, 0x0020, 0x0040, 0x0080


def subset(font: bytes, characters: str) -> bytes:
    """The TrueType `font` with outlines for `characters` alone; others print as blanks of their width."""
    tables = read_tables(font)
    outlines = _outlines(tables)
    numbers = glyph_numbers(tables["cmap"])
    wanted = {0} | {numbers[ord(c)] for c in characters if ord(c) in numbers}
    for glyph in sorted(wanted):
        wanted |= _parts(outlines, glyph)
    glyf, loca = b"", [0]
    for glyph, outline in enumerate(outlines):
        glyf += _padded(outline) if glyph in wanted else b""
        loca.append(len(glyf))
    kept = {tag: tables[tag] for tag in _KEPT if tag in tables}
    head = kept["head"]
    kept["head"] = head[:8] + bytes(4) + head[12:50] + struct.pack(">h", 1) + head[52:]
    kept["glyf"], kept["loca"] = glyf, struct.pack(f">{len(loca)}I", *loca)
    kept["post"] = struct.pack(">I", 0x00030000) + tables["post"][4:32]
    return _whole(kept)


def read_tables(font: bytes) -> dict[str, bytes]:
    """Every table of the font by its tag."""
    count = struct.unpack_from(">H", font, 4)[0]
    entries = (struct.unpack_from(">4sIII", font, 12 + 16 * place) for place in range(count))
    return {tag.decode("latin-1"): font[start : start + size] for tag, _, start, size in entries}


def glyph_numbers(cmap: bytes) -> dict[int, int]:
    """Code point to glyph, from the font's format 4 map (the plane of everyday letters)."""
    records = (
        struct.unpack_from(">HHI", cmap, 4 + 8 * n) for n in range(struct.unpack_from(">H", cmap, 2)[0])
    )
    start = next(at for _, _, at in records if struct.unpack_from(">H", cmap, at)[0] == 4)
    count = struct.unpack_from(">H", cmap, start + 6)[0] // 2
    columns = [struct.unpack_from(f">{count}H", cmap, start + 14 + skip) for skip in (
        0, 2 * count + 2, 4 * count + 2, 6 * count + 2)]  # fmt: skip
    found = {}
    for place, (last, first, delta, jump) in enumerate(zip(*columns, strict=True)):
        row = start + 16 + 6 * count + 2 * place + jump
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = struct.unpack_from(">H", cmap, row + 2 * (code - first))[0] if jump else code
            found[code] = (glyph + delta) % 65536 if glyph else 0
    return {code: glyph for code, glyph in found.items() if glyph}


def _outlines(tables: dict[str, bytes]) -> list[bytes]:
    """The outline of every glyph, by number."""
    count = struct.unpack_from(">H", tables["maxp"], 4)[0] + 1
    long_form = struct.unpack_from(">h", tables["head"], 50)[0]
    at = struct.unpack_from(f">{count}{'I' if long_form else 'H'}", tables["loca"])
    step = 1 if long_form else 2
    return [
        tables["glyf"][step * start : step * stop] for start, stop in zip(at, at[1:], strict=False)
    ]  # fmt: skip


def _parts(outlines: list[bytes], glyph: int) -> set[int]:
    """The glyphs that a composite one is made of, all the way down."""
    outline = outlines[glyph]
    if not outline or struct.unpack_from(">h", outline)[0] >= 0:
        return set()
    found, at, flags = set(), 10, _MORE
    while flags & _MORE:
        flags, part = struct.unpack_from(">HH", outline, at)
        found |= {part} | _parts(outlines, part)
        at += 8 if flags & _ARGS_ARE_WORDS else 6
        at += 2 if flags & _SCALE else 4 if flags & _TWO_SCALES else 8 if flags & _MATRIX else 0
    return found


def _padded(table: bytes) -> bytes:
    return table + bytes(-len(table) % 4)


def _sum(table: bytes) -> int:
    """The checksum of a table: its big-endian words added up."""
    whole = _padded(table)
    return sum(struct.unpack(f">{len(whole) // 4}I", whole)) % 2**32


def _whole(tables: dict[str, bytes]) -> bytes:
    """A font file: directory, tables in the order of their tags, checksums."""
    count = len(tables)
    power = 2 ** (count.bit_length() - 1)
    start, directory, body = 12 + 16 * count, b"", b""
    for tag, table in sorted(tables.items()):
        directory += struct.pack(">4sIII", tag.encode("latin-1"), _sum(table), start + len(body), len(table))
        body += _padded(table)
    header = struct.pack(
        ">IHHHH", 0x00010000, count, 16 * power, power.bit_length() - 1, 16 * (count - power)
    )  # fmt: skip
    font = header + directory + body
    place = font.index(b"head") + 8
    at = struct.unpack_from(">I", font, place)[0] + 8
    return font[:at] + struct.pack(">I", (0xB1B0AFBA - _sum(font)) % 2**32) + font[at + 4 :]
