"""Whatever a file was called, any disk can keep it."""

from itertools import islice

import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.folder.names import LONGEST_BYTES, names_to_try, plain_name


@pytest.mark.parametrize(
    ("given_name", "kept"),
    [
        ("scan.001", "scan.001"),
        ("../../etc/scan.dat", "scan.dat"),
        ("C:\\shift\\scan.dat", "scan.dat"),
        ("a:b?.dat", "a_b_.dat"),
        ("..", "unnamed"),
        ("", "unnamed"),
        (".hidden", "_hidden"),
        ("Ton o\u0308.dat", "Ton \u00f6.dat"),
        ("line\nbreak.dat", "line_break.dat"),
    ],
)
def test_a_name_is_made_plain(given_name, kept):
    assert plain_name(given_name) == kept


def test_suffixed_names_keep_their_extension():
    assert list(islice(names_to_try("scan.001"), 3)) == ["scan.001", "scan~2.001", "scan~3.001"]


@given(st.text(max_size=400))
def test_every_name_stays_inside_its_folder(text):
    name = plain_name(text)
    assert name
    assert not name.startswith(".")
    assert "/" not in name
    assert "\\" not in name
    assert len(name.encode("utf-8")) <= LONGEST_BYTES
    assert plain_name(name) == name
