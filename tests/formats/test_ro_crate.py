"""The description holds to what RO-Crate 1.1 requires, and names no person."""

import json
import re
from datetime import datetime
from urllib.parse import unquote

import pytest

from edgeshift.formats.ro_crate import NAME, Crate, described, file_id

FILES = {
    "raw/Lehm 1°.dat": b"1 2 3\n",
    "spectra/a.xdi": b"# XDI/1.0\n",
    "sets/a.nxs": b"\x89HDF",
    "README.txt": b"read me\n",
}
CRATE = Crate(
    "a shift",
    "more fire?",
    "2026-03-01T08:00:00.000Z",
    "as agreed",
    "edgeshift",
    "1.2",
    {"raw/": "as it came"},
)


@pytest.fixture(scope="module")
def crate():
    return json.loads(described(CRATE, FILES))


def entities(crate):
    """Every entity by its id; an id may stand only once."""
    found = {one["@id"]: one for one in crate["@graph"]}
    assert len(found) == len(crate["@graph"])
    return found


def check(crate, files) -> None:
    """The MUSTs of RO-Crate 1.1, sections on the metadata document, the root and data entities."""
    context = crate["@context"]
    assert "https://w3id.org/ro/crate/1.1/context" in ([context] if isinstance(context, str) else context)
    every = entities(crate)
    head = every[NAME]
    assert head["@type"] == "CreativeWork"
    assert head["about"] == {"@id": "./"}
    assert head["conformsTo"]["@id"].startswith("https://w3id.org/ro/crate/1.1")
    root = every["./"]
    assert root["@type"] == "Dataset"
    assert root["name"] and root["description"] and root["license"]
    assert datetime.fromisoformat(root["datePublished"])
    assert all("@id" in one and "@type" in one for one in crate["@graph"])
    parts = [one["@id"] for one in root["hasPart"]]
    assert sorted(unquote(part) for part in parts) == sorted(files)
    for part in parts:
        assert every[part]["@type"] == "File"
        assert re.fullmatch(r"[A-Za-z0-9._~%/-]+", part), "a relative reference, spelled as the web does"
    for one in crate["@graph"]:
        for value in one.values():
            for ref in value if isinstance(value, list) else [value]:
                if isinstance(ref, dict) and not ref["@id"].startswith("https://"):
                    assert ref["@id"] in every, f"{ref['@id']} is mentioned and not described"


def test_it_holds_to_what_the_standard_requires(crate):
    check(crate, FILES)


@pytest.mark.parametrize("hurt", ["datePublished", "license", "hasPart"])
def test_the_check_would_notice_what_is_missing(hurt):
    crate = json.loads(described(CRATE, FILES))
    del entities(crate)["./"][hurt]
    with pytest.raises((AssertionError, KeyError)):
        check(crate, FILES)


def test_every_file_has_its_hash_size_and_kind(crate):
    raw = entities(crate)[file_id("raw/Lehm 1°.dat")]
    assert raw["contentSize"] == "6"
    assert raw["sha256"] == "1def07dbe06eeb097aafec8a40329937cd20c93a83634b8221ea2b41a894310c"
    assert raw["description"] == "as it came"
    assert entities(crate)["sets/a.nxs"]["conformsTo"] == {"@id": "#nxxas"}


def test_what_was_measured_and_what_was_made_of_it_are_told_apart(crate):
    making = entities(crate)["#making"]
    assert making["object"] == [{"@id": "raw/Lehm%201%C2%B0.dat"}]
    assert {one["@id"] for one in making["result"]} == {"README.txt", "sets/a.nxs", "spectra/a.xdi"}
    assert making["instrument"] == {"@id": "#software"}


def test_nobody_is_named(crate):
    assert not {"Person", "Organization"} & {one["@type"] for one in crate["@graph"]}
    assert not any(key in one for one in crate["@graph"] for key in ("author", "creator", "contributor"))


def test_the_same_files_give_the_same_bytes():
    assert described(CRATE, dict(reversed(FILES.items()))) == described(CRATE, FILES)
