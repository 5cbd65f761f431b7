"""Can we begin? Four verdicts, an interval, a likely cause, and never leave to open anything."""

import numpy as np
import pytest

from edgeshift.questions import begin
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.event import Event
from edgeshift.records.shift_state import replay

MINUTES = np.arange(2.0, 31.0, 0.5)
DRY = {"dry_minutes": 21.0}


def ask(mbar, minutes=MINUTES, began=True, limit=1e-6, lock=DRY, zero=None, isolations=()):
    payload = {"load": "one", "file": None, "zero": zero, "began": began}
    noise = np.exp(0.02 * np.random.default_rng(5).standard_normal(len(minutes)))
    payload |= {"minutes": list(map(float, minutes)), "mbar": (np.array(mbar) * noise).tolist()}
    events = [Event(1, "2026-03-01T08:00:00Z", "pressure", "host", "", payload)]
    for at, rise in isolations:
        shut = {
            "load": "one",
            "at_min": at,
            "seconds": [0, 60, 120],
            "mbar": [1e-6 + rise * s for s in (0, 60, 120)],
        }
        events.append(Event(2, "2026-03-01T08:00:00Z", "isolate", "host", "", shut))
    typed = {"limits": {"pressure_mbar": limit}} if limit else {}
    return begin.answer(replay(events), Experiment.model_validate({**typed, "lock": lock}))


def codes(answer):
    return {fact.code for fact in answer.because}


def test_a_damp_load_is_given_minutes_and_named():
    found = ask(4.5e-5 / MINUTES)
    minutes = found.detail["minutes"]
    assert found.verdict == "not-yet" and found.detail["cause"] == "wet"
    assert minutes["low"] < 14.5 < minutes["high"] and found.detail["interval"] == 0.8
    assert found.sentence.startswith("The load is damp; its water leaves slowly. About ")


def test_a_dry_load_is_named_normal():
    assert ask(2.0e-5 / MINUTES, limit=4e-7, lock={"dry_minutes": 52.0}).detail["cause"] == "normal"


def test_without_a_dry_load_damp_and_normal_are_not_told_apart():
    found = ask(4.5e-5 / MINUTES, lock={})
    assert found.detail["cause"] == "normal-or-wet"
    assert any("dry_minutes" in act for act in found.would_change_it)


def test_slow_gas_is_called_polymer_or_pores():
    found = ask(2.1e-5 / MINUTES + 9e-6 / np.sqrt(MINUTES))
    assert found.detail["cause"] == "polymer"


def test_a_floor_above_the_limit_has_stalled_and_asks_for_isolations():
    found = ask(2.1e-5 / MINUTES + 2e-6)
    assert found.verdict == "stalled" and found.detail["cause"] == "leak"
    assert found.detail["minutes"]["value"] is None
    assert any(act.startswith("The host isolates") for act in found.would_change_it)


def test_one_straight_rise_proves_neither():
    found = ask(2.1e-5 / MINUTES + 2e-6, isolations=[(30.0, 1e-8)])
    assert found.detail["rises"] == "one"
    assert any("proves neither a leak nor outgassing" in fact.what for fact in found.because)
    assert found.would_change_it[0].startswith("The host isolates")


def test_two_rises_as_fast_mean_a_leak_whatever_the_curve():
    found = ask(4.5e-5 / MINUTES, isolations=[(12.0, 1e-8), (30.0, 0.99e-8)])
    assert (found.detail["rises"], found.detail["cause"]) == ("same", "leak")


def test_a_rise_that_tires_while_the_pressure_stays_flat_is_trapped_gas():
    found = ask(2.1e-5 / MINUTES + 2e-6, isolations=[(12.0, 1e-8), (30.0, 0.4e-8)])
    assert (found.detail["rises"], found.detail["cause"]) == ("less", "virtual-leak")


def test_isolations_too_close_say_nothing():
    found = ask(2.1e-5 / MINUTES + 2e-6, isolations=[(28.0, 1e-8), (30.0, 1e-8)])
    assert found.detail["rises"] == "soon"


def test_a_rise_times_the_typed_volume_is_what_comes_in():
    found = ask(2.1e-5 / MINUTES + 2e-6, lock={"volume_l": 10.0}, isolations=[(30.0, 1e-6)])
    comes_in = next(fact for fact in found.because if fact.code == "comes-in")
    assert comes_in.value == pytest.approx(1e-5) and comes_in.unit == "mbar L/s"


def test_below_the_typed_limit_since_the_last_reading_above_it():
    minutes = np.arange(2.0, 40.0)
    found = ask(2.1e-5 / minutes, minutes, zero="2026-03-01T10:00:00+01:00", limit=1e-6)
    since = found.detail["since_min"]
    assert found.verdict == "below-your-limit" and 20 <= since <= 23
    assert found.sentence == f"Below the limit our host typed, since 10:{since:.0f}."


def test_one_reading_below_is_said_to_be_one():
    minutes = np.arange(2.0, 22.1, 0.5)
    mbar = 2.2e-5 / minutes
    mbar[-1] = 8e-7
    assert ask(mbar, minutes).sentence.endswith(", by one reading only.")


def test_a_step_of_the_gauge_is_told():
    mbar = 4.5e-5 / MINUTES
    mbar[30:] *= 1.5
    found = ask(mbar)
    assert "gauge-stepped" in codes(found) and len(found.detail["steps"]) == 1


@pytest.mark.parametrize(
    ("mbar", "minutes", "refused"),
    [
        (4.5e-5 / MINUTES[:5], MINUTES[:5], "few"),
        (
            4.5e-5 / MINUTES * np.exp(np.random.default_rng(1).standard_normal(MINUTES.size)) + 1e-6,
            MINUTES,
            "jumps",
        ),
        (1e-6 * (2 + MINUTES), MINUTES, "rising"),
    ],
)
def test_a_log_that_carries_no_forecast_gets_none(mbar, minutes, refused):
    found = ask(mbar, minutes)
    assert found.verdict == "cannot-tell" and found.detail["refused"] == refused
    assert found.sentence.endswith("No forecast.") and "fan" not in found.detail


def test_without_a_typed_limit_nothing_is_forecast():
    found = ask(4.5e-5 / MINUTES, limit=None)
    assert found.verdict == "cannot-tell" and "typed no pressure limit" in found.sentence


def test_without_readings_there_is_nothing_yet():
    found = begin.answer(replay([]), Experiment())
    assert found.verdict == "cannot-tell" and found.detail["minutes"]["value"] is None


def test_every_answer_defers_to_the_staff():
    for found in (ask(4.5e-5 / MINUTES), ask(1e-7 * np.ones(58)), begin.answer(replay([]), Experiment())):
        assert found.cautions[0] == "Follow your facility's and beamline's rules; staff decide."
        assert "opens nothing" in found.cautions[1]


def test_how_many_readings_a_forecast_needs_is_said():
    found = ask(4.5e-5 / MINUTES[:7], MINUTES[:7])
    assert found.sentence == "Too few readings yet: 8 are needed, 7 are noted. No forecast."
