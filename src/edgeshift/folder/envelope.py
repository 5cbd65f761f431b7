"""Where envelopes lie, and a folder for as long as one is opened."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from edgeshift.errors import EnvelopeRefused
from edgeshift.folder.book import Book
from edgeshift.folder.durable import kind_about_disk, write_durably
from edgeshift.folder.experiment_folder import BOOK, ENVELOPE, RAW, TEXT, ExperimentFolder
from edgeshift.folder.names import plain_name
from edgeshift.records.event import Event


def put_envelope(folder: ExperimentFolder, data: bytes) -> Path:
    """Write the archive under `envelope/`, named as the experiment's folder; the last one is replaced."""
    place = folder.path / ENVELOPE
    with kind_about_disk(place):
        place.mkdir(exist_ok=True)
    path = place / f"{plain_name(folder.path.resolve().name)}.zip"
    write_durably(path, data)
    return path


@contextmanager
def laid_out(
    raw: Mapping[str, bytes], text: str, events: Sequence[Event], name: str
) -> Iterator[ExperimentFolder]:
    """An experiment folder made of an envelope's parts, gone when the block ends.

    Raises EnvelopeRefused for a raw file whose name leads out of `raw/`, or for a book with lines missing.
    """
    odd = next((each for each in raw if plain_name(each) != each), None)
    if odd is not None:
        act = "Do not unpack it; ask for another copy."
        raise EnvelopeRefused(name, "raw files by plain names", repr(odd[:80]), act)
    with tempfile.TemporaryDirectory(prefix="edgeshift-") as shelter:
        place = Path(shelter)
        with kind_about_disk(place):
            (place / RAW).mkdir()
            for each, data in raw.items():
                (place / RAW / each).write_bytes(data)
            (place / TEXT).write_text(text, encoding="utf-8", newline="")
        book = Book.create(place / BOOK)
        numbers = book.append(events)
        book.close()
        if numbers != tuple(event.number for event in events):
            act = "Ask for another copy."
            raise EnvelopeRefused(name, "every line of the book", "some are missing", act)
        with ExperimentFolder.open(place) as folder:
            yield folder
