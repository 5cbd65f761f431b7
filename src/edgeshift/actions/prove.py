"""Prove an envelope: check every byte, compute everything once more from the raw ones, and compare."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice

from edgeshift import __version__
from edgeshift.actions.desk import Desk
from edgeshift.actions.pack import ABOUT, BOOK, FORMAT, RAW, README, TEXT, contents
from edgeshift.actions.publish import Document
from edgeshift.actions.session import Session
from edgeshift.errors import EnvelopeRefused, Refusal
from edgeshift.folder.envelope import laid_out
from edgeshift.folder.experiment_folder import HOLD_BYTES
from edgeshift.formats import archive, event_lines, ro_crate
from edgeshift.formats.same_digits import differences
from edgeshift.records.event import Event
from edgeshift.records.identity import sha256_of
from edgeshift.records.proof import LINKS, Difference, Link, Proof
from edgeshift.wording import envelope as words

MOST_TOLD = 20
"""Differences told of one file; more of them say nothing more."""
MADE: Mapping[str, tuple[str, ...]] = {
    "answers": ("answers/", "story.", "methods.txt"),
    "curves": ("spectra/", "scans/", "sets/"),
    "figures": ("figures/",),
    "documents": ("documents/",),
}
"""Which files each link of what was made holds, by how their names begin."""
NAMES_THE_VERSION = ("identity",)
"""Keys of an answer that another version fills otherwise, whatever it finds."""


def prove(
    data: bytes, name: str = "the envelope", *, desk: Desk, documents: Sequence[Document] | None = None
) -> Proof:
    """The chain from the raw bytes to every number, link by link.

    Raises EnvelopeRefused where this is no envelope, or one of a later layout, or nothing of it can be read.
    """
    opened = archive.opened(data, name)
    version = _version(opened.files, name)
    links = [_archive(opened), _files(opened)]
    events = _events(opened.files)
    links.append(_book(opened.files, events))
    if links[-1].state == "breaks":
        return _ended(name, version, links)
    again = _made_again(opened.files, events, name, desk, documents)
    if isinstance(again, Refusal):
        failed = Difference(BOOK, "computed once more", "answers", str(again))
        return _ended(name, version, [*links, Link("answers", "breaks", 0, (failed,))])
    links += [_made(link, opened.files, again, version) for link in MADE]
    links.append(_description(opened.files, again, version))
    return Proof(name, version, __version__, tuple(links))


def prove_or_refuse(proof: Proof) -> None:
    """Raise EnvelopeRefused where a link breaks, naming the first file that is not as it was packed."""
    link = proof.broken
    if link is not None:
        needed, found = words.broken(link)
        raise EnvelopeRefused(proof.envelope, needed, found, words.ASK_AGAIN)


def _ended(name: str, version: str, links: list[Link]) -> Proof:
    """Whatever rests on a broken link was not reached."""
    rest = [Link(code, "not-reached") for code in LINKS[len(links) :]]
    return Proof(name, version, __version__, (*links, *rest))


def _version(files: Mapping[str, bytes], name: str) -> str:
    """By which version it was packed; empty where the file that says so is damaged."""
    try:
        about = json.loads(files.get(ABOUT, b""))
        version, layout = str(about["version"]), int(about["envelope"])
    except (ValueError, KeyError, TypeError):
        return ""
    if layout > FORMAT:
        act = "Prove it with the newer edgeshift that packed it."
        raise EnvelopeRefused(name, f"an envelope of layout {FORMAT} or older", f"layout {layout}", act)
    return version


# --- links of bytes ----------------------------------------------------------------------------------------


def _archive(opened: archive.Opened) -> Link:
    if opened.whole:
        return Link("archive", "holds")
    return Link("archive", "breaks", 0, (Difference("", words.BETWEEN, words.AS_PACKED, words.DAMAGED),))


def _files(opened: archive.Opened) -> Link:
    found = [
        *(Difference(file, "bytes", words.AS_PACKED, words.CHANGED) for file in opened.changed),
        *(Difference(file, "file", words.AS_PACKED, words.GONE) for file in opened.missing),
        *(Difference(file, "file", words.NOT_PACKED, words.STRANGE) for file in opened.strange),
    ]
    return _link("files", len(opened.files) + 1, found)


def _events(files: Mapping[str, bytes]) -> tuple[Event, ...] | Refusal:
    lines = files.get(BOOK, b"").decode("utf-8", errors="replace").split("\n")
    try:
        return tuple(event_lines.load(line, f"{BOOK}:{n}") for n, line in enumerate(lines[:-1], 1))
    except Refusal as refusal:
        return refusal


def _book(files: Mapping[str, bytes], events: tuple[Event, ...] | Refusal) -> Link:
    """Every line is there, every raw file is the one that the book took, the text is the accepted one."""
    if isinstance(events, Refusal):
        return Link("book", "breaks", 0, (Difference(BOOK, "a line", events.needed, events.found),))
    found = _out_of_order(events)
    for event in events:
        if event.kind in HOLD_BYTES:
            file, digest = f"{RAW}{event.payload.get('file')}", str(event.payload.get("sha256"))
            held = files.get(file)
            if held is None or sha256_of(held) != digest:
                told = words.GONE if held is None else f"{words.HASH} {sha256_of(held)[:12]}"
                found.append(Difference(file, f"{BOOK}:{event.number}", f"{words.HASH} {digest[:12]}", told))
    texts = [event.payload.get("text") for event in events if event.kind == "experiment"]
    if not texts or files.get(TEXT, b"") != str(texts[-1]).encode():
        found.append(Difference(TEXT, "text", words.ACCEPTED, words.OTHER_TEXT))
    return _link("book", len(events), found)


def _out_of_order(events: Sequence[Event]) -> list[Difference]:
    place = next((n for n, event in enumerate(events, 1) if event.number != n), None)
    if place is None and events:
        return []
    return [Difference(BOOK, f"line {place or 1}", words.EVERY_LINE, words.LINE_GONE)]


# --- links of what was made --------------------------------------------------------------------------------


def _made_again(
    files: Mapping[str, bytes],
    events: Sequence[Event],
    name: str,
    desk: Desk,
    documents: Sequence[Document] | None,
) -> Mapping[str, bytes] | Refusal:
    """All that `pack` would put into an envelope of this raw data, text and book."""
    raw = {file.removeprefix(RAW): data for file, data in files.items() if file.startswith(RAW)}
    try:
        with laid_out(raw, files[TEXT].decode("utf-8"), events, name) as folder:
            return contents(Session(folder, desk), documents)
    except Refusal as refusal:
        return refusal


def _made(code: str, packed: Mapping[str, bytes], again: Mapping[str, bytes], version: str) -> Link:
    begin = MADE[code]
    names = sorted(name for name in {*packed, *again} if name.startswith(begin))
    but_for = () if version == __version__ else NAMES_THE_VERSION
    found = [one for name in names for one in _of_file(name, packed, again, but_for)]
    exact = all(packed.get(name) == again.get(name) for name in names)
    return _link(code, len(names), found, exact)


def _of_file(
    name: str, packed: Mapping[str, bytes], again: Mapping[str, bytes], but_for: Sequence[str]
) -> Iterable[Difference]:
    if name not in again:
        return [Difference(name, "file", words.AS_PACKED, words.NOT_MADE)]
    if name not in packed:
        return [Difference(name, "file", words.GONE, words.MADE_HERE)]
    return islice(differences(name, packed[name], again[name], but_for), MOST_TOLD)


def _description(packed: Mapping[str, bytes], again: Mapping[str, bytes], version: str) -> Link:
    """The description agrees with the files that it describes; the README is what this version writes."""
    found = list(islice(_misdescribed(packed), MOST_TOLD))
    if version == __version__:
        found += _of_file(README, packed, again, ())
    return _link("description", len(packed), found)


def _misdescribed(packed: Mapping[str, bytes]) -> Iterable[Difference]:
    try:
        graph = json.loads(packed.get(ro_crate.NAME, b""))["@graph"]
        told = {one["@id"]: one.get("sha256") for one in graph if one.get("@type") == "File"}
    except (ValueError, KeyError, TypeError, AttributeError):
        yield Difference(ro_crate.NAME, "the whole", words.A_DESCRIPTION, words.UNREADABLE)
        return
    beside = (ro_crate.NAME,)
    for name, data in packed.items():
        if name not in beside and told.get(ro_crate.file_id(name)) != sha256_of(data):
            yield Difference(name, ro_crate.NAME, words.ITS_HASH, words.ANOTHER_HASH)


def _link(code: str, checked: int, found: Sequence[Difference], exact: bool = True) -> Link:
    state = "breaks" if found else "holds" if exact else "to-the-digits"
    return Link(code, state, checked, tuple(found))
