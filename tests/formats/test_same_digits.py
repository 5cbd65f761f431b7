"""Equal as printed is equal; anything that a person would read otherwise is told, with its place."""

import json

import pytest

from edgeshift.formats.same_digits import agree, differences


def told(file, packed, found, **more):
    return [(one.where, one.packed, one.found) for one in differences(file, packed, found, **more)]


def in_json(packed, found, **more):
    return told("a.json", json.dumps(packed).encode(), json.dumps(found).encode(), **more)


@pytest.mark.parametrize(
    ("one", "other"), [(0.58306, 0.58307), (-1e-9, -1.00001e-9), (0.0, 1e-13), (1564, 1564.1)]
)
def test_numbers_with_the_same_four_figures_agree(one, other):
    assert agree(one, other)


@pytest.mark.parametrize(("one", "other"), [(0.583, 0.584), (1.0, -1.0), (0.0, 1e-6), (1.0, float("nan"))])
def test_numbers_that_are_read_otherwise_do_not(one, other):
    assert not agree(one, other)


def test_a_number_near_zero_is_compared_on_the_scale_of_its_list():
    assert in_json({"y": [1.0, 1e-7]}, {"y": [1.0, 3e-7]}) == []
    assert in_json({"y": [1.0, 0.1]}, {"y": [1.0, 0.2]}) == [("y[1]", "0.1", "0.2")]


def test_an_answer_is_named_by_its_edge_and_its_key():
    answer = {"question": "real", "edge": "Al K", "sentence": "They differ.", "detail": {"difference": 0.58}}
    other = {**answer, "sentence": "They do not.", "detail": {"difference": 0.61}}
    assert in_json([answer], [other]) == [
        ("[Al K].sentence", "They differ.", "They do not."),
        ("[Al K].detail.difference", "0.58", "0.61"),
    ]


def test_words_and_truths_must_be_the_same_to_the_letter():
    assert in_json({"a": "x", "b": True, "c": None}, {"a": "y", "b": False, "c": 1}) == [
        ("a", "x", "y"), ("b", "true", "false"), ("c", "nothing", "1"),
    ]  # fmt: skip


def test_a_key_that_names_the_version_may_differ():
    assert in_json({"identity": "a"}, {"identity": "b"}, but_for=("identity",)) == []
    assert in_json({"identity": "a"}, {"identity": "b"}) != []


def test_another_number_of_entries_is_told_once():
    assert in_json([1, 2], [1]) == [("the whole", "2 entries", "1 entries")]


def test_what_is_no_json_any_more_is_told():
    assert told("a.json", b"{}", b"{") == [("the whole", "JSON", "what cannot be read as JSON")]


def test_a_row_of_numbers_is_compared_column_by_column():
    rows, near, far = b"# x y\n1550.0 1.0\n1551.0 0.00001\n", b"# x y\n1550.0 1.0\n1551.0 0.00002\n", None
    assert told("a.xdi", rows, near) == []
    far = rows.replace(b"0.00001", b"0.1")
    assert told("a.xdi", rows, far) == [("line 3", "1551.0 0.00001", "1551.0 0.1")]


def test_a_line_more_and_another_word_are_told():
    assert told("a.txt", b"one\ntwo\n", b"one\nzwei\ndrei\n") == [
        ("line 2", "two", "zwei"), ("line 3", "nothing", "drei"),
    ]  # fmt: skip


def test_a_line_of_a_picture_may_lie_a_part_of_a_pixel_away_and_its_words_may_not_change():
    svg = b'<svg><path d="M1.0 2.0 L3.0 4.0"/><text x="1">0.58</text></svg>'
    assert told("a.svg", svg, svg.replace(b"4.0", b"4.1")) == []
    assert len(told("a.svg", svg, svg.replace(b"4.0", b"9.0"))) == 1
    assert [one[1:] for one in told("a.svg", svg, svg.replace(b"0.58", b"0.59"))] == [("0.58", "0.59")]


def test_other_bytes_of_a_kind_that_cannot_be_read_are_told():
    assert told("a.pdf", b"one", b"other") == [("bytes", "3 bytes", "5 other bytes")]
