"""Take raw files in: copied, hashed and recognised before anything is acknowledged."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from edgeshift.actions.columns_asked import Mapped, mapped
from edgeshift.actions.desk import Desk
from edgeshift.errors import Refusal, UnclearColumns, UnreadableFile, WhichEntry
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.event import Event
from edgeshift.records.identity import sha256_of
from edgeshift.records.shift_state import scan_key
from edgeshift.records.table import RawTable

Outcome = Literal["taken", "duplicate", "asked", "refused", "fault"]
Bytes = bytes | Callable[[], bytes]
EVERY_ENTRY = "all"


@dataclass(frozen=True)
class Taken:
    """What became of one file. `scans` are the keys it has in the experiment, old or new.

    `asked` means that nobody said which column or entry is meant, and the sentence says what to type;
    `refused` that it cannot be taken as it is; `fault` that we stumbled. Only `taken` and `duplicate` are
    in the experiment, and they are on the disk before this record exists.
    """

    file: str
    outcome: Outcome
    sentence: str
    scans: tuple[str, ...] = ()
    sha256: str = ""
    doubts: tuple[str, ...] = ()


def take(
    folder: ExperimentFolder,
    files: Iterable[tuple[str, Bytes]],
    desk: Desk,
    profile: BeamlineProfile | None = None,
    answers: Mapping[str, str] | None = None,
    tell: Callable[[Taken], None] = lambda taken: None,
) -> tuple[Taken, ...]:
    """Take the files one by one; a bad one never stops the next.

    `files` are (name, bytes), or a function that reads the bytes. Columns are read by `profile`, else by
    `answers` (see `columns_asked.mapped`; `entry` chooses one of several, or `all`), else by the
    experiment's own beamline, else by the proposal where it is certain. `tell` hears of each file once it
    is on the disk.
    """
    from edgeshift.formats.experiment_text import load

    experiment = load(folder.experiment_text(), "experiment.yaml")
    taker = _Taker(folder, desk, experiment, profile, dict(answers or {}))
    results = []
    for name, data in files:
        results.append(taker.one(name, data))
        tell(results[-1])
    return tuple(results)


@dataclass
class _Tally:
    """What the book already holds, so that nothing counts twice. Grows with the book."""

    last: int = 0
    scans: dict[tuple[str, str | None], str] = field(default_factory=dict)
    stored: dict[str, str] = field(default_factory=dict)
    names: set[tuple[str, str]] = field(default_factory=set)
    named: dict[str, dict[str, str]] = field(default_factory=dict)

    def see(self, events: Iterable[Event]) -> None:
        """Note the arrivals and copies among newer lines of the book."""
        for event in events:
            self.last = event.number
            if event.kind not in ("arrival", "duplicate"):
                continue
            payload = event.payload
            self.names.add((payload["sha256"], payload.get("given") or payload["file"]))
            if event.kind == "arrival":
                self.scans[payload["sha256"], payload["entry"]] = payload["scan"]
                self.stored.setdefault(payload["sha256"], payload["file"])
                given = payload.get("given") or payload["file"]
                self.named.setdefault(given, {}).setdefault(payload["sha256"], payload["scan"])

    def of_name(self, given: str) -> dict[str, str]:
        """What came under this name: its scan, by the hash of its bytes."""
        return self.named.get(given, {})

    def entries(self, sha256: str) -> tuple[str | None, ...]:
        """The entries of these bytes that are in the experiment."""
        return tuple(entry for sha, entry in self.scans if sha == sha256)


@dataclass(frozen=True)
class _Waiting:
    """A file that was recognised and waits to be written: its entries, and how each is to be read."""

    name: str
    data: bytes
    sha256: str
    entries: tuple[str | None, ...]
    how: Mapping[str | None, Mapped]


class _Taker:
    """The state of one run of `take`."""

    def __init__(
        self,
        folder: ExperimentFolder,
        desk: Desk,
        experiment: Experiment,
        profile: BeamlineProfile | None,
        answers: dict[str, str],
    ) -> None:
        self._folder, self._desk, self._experiment = folder, desk, experiment
        self._profile, self._answers = profile, answers
        self._entry = answers.pop("entry", None)
        self._tally = _Tally()
        self._tally.see(folder.events())

    def one(self, name: str, data: Bytes) -> Taken:
        """One file, whatever it is."""
        try:
            return self._written(self._recognised(name, _read(name, data)))
        except (UnclearColumns, WhichEntry) as question:
            return Taken(name, "asked", str(question), doubts=tuple(getattr(question, "__notes__", ())))
        except Refusal as refusal:
            return Taken(name, "refused", str(refusal))
        except Exception as fault:  # a fault of ours in one file must not cost the files behind it
            sentence = f"{name}: we stumbled over it ({type(fault).__name__}). It was not taken."
            return Taken(name, "fault", sentence)

    def _recognised(self, name: str, data: bytes) -> _Waiting:
        sha256 = sha256_of(data)
        known = self._tally.entries(sha256)
        if known and self._entry is None:
            return _Waiting(name, data, sha256, known, {})
        if self._entry in known:
            return _Waiting(name, data, sha256, (self._entry,), {})
        chosen = _chosen(name, data, self._entry)
        how = {table.entry: self._mapped(table, sha256) for table in chosen}
        return _Waiting(name, data, sha256, tuple(how), how)

    def _mapped(self, table: RawTable, sha256: str) -> Mapped:
        """How the table is to be read, tried out: what cannot be read as a scan is refused here."""
        from edgeshift.reduction.steps.columns import place_from, scan_from_table

        found = mapped(table, self._experiment, self._profile, self._answers)
        scan = scan_from_table(table, found.profile, "scan", sha256, place_from(table, found.profile))
        doubts = tuple(dict.fromkeys((*found.doubts, *table.complaints, *scan.doubts)))
        return Mapped(found.profile, found.source, doubts)

    def _written(self, file: _Waiting) -> Taken:
        """Copy the bytes and add the lines, with nobody writing in between, then say so."""

        def decide(newer: tuple[Event, ...]) -> Sequence[Event]:
            self._tally.see(newer)
            fresh = [entry for entry in file.entries if (file.sha256, entry) not in self._tally.scans]
            return self._arrivals(file, fresh) if fresh else self._copies(file)

        added = self._folder.append_from(decide, after=self._tally.last)
        self._tally.see(added)
        return _said(file, added, self._tally)

    def _arrivals(self, file: _Waiting, fresh: Sequence[str | None]) -> list[Event]:
        grown = self._grown_from(file) if len(fresh) == 1 else None
        stored = self._tally.stored.get(file.sha256) or self._folder.keep_raw(file.name, file.data)
        next_one = len(set(self._tally.scans.values())) + 1
        return [
            self._event("arrival", _arrival(file, stored, entry, grown or scan_key(number)))
            for number, entry in enumerate(fresh, next_one)
        ]

    def _grown_from(self, file: _Waiting) -> str | None:
        """The scan whose file came before it was finished: the same name, and this one begins as it did."""
        earlier = self._tally.of_name(file.name)
        for sha256 in reversed(earlier):
            begun = self._folder.raw_bytes(sha256)
            if len(begun) < len(file.data) and file.data.startswith(begun):
                return earlier[sha256]
        return None

    def _copies(self, file: _Waiting) -> list[Event]:
        if (file.sha256, file.name) in self._tally.names:
            return []  # the very same file again: nothing new to tell
        first = self._tally.stored[file.sha256]
        return [self._event("duplicate", {"file": file.name, "sha256": file.sha256, "first": first})]

    def _event(self, kind: str, payload: Mapping) -> Event:
        return Event(0, self._desk.now(), kind, "tool", "", payload)


def _arrival(file: _Waiting, stored: str, entry: str | None, scan: str) -> dict:
    """The payload of an arrival.

    A mapping that stands in the experiment text is not repeated: the text is in the book, and a correction
    there then holds for every scan.
    """
    how = file.how[entry]
    own = None if how.source == "experiment" else how.profile.model_dump(mode="json", exclude_defaults=True)
    return {
        "file": stored,
        "given": file.name,
        "sha256": file.sha256,
        "bytes": len(file.data),
        "entry": entry,
        "scan": scan,
        "profile": own,
        "mapping": how.source,
    }


def _read(name: str, data: Bytes) -> bytes:
    if not callable(data):
        return data
    try:
        return data()
    except OSError as trouble:
        raise cannot_be_read(name, trouble) from None


def cannot_be_read(name: str, trouble: OSError) -> UnreadableFile:
    """The refusal for a file that the system does not give us."""
    found = trouble.strerror or type(trouble).__name__
    return UnreadableFile(name, "a file that can be read", found, "Check its name and place.")


def _chosen(name: str, data: bytes, entry: str | None) -> tuple[RawTable, ...]:
    from edgeshift.formats.recognise import tables

    found = tables(name, data)
    if entry == EVERY_ENTRY or (entry is None and len(found) == 1):
        return found
    fitting = tuple(table for table in found if table.entry == entry and entry is not None)
    if len(fitting) == 1:
        return fitting
    named = ", ".join(str(table.entry) for table in found)
    if len(found) == 1:
        raise WhichEntry(name, f"the entry {entry!r}", f"only {named}", "Leave --entry away.")
    act = f"Add --entry NAME, or --entry {EVERY_ENTRY} for each."
    raise WhichEntry(name, "one entry to be chosen", f"{len(found)}: {named}", act)


def _said(file: _Waiting, added: Sequence[Event], tally: _Tally) -> Taken:
    scans = tuple(tally.scans[file.sha256, entry] for entry in file.entries)
    keys = ", ".join(scans)
    if any(event.kind == "arrival" for event in added):
        doubts = (
            *_namesakes(file, tally),
            *dict.fromkeys(doubt for how in file.how.values() for doubt in how.doubts),
        )
        return Taken(file.name, "taken", f"{file.name}: taken as {keys}.", scans, file.sha256, doubts)
    first = tally.stored[file.sha256]
    sentence = f"{file.name}: the same bytes as {first} ({keys}). It counts once."
    return Taken(file.name, "duplicate", sentence, scans, file.sha256)


def _namesakes(file: _Waiting, tally: _Tally) -> list[str]:
    """What to know where other bytes came under this name before."""
    came = tally.of_name(file.name)
    others = [scan for sha, scan in came.items() if sha != file.sha256]
    if not others:
        return []
    stored = tally.stored[file.sha256]
    if came[file.sha256] in others:
        return [f"It has grown since it was taken; {came[file.sha256]} now rests on {stored}."]
    return [
        f"A file of that name with other bytes is here already as {', '.join(others)};"
        f" this one is kept as {stored}."
    ]
