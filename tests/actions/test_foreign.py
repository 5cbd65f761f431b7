"""Scans since the beam was found on a specimen may show its mount; then the fit has no last word."""

import numpy as np
import pytest
from practised import begun, files, made
from scipy.special import erf

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.foreign import foreign
from edgeshift.actions.positions import position
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.records.answer import Answer

TEXT = made().experiment_text
MM = np.linspace(0.0, 10.0, 61)
ACROSS = 0.2 + 0.5 * (erf((MM - 3) / (2**0.5 * 0.25)) - erf((MM - 7) / (2**0.5 * 0.25)))
ROWS = "\n".join(f"{x:.4f} {y:.5f}" for x, y in zip(MM, ACROSS, strict=True))
SCAN = ("across.txt", f"# mm signal\n{ROWS}\n".encode())
RAW_A = [each for each in files("AlK") if b"specimen: RAW-A" in each[1]]
BARE = [(f"tape-{name}", data.replace(b"specimen: RAW-A", b"specimen: TAPE")) for name, data in RAW_A]
WITH_TAPE = TEXT.replace("specimens:\n", "specimens:\n  - {name: TAPE, kind: blank}\n", 1)


def noted(folder, desk):
    position(folder, desk, Who("host"), "RAW-A", SCAN, 5.0)


def beam(folder):
    (found,) = answer(Session(folder), "begin")
    return found.detail["beam"][0], found


def test_scans_that_show_the_bare_mount_alone_say_off_whatever_the_fit_says(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "bare", BARE[1:2], WITH_TAPE, desk) as folder:
        noted(folder, desk)
        assert beam(folder)[0]["verdict"] == "on"
        take(folder, RAW_A[:1], desk)
        told, found = beam(folder)
    assert (told["verdict"], told["reason"]) == ("off", "bare")
    fact = next(fact for fact in found.because if fact.code == "beam-off")
    assert "show its mount alone" in fact.what and fact.evidence[1].kind == "scan"


def test_scans_before_the_beam_was_found_say_nothing_of_where_it_is(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "before", [*BARE[1:2], *RAW_A[:1]], WITH_TAPE, desk) as folder:
        noted(folder, desk)
        assert beam(folder)[0]["verdict"] == "on"


def named(**elements):
    detail = {
        element: {
            "specimens": {name: {"verdict": verdict, "scan": "scan-001"} for name, verdict in told.items()}
        }
        for element, told in elements.items()
    }
    return Answer("here", "answered", "", detail={"elements": detail})


TRUSTED = Answer("trust", "all-kept", "", detail={"findings": ()})
MATTER = "matter: {{weights: {}}}\n"


@pytest.mark.parametrize(
    ("text", "elements", "shown"),
    [
        (MATTER.format("{Al: 0.2, Si: 0.3, O: 0.5}"), {"In": {"RAW-A": "seen"}}, ("In",)),
        (MATTER.format("{Al: 0.2, Si: 0.3, In: 0.5}"), {"In": {"RAW-A": "seen"}}, ()),
        (MATTER.format("{Al: 0.2, Si: 0.3, O: 0.5}"), {"In": {"RAW-A": "cannot-tell"}}, ()),
        (MATTER.format("{Al: 0.2, Si: 0.3, O: 0.5}"), {"Ti": {"RAW-A": "seen"}}, ()),
        ("", {"In": {"RAW-A": "seen"}}, ()),
        ("", {"In": {"RAW-A": "seen", "TAPE": "seen"}}, ("In",)),
    ],
)
def test_an_element_counts_as_the_mounts_where_the_specimen_cannot_hold_it(tmp_path, text, elements, shown):
    desk = steady_desk()
    with begun(tmp_path / "seen", [], WITH_TAPE + text, desk) as folder:
        noted(folder, desk)
        take(folder, RAW_A[:1], desk)
        found = foreign(Session(folder).known(), TRUSTED, named(**elements))["RAW-A"]
    assert found.elements == shown and found.scans == (("scan-001",) if shown else ())
