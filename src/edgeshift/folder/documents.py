"""Where documents lie that were written for people."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from edgeshift.folder.durable import kind_about_disk, write_durably
from edgeshift.folder.experiment_folder import ExperimentFolder

DOCUMENTS = "documents"


def put_documents(folder: ExperimentFolder, made: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write each file under `documents/`; one of the same name is replaced, others stay."""
    place = folder.path / DOCUMENTS
    with kind_about_disk(place):
        place.mkdir(exist_ok=True)
    for name, data in made.items():
        write_durably(place / name, data)
    return tuple(place / name for name in made)
