"""Pack an envelope: everything that the group takes home, as one archive that can be proved for years.

`contents` is the only path from a folder to what is in an envelope; `prove` walks it once more.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from edgeshift import __version__
from edgeshift.actions.ask import every_answer
from edgeshift.actions.desk import Desk
from edgeshift.actions.looking import kept_sets
from edgeshift.actions.publish import Document
from edgeshift.actions.publish import documents as write_documents
from edgeshift.actions.results import (
    answer_files,
    figure_files,
    figure_name,
    plain_words,
    spectrum_table,
    spot_files,
)
from edgeshift.actions.room import Room
from edgeshift.actions.session import Known, Session
from edgeshift.actions.story import Told, as_plain, told_of
from edgeshift.errors import EnvelopeRefused, Refusal
from edgeshift.figures import tables_of
from edgeshift.folder.envelope import put_envelope
from edgeshift.folder.experiment_folder import HOLD_BYTES
from edgeshift.formats import archive, event_lines, nexus, ro_crate, xdi
from edgeshift.records.answer import Answer
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.event import PEOPLE, Event
from edgeshift.records.table import RawTable
from edgeshift.wording import envelope as words
from edgeshift.wording import story as story_words
from edgeshift.wording.names import Naming, named, open_naming

FORMAT = 1
"""Of the envelope's own layout; a later one reads earlier ones."""
RAW, TEXT, BOOK, ABOUT, README = "raw/", "experiment.yaml", "book.jsonl", "envelope.json", "README.txt"
NEXUS_DEFINITION = "contributed"


@dataclass(frozen=True)
class Packed:
    """An envelope on the disk: where, how many files and bytes, and what to know before it is handed on."""

    path: Path
    files: int
    size: int
    cautions: tuple[str, ...]
    complaint: Refusal | None = None


def pack(path: str | Path, *, desk: Desk) -> Packed:
    """Pack the experiment at `path` into `envelope/`; the same experiment gives the same bytes.

    Raises FolderRefused where there is none, or a raw file is gone or changed, and EnvelopeRefused where
    nothing was measured yet.
    """
    with desk.open(path) as folder:
        complaint = desk.accept_hand_edit(folder)
        session = Session(folder, desk)
        files = contents(session)
        data = archive.sealed(files)
        state = session.known().state
        cautions = [free_words(state.events)]
        if state.curtain is not None:
            cautions.append(words.CURTAIN)
        there = put_envelope(folder, data)
    return Packed(there, len(files) + 1, len(data), tuple(cautions), complaint)


def contents(session: Session, documents: Sequence[Document] | None = None) -> dict[str, bytes]:
    """Every file of the envelope but its list of hashes: name -> bytes, the same for the same experiment."""
    if not session.known().state.arrivals:
        act = "Take a file first."
        raise EnvelopeRefused(str(session.folder.path), "a scan to be packed", "none yet", act)
    answers = every_answer(session)
    known = session.known()  # a look may have been entered
    naming, sets = open_naming(known.experiment), kept_sets(session, known)
    told = Told(told_of(session, known, answers), naming)
    files = given_files(session, known)
    files |= _inside("answers", answer_files(answers, naming))
    files |= _inside("figures", {**figure_files(answers, naming), **_numbers(answers, naming)})
    files |= spot_files(sets) | _scan_files(sets)
    nexus_files, missing = _sets(sets)
    files |= nexus_files
    files |= {
        "methods.txt": _methods(sets).encode(),
        "story.txt": (naming("\n".join(story_words.as_lines(told.story))) + "\n").encode(),
        "story.json": _json(as_plain(told)),
        ABOUT: _json({"envelope": FORMAT, "made_by": "edgeshift", "version": __version__}),
    }
    files |= _inside("documents", write_documents(Room.over(session), each=documents))
    files[README] = _readme(files, known, answers, missing).encode()
    files[ro_crate.NAME] = ro_crate.described(_crate(known), files)
    return files


def given_files(session: Session, known: Known) -> dict[str, bytes]:
    """What everything else is made of: raw bytes, the accepted text, the book."""
    events = known.state.events
    lent = [event.payload for event in events if event.kind in HOLD_BYTES]
    raw = {f"{RAW}{each['file']}": session.folder.raw_bytes(each["sha256"]) for each in lent}
    book = "".join(f"{event_lines.dump(event)}\n" for event in events)
    return {**raw, TEXT: known.state.experiment_text.encode(), BOOK: book.encode()}


def free_words(events: Sequence[Event]) -> str:
    """A caution that counts what people typed."""
    mine = [event for event in events if event.role in PEOPLE]
    kinds = [event.kind for event in mine]
    reasons = sum(bool(event.reason) and event.kind != "experiment" for event in mine)
    notes = sum(kinds.count(kind) for kind in ("write", "shy", "words"))
    return words.free_words(notes, kinds.count("claim"), reasons)


