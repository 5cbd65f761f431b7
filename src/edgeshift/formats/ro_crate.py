"""RO-Crate 1.1: what is in a set of files, said in linked data that any machine of the trade can read.

Written by hand: the same files give the same bytes, and no person is named in it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from edgeshift.records.identity import sha256_of

NAME = "ro-crate-metadata.json"
SPECIFICATION = "https://w3id.org/ro/crate/1.1"
CONTEXT = [f"{SPECIFICATION}/context", {"sha256": "https://schema.org/sha256"}]
"""The standard's own terms, and the one for a hash, which version 1.1 does not know."""
MEDIA_TYPES = {
    "csv": "text/csv",
    "html": "text/html",
    "json": "application/json",
    "jsonl": "application/jsonl",
    "md": "text/markdown",
    "nxs": "application/x-hdf5",
    "pdf": "application/pdf",
    "pptx": "application/vnd.openxmlformats-officedocument.presentationml.presentation",
    "svg": "image/svg+xml",
    "txt": "text/plain",
    "xdi": "text/plain",
    "yaml": "application/yaml",
}
RAW = "application/octet-stream"
"""What an instrument wrote may be anything."""
STANDARDS = {
    "xdi": ("#xdi", "XDI 1.0", "XAS Data Interchange: one spectrum as text with named header fields"),
    "nxs": ("#nxxas", "NXxas", "NeXus, contributed definition NXxas: element, edge, energy, intensity"),
}
"""Which standard a kind of file holds to: its place in the crate, its name and a few words."""


@dataclass(frozen=True)
class Crate:
    """The words of a crate. `date` is ISO 8601; `says` maps folders and files to a few words on each."""

    title: str
    description: str
    date: str
    terms: str
    maker: str
    version: str
    says: Mapping[str, str]


def described(crate: Crate, files: Mapping[str, bytes]) -> bytes:
    """The description of these files; it stands beside them under NAME.

    Files under `raw/` are what was measured, all others were made of them by the software named.
    """
    names = sorted(files)
    raw = [name for name in names if name.startswith("raw/")]
    made = [name for name in names if not name.startswith("raw/")]
    root = {
        "@id": "./",
        "@type": "Dataset",
        "name": crate.title,
        "description": crate.description,
        "datePublished": crate.date,
        "license": {"@id": "#terms"},
        "hasPart": _refs(names),
        "mentions": {"@id": "#making"},
    }
    graph = [
        {
            "@id": NAME,
            "@type": "CreativeWork",
            "about": {"@id": "./"},
            "conformsTo": {"@id": SPECIFICATION},
        },
        root,
        {"@id": "#terms", "@type": "CreativeWork", "name": "terms of use", "description": crate.terms},
        {
            "@id": "#software",
            "@type": "SoftwareApplication",
            "name": crate.maker,
            "softwareVersion": crate.version,
        },
        {
            "@id": "#making",
            "@type": "CreateAction",
            "name": "answers and curves made of what was measured",
            "instrument": {"@id": "#software"},
            "object": _refs(raw),
            "result": _refs(made),
        },
        *(
            {"@id": place, "@type": "CreativeWork", "name": name, "description": words}
            for ending, (place, name, words) in STANDARDS.items()
            if any(_ending(file) == ending for file in made)
        ),
        *(_file(name, files[name], crate.says) for name in names),
    ]
    whole = {"@context": CONTEXT, "@graph": graph}
    return (json.dumps(whole, ensure_ascii=False, indent=1) + "\n").encode()


def file_id(name: str) -> str:
    """A file's name as the reference that a crate uses: what a web address cannot hold is spelled out."""
    return "".join(
        each if each.isascii() and (each.isalnum() or each in "-._~/") else _spelled(each) for each in name
    )


def _spelled(letter: str) -> str:
    return "".join(f"%{byte:02X}" for byte in letter.encode("utf-8"))


def _refs(names: Sequence[str]) -> list[dict[str, str]]:
    return [{"@id": file_id(name)} for name in names]


def _file(name: str, data: bytes, says: Mapping[str, str]) -> dict[str, Any]:
    ending = _ending(name)
    media = RAW if name.startswith("raw/") else MEDIA_TYPES.get(ending, RAW)
    made = {
        "@id": file_id(name),
        "@type": "File",
        "name": name.rpartition("/")[2],
        "encodingFormat": media,
        "contentSize": str(len(data)),
        "sha256": sha256_of(data),
    }
    told = says.get(name) or says.get(f"{name.partition('/')[0]}/")
    if told:
        made["description"] = told
    if ending in STANDARDS and not name.startswith("raw/"):
        made["conformsTo"] = {"@id": STANDARDS[ending][0]}
    return made


def _ending(name: str) -> str:
    return name.rpartition(".")[2].lower()
