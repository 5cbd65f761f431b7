"""On, over the edge, off, or cannot tell; with the phosphor's offset, and told in the answer."""

import numpy as np
import pytest
from scipy.special import erf

from edgeshift.questions import begin
from edgeshift.questions.begin import Foreign
from edgeshift.questions.begin.on_specimen import on_specimen
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.event import Event
from edgeshift.records.shift_state import replay
from edgeshift.wording import begin as words

MM = np.linspace(0.0, 10.0, 61)
SIGNAL = 0.2 + 0.5 * (erf((MM - 3) / (2**0.5 * 0.25)) - erf((MM - 7) / (2**0.5 * 0.25)))
SIGNAL = SIGNAL + 0.01 * np.random.default_rng(1).standard_normal(MM.size)
TILTED = BeamlineProfile(incidence_deg=30.0)


def noted(at, phosphor=0.0, kept=slice(None)):
    return {"specimen": "RAW-A", "mm": MM[kept].tolist(), "signal": SIGNAL[kept].tolist(),
            "at_mm": at, "phosphor_mm": phosphor}  # fmt: skip


@pytest.mark.parametrize(
    ("at", "verdict"), [(5.0, "on"), (3.6, "on"), (3.3, "edge"), (2.8, "edge"), (1.0, "off"), (9.0, "off")]
)
def test_the_beam_is_on_over_the_edge_or_off(at, verdict):
    assert on_specimen(noted(at), BeamlineProfile()).verdict == verdict


def test_a_proud_phosphor_takes_its_offset_from_the_margin():
    plain, moved = (on_specimen(noted(5.0, proud), TILTED) for proud in (0.0, 1.0))
    assert plain.margin_mm - moved.margin_mm == pytest.approx(1.73, abs=0.01)
    assert (plain.verdict, moved.verdict) == ("on", "edge")


@pytest.mark.parametrize(
    ("scan", "beamline", "reason"),
    [
        (noted(5.0, 1.0), BeamlineProfile(), "no-angle"),
        (noted(5.0, kept=slice(0, 5)), TILTED, "few"),
        (noted(5.0, kept=slice(0, 12)), TILTED, "flat"),
        (noted(5.0, kept=slice(0, 36)), TILTED, "one-edge"),
    ],
)
def test_what_the_scan_does_not_show_is_not_told(scan, beamline, reason):
    found = on_specimen(scan, beamline)
    assert (found.verdict, found.reason) == ("cannot-tell", reason)


def test_the_answer_tells_it_of_every_specimen_by_the_last_scan():
    events = [
        Event(number, "2026-03-01T08:00:00Z", "position", "host", "", noted(at))
        for number, at in enumerate((1.0, 5.0), 1)
    ]
    found = begin.answer(replay(events), Experiment())
    (beam,) = found.detail["beam"]
    fact = next(fact for fact in found.because if fact.code == "beam-on")
    assert beam["verdict"] == "on" and fact.value == beam["margin_mm"] and fact.unit == "mm"
    assert fact.what == "the beam lands on {specimen:RAW-A} with room to spare, beyond two sigma"


@pytest.mark.parametrize(
    ("foreign", "at", "verdict", "reason"),
    [
        (Foreign(("In",)), 5.0, "edge", "foreign"),
        (Foreign(share=0.2), 5.0, "edge", "mount"),
        (Foreign(share=0.97, bare=True), 5.0, "off", "bare"),
        (Foreign(("In",)), 1.0, "off", ""),
        (Foreign(), 5.0, "on", ""),
    ],
)
def test_lines_of_the_mount_speak_against_a_fit_that_says_on(foreign, at, verdict, reason):
    found = on_specimen(noted(at), BeamlineProfile(), foreign)
    assert (found.verdict, found.reason) == (verdict, reason)


def test_lines_of_the_mount_are_told_where_no_step_stands_out():
    found = on_specimen(noted(5.0, kept=slice(0, 12)), TILTED, Foreign(("In", "C")))
    assert found.verdict == "edge"
    assert words.on_specimen(found).startswith("indium and carbon of the mount: seen in {specimen:RAW-A}")


def test_width_footprint_and_the_phosphors_offset_are_told_beside_the_margin():
    events = [Event(1, "2026-03-01T08:00:00Z", "position", "host", "", noted(5.0, 1.0))]
    typed = {"beamline": {"incidence_deg": 30.0, "beam_mm2": 0.25}}
    found = begin.answer(replay(events), Experiment.model_validate(typed))
    told = {fact.code: fact.value for fact in found.because}
    assert told["beam-footprint"] == pytest.approx(1.0) and told["beam-offset"] == pytest.approx(
        1.73, abs=0.01
    )
    assert told["beam-width"] == pytest.approx(0.59, abs=0.03)
    assert found.sentence == words.NO_READINGS_BUT_BEAM and not found.sentence.startswith("Nothing here")


def test_how_many_positions_are_needed_is_said():
    assert words.on_specimen(on_specimen(noted(5.0, kept=slice(0, 5)), TILTED)).endswith(
        "too few positions, 8 are needed"
    )