def _inside(place: str, files: Mapping[str, bytes]) -> dict[str, bytes]:
    return {f"{place}/{name}": data for name, data in files.items()}


def _json(plain: object) -> bytes:
    return (json.dumps(plain, ensure_ascii=False, sort_keys=True, indent=1) + "\n").encode()


def _numbers(answers: Sequence[Answer], naming: Naming) -> dict[str, bytes]:
    """Every number of every picture as CSV: its tables one below another, each behind its title."""
    made = {}
    for answer in answers:
        page = io.StringIO()
        rows = csv.writer(page, lineterminator="\n")
        for table in tables_of(answer.figure, full=True):
            rows.writerow([f"# {naming(table.title)}"])
            rows.writerow(named(table.columns, naming))
            rows.writerows(named(table.rows, naming))
        made[f"{figure_name(answer)}.csv"] = page.getvalue().encode()
    return made


def _scan_files(sets: Mapping[str, EdgeSet]) -> dict[str, bytes]:
    """One XDI file for each kept scan."""
    return {
        f"scans/{plain_words(key)}-{plain_words(edge)}.xdi": xdi.write(_alone(spectrum_table(spectrum, one)))
        for edge, one in sets.items()
        for key, spectrum in one.scans.items()
    }


def _alone(table: RawTable) -> RawTable:
    """The steps of its edge stand in the header of every curve; one scan alone is before the mean."""
    first, *steps = table.remarks
    return replace(table, remarks=(first, words.ONE_SCAN, *steps))


def _sets(sets: Mapping[str, EdgeSet]) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """All spots of an edge as one NeXus file, and required fields that nobody stated."""
    made, missing = {}, []
    for edge, one in sets.items():
        if one.spots:
            tables = [_as_nexus(spectrum_table(spot, one), n) for n, spot in enumerate(one.spots, 1)]
            written = nexus.write(tables, NEXUS_DEFINITION)
            made[f"sets/{plain_words(edge)}.nxs"] = written.data
            missing += written.missing
    return made, tuple(dict.fromkeys(missing))


NEXUS_NAMES = {"absorption": "intensity", "independent_sigma": "intensity_errors"}


def _as_nexus(table: RawTable, number: int) -> RawTable:
    """The same columns by the names of NXxas; the entry is called by its number and its place."""
    columns = tuple(replace(c, name=NEXUS_NAMES.get(c.name, c.name)) for c in table.columns)
    return replace(table, columns=columns, entry=f"{number:03d}-{plain_words(table.file)}")


def _methods(sets: Mapping[str, EdgeSet]) -> str:
    parts = ("\n".join((edge, *(f"  {sentence}" for sentence in one.methods))) for edge, one in sets.items())
    return "\n\n".join(parts) + "\n"


def _crate(known: Known) -> ro_crate.Crate:
    """Dated by the last line of the book, so that the same experiment gives the same bytes."""
    return ro_crate.Crate(
        title=words.TITLE,
        description=known.experiment.question or words.TITLE,
        date=known.state.events[-1].time,
        terms=words.TERMS,
        maker="edgeshift",
        version=__version__,
        says=words.SAYS,
    )


def _readme(
    files: Mapping[str, bytes], known: Known, answers: Sequence[Answer], missing: Sequence[str]
) -> str:
    every = [README, archive.MANIFEST, ro_crate.NAME, *files]
    parts = {
        "question": known.experiment.question,
        "version": __version__,
        "listing": words.listing(every),
        "missing": words.unknown_fields(missing),
        "by_hand": open_naming(known.experiment)(_by_hand(answers)),
        "caution": free_words(known.state.events),
    }
    return words.readme(parts)


def _by_hand(answers: Sequence[Answer]) -> str:
    """How to get one number of the comparison from the curves with nothing but a calculator."""
    for answer in answers:
        feature = answer.detail.get("feature") if answer.question == "real" and answer.edge else None
        half = _half(feature) if feature else None
        if feature and half is not None and feature["kind"] in words.RECIPES:
            ranges = [f"{low:g} to {high:g} eV" for low, high in feature["windows"]]
            return words.BY_HAND.format(
                edge=answer.edge,
                words=feature["words"],
                recipe=words.RECIPES[feature["kind"]].format(*ranges),
                pairs=words.PAIRS if answer.detail.get("paired") else "",
                control=f"{{arm:{answer.detail['control']}}}",
                treated=f"{{arm:{answer.detail['treated'][0]}}}",
                value=f"{feature['difference']:.4g}",
                give_or_take=f"{half:.2g}",
            )
    return words.NOTHING_BY_HAND


def _half(feature: Mapping) -> float | None:
    low, high = feature.get("low"), feature.get("high")
    return None if low is None or high is None else float(np.subtract(high, low)) / 2
