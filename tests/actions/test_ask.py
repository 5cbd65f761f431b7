"""What can be asked, what is refused, and what is written down of it."""

from __future__ import annotations

import pytest
from practised import begun, files, made, result_bytes

from edgeshift.actions.ask import answer, ask, ask_all
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.practise import How, practise
from edgeshift.actions.session import Session
from edgeshift.errors import FolderRefused, NoteRefused, QuestionRefused

ONE_ARM = "arms: [{name: raw}]\n"


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A shift with the scans of two edges."""
    place = tmp_path_factory.mktemp("shift") / "clay"
    begun(place, files("AlK") + files("SiK")).close()
    return place


def asked(place, *words, **more):
    return ask(place, *words, desk=steady_desk(), **more)


def test_every_answer_has_an_identity_and_a_figure(place):
    found = [*asked(place, "trust"), *asked(place, "real"), *asked(place, "trust", compare=("1", "2"))]
    assert all(len(a.identity) == 64 and a.figure is not None for a in found)
    assert [a.edge for a in found] == [None, "Al K", "Si K", None, "Al K"]


def test_one_edge_gives_the_answer_that_it_has_among_all(place):
    (alone,) = asked(place, "real", "Al K")
    assert alone == next(a for a in asked(place, "real") if a.edge == "Al K")


def test_trust_of_one_edge_judges_its_scans_as_among_all(place):
    (alone,), (all_of_them,) = asked(place, "trust", "Si K"), asked(place, "trust")
    assert len(alone.detail["scans"]) == 4
    assert alone.detail["scans"].items() <= all_of_them.detail["scans"].items()


def test_an_option_is_part_of_what_an_answer_stands_on(place):
    found = [asked(place, "minutes", left=left)[0] for left in (None, 90.0, 120.0)]
    found += [asked(place, "here", against=against)[0] for against in (None, "Al")]
    assert len({one.identity for one in found}) == len(found)


@pytest.mark.parametrize(
    ("question", "more", "words"),
    [
        ("why", {}, "ask: needed one of begin, here, trust, real, minutes, say, found 'why'"),
        ("real", {"edge": "Fe L"}, "edge Fe L: needed an edge that was scanned, found Al K, Si K"),
        ("real", {"compare": ("1", "2")}, "two scans: needed the question trust, found real"),
        ("real", {"against": "Al"}, "a reference element: needed the question here, found real"),
        ("here", {"shares": True}, "shares: needed the question here, and an edge, found no edge"),
        ("here", {"specimen": "RAW-A"}, "shares: needed the question here, and an edge, found here"),
        ("trust", {"left": 90.0}, "minutes left: needed the question minutes, found trust"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_what_can(place, question, more, words):
    with pytest.raises(QuestionRefused, match=words):
        asked(place, question, **more)


def test_a_scan_that_is_not_there_cannot_be_compared(place):
    with pytest.raises(NoteRefused, match="'77': needed a scan in this experiment"):
        asked(place, "trust", compare=("1", "77"))


def test_a_folder_that_is_none_is_refused(tmp_path):
    with pytest.raises(FolderRefused, match="Begin one with: edgeshift new"):
        asked(tmp_path, "trust")


def test_an_experiment_without_two_arms_is_refused_by_what_is_needed(tmp_path):
    begun(tmp_path / "shift", [], ONE_ARM).close()
    with pytest.raises(QuestionRefused, match="real: needed two arms, one of them the control, found raw"):
        asked(tmp_path / "shift", "real")


def test_only_a_whole_question_is_written_down(tmp_path):
    begun(tmp_path / "shift", files("SiK")).close()
    asked(tmp_path / "shift", "real", "Si K")
    asked(tmp_path / "shift", "trust", compare=("1", "2"))
    assert result_bytes(tmp_path / "shift") == {}
    asked(tmp_path / "shift", "trust")
    assert {"trust.json", "trust-Si_K.svg", "real.json"} <= set(result_bytes(tmp_path / "shift"))
    assert len([name for name in result_bytes(tmp_path / "shift") if name.startswith("spectra/")]) == 4


def test_everything_that_can_be_asked_is_asked(tmp_path):
    text = made().experiment_text
    one_arm = text[text.index("beamline:") :]
    with (
        begun(tmp_path / "two", files("SiK")) as two,
        begun(tmp_path / "none", files("SiK"), one_arm) as none,
    ):
        assert [a.question for a in ask_all(Session(two))] == ["here", "trust", "real", "real"]
        assert [a.question for a in ask_all(Session(none))] == ["here", "trust"]


def test_before_any_scan_every_question_says_that_it_cannot_tell(tmp_path):
    with begun(tmp_path / "shift", []) as folder:
        found = ask_all(Session(folder))
    asked = ("here", "trust", "real")
    assert [(a.question, a.verdict) for a in found] == [(question, "cannot-tell") for question in asked]


def test_why_two_scans_of_different_edges_differ_is_not_known(place):
    (found,) = asked(place, "trust", compare=("1", "20"))
    assert (found.verdict, found.edge) == ("cannot-tell", None)


def test_an_unknown_moment_is_refused(place):
    from edgeshift.folder.experiment_folder import ExperimentFolder

    with (
        ExperimentFolder.open(place) as folder,
        pytest.raises(QuestionRefused, match="needed ISO 8601"),
    ):
        answer(Session(folder), "trust", until="noon")


def test_what_the_whole_shift_knows_of_one_of_two_scans_is_told_of_them(tmp_path):
    """No two scans show by themselves that the energy scale slid between them; the shift does."""
    practise(tmp_path / "slid", 7, desk=steady_desk(), how=How(traps="T2"))
    (found,) = asked(tmp_path / "slid", "trust", compare=("0019_KL.dat", "0037_KL.dat"))
    (finding,) = found.detail["findings"]
    assert (finding["code"], finding["scans"]) == ("slide-of-energy", ["scan-037"])
    (note,) = found.figure.notes
    assert note.words.startswith("**{scan:scan-037}:** Since ") and note.act in found.would_change_it


def test_what_is_here_narrows_to_an_edge_and_tells_its_form(place):
    (found,) = asked(place, "here", "Al K")
    assert (found.question, found.edge, found.verdict) == ("here", "Al K", "answered")
    assert found.detail["elements"]["Al"]["verdict"] == "seen"
    assert {spot["specimen"] for spot in found.detail["form"]["spots"]} >= {"RAW-A", "PIT750-A"}
    assert found.figure.kind == "here"


def test_how_much_is_told_against_a_reference_element(place):
    (found,) = ask(place, "here", against="Al", desk=steady_desk())
    assert {each["element"] for each in found.detail["amounts"]["spots"]} <= {"Fe", "K", "Ti", "Si"}
    with pytest.raises(QuestionRefused, match="needed the question here, found trust"):
        ask(place, "trust", against="Al", desk=steady_desk())
