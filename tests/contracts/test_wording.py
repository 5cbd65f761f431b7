"""What people read: no word that promises or frightens, short sentences, and a caution where one is due."""

from __future__ import annotations

import ast
import re
from dataclasses import replace
from pathlib import Path

import pytest
import sample_answers

from edgeshift.cli.application import app
from edgeshift.wording import real
from edgeshift.wording.plain import as_text

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "edgeshift"
NEVER = re.compile(
    r"\b(significan\w*|outliers?|error bars?|safe(?:ly)?|go(?! on\b)|proved|proven|invalid|rejected)\b",
    re.IGNORECASE,
)
"""Words of look and speech that the house does not use; "the band goes on" is no permission to go."""
NEVER_IN_SENTENCES = re.compile(r"\berrors?\b|\bQC\b|\bfailed\b|\bp\s*[=<]\s*0", re.IGNORECASE)
KEY = re.compile(r"[a-z]+(\.[a-z-]+)+")
"""The key of a word on the page, as `state.failed`; nobody reads it."""
NO_SENTENCES = {
    "safe": "a loader of YAML is called so by its library",
    "Value error, ": "cut off another's words",
}
CAUTION = "Follow your facility's and beamline's rules; staff decide."


def said_in(path: Path) -> list[str]:
    """Every text in a module that is no docstring; the fixed parts of texts with blanks."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    loose = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in loose
    ]


def modules(package: str) -> list[str]:
    """The files of a package, by their names under src/edgeshift."""
    return sorted(str(path.relative_to(SOURCE)) for path in (SOURCE / package).rglob("*.py"))


@pytest.mark.parametrize("module", modules("."))
def test_no_text_in_the_source_uses_a_word_we_do_not_use(module):
    for text in said_in(SOURCE / module):
        if text not in NO_SENTENCES:
            assert not NEVER.search(text), f"{module}: {text!r}"


@pytest.mark.parametrize("module", modules("wording"))
def test_sentences_speak_of_give_or_take(module):
    for text in said_in(SOURCE / module):
        assert KEY.fullmatch(text) or not NEVER_IN_SENTENCES.search(text), f"{module}: {text!r}"


@pytest.mark.parametrize("module", modules("wording"))
def test_sentences_have_at_most_twenty_words(module):
    for text in said_in(SOURCE / module):
        for sentence in re.split(r"(?<=[.?!]) ", text):
            assert len(sentence.split()) <= 20, f"{module}: {sentence!r}"


@pytest.mark.parametrize(
    "page", sorted(ROOT.glob("docs/**/*.md")) + [ROOT / "README.md", ROOT / "CHANGELOG.md"]
)
def test_documents_keep_to_the_same_words(page):
    text = page.read_text(encoding="utf-8")
    assert not NEVER.search(text), f"{page.name}: {NEVER.search(text)[0]!r}"


@pytest.mark.parametrize(
    "words",
    [
        "The change is significant.",
        "An outlier!",
        "You may go.",
        "It is safe to open.",
        "We proved it.",
        "Error bars",
    ],
)
def test_a_word_we_do_not_use_would_be_noticed(words):
    assert NEVER.search(words)


@pytest.mark.parametrize(
    "words", ["its band goes on", "go on measuring", "Golden clay", "unsafe is another word"]
)
def test_other_words_pass(words):
    assert not NEVER.search(words)


def detail(declared: str = "before", units: str = "lit") -> dict:
    """As much of an answer's numbers as its cautions look at."""
    return {
        "curves": {"unit": "step"},
        "declared": declared,
        "smallest_p": 0.25,
        "rungs": {"units": units},
        "treated_arms": 1,
        "control_named": True,
        "left_out": [],
    }


def test_every_difference_is_said_with_what_a_replicate_is():
    for units in ("lit", "not-shown", "cannot-test"):
        assert real.cautions(detail(units=units))[-1].startswith("Different units are replicates")


def test_what_was_found_after_looking_says_so():
    said = " ".join(real.cautions(detail(declared="after")))
    assert "Found after looking" in said
    assert "Found after looking" not in " ".join(real.cautions(detail()))


def test_a_small_number_of_units_is_said_with_its_smallest_chance():
    assert "0.25" in " ".join(real.cautions(detail()))


def test_units_that_cannot_be_tested_get_no_chance():
    assert "chance" not in " ".join(real.cautions(detail(units="cannot-test")))


def test_a_moved_control_edge_is_blamed_on_the_instrument_first():
    assert "instrument" in real.control_moved(["K L"])[0]


def test_the_command_line_defers_to_the_staff():
    assert app.info.epilog == CAUTION


@pytest.mark.parametrize("page", ["README.md", "docs/README.md", "docs/glossary.md"])
def test_the_entrances_defer_to_the_staff(page):
    assert CAUTION in (ROOT / page).read_text(encoding="utf-8")


def test_cautions_reach_the_reader():
    answer = replace(sample_answers.real(), cautions=("Look twice.", "Ask the staff."))
    text = as_text([answer])
    assert all(f"caution: {caution}" in text for caution in answer.cautions)


def test_one_unit_each_is_answered_without_a_chance():
    states = {"scans": "lit", "spots": "lit", "units": "cannot-test"}
    numbers = {"units": {"raw": 1, "fired": 1}, "control": "raw", "treated": ["fired"], "treated_arms": 1}
    said = real.sentence("spots", states, numbers)
    assert said == "**These two differ.** One unit each cannot tell us why."
