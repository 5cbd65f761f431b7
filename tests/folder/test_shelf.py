"""Where the shelf stands, and what its door lets through."""

from __future__ import annotations

from pathlib import Path

import pytest

from edgeshift.errors import FolderRefused
from edgeshift.folder.shelf import Shelf, shelf_folder


def test_the_shelf_stands_as_chosen_then_as_the_environment_says_then_among_the_users_data(tmp_path):
    environment = {"EDGESHIFT_SHELF": "/there", "XDG_DATA_HOME": "/data"}
    assert shelf_folder(tmp_path, environment) == tmp_path
    assert shelf_folder(None, environment) == Path("/there")
    assert shelf_folder(None, {"XDG_DATA_HOME": "/data"}) == Path("/data/edgeshift/shelf")
    assert shelf_folder(None, {}) == Path.home() / ".local/share/edgeshift/shelf"


def test_a_shelf_that_is_not_there_is_empty_and_is_made_by_its_first_entry(tmp_path):
    shelf = Shelf(tmp_path / "deep" / "shelf")
    assert shelf.files() == ()
    shelf.write("goethite.Fe-L.xdi", b"one")
    shelf.write("goethite.Fe-L.xdi", b"two")
    assert shelf.files() == ("goethite.Fe-L.xdi",)
    assert shelf.read("goethite.Fe-L.xdi") == b"two"
    assert shelf.has("goethite.Fe-L.xdi") and not shelf.has("albite.Al-K.xdi")


def test_an_entry_that_is_not_there_is_refused_with_those_that_are(tmp_path):
    shelf = Shelf(tmp_path)
    with pytest.raises(
        FolderRefused, match="the standard albite: needed an entry of the shelf, found an empty shelf"
    ):
        shelf.read("albite.xdi")
    shelf.write("goethite.Fe-L.xdi", b"one")
    with pytest.raises(FolderRefused, match="found goethite.Fe-L"):
        shelf.read("../secret.xdi")
