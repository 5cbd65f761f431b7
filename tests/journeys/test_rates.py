"""How often the answers are right: short seeded versions of what `benchmarks/` counts at length."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from benchmark_modules import benchmark

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.practise import How, practise
from edgeshift.actions.session import Session
from edgeshift.folder.experiment_folder import ExperimentFolder

SEEDS = range(300, 306)
"""Seeds that no benchmark prints and no threshold was chosen on."""


@pytest.fixture(scope="module")
def shifts():
    """Six practice shifts, taken and asked as `edgeshift practice` does."""
    return [benchmark("practice_seeds").one_shift(seed) for seed in SEEDS]


def lit(shifts, edge: str) -> int:
    return sum(shift["edges"][edge]["rungs"]["units"] == "lit" for shift in shifts)


def test_what_truly_changed_is_lit_in_nearly_every_shift(shifts):
    assert lit(shifts, "Al K") == len(shifts)
    assert lit(shifts, "Fe L") >= len(shifts) - 1


def test_what_did_not_change_is_seldom_lit(shifts):
    """At a level of 0.05 three or more of six would come once in 450 runs."""
    assert max(lit(shifts, "K L"), lit(shifts, "Ti L")) <= 2


def test_every_edge_was_judged_by_pairs_at_the_units(shifts):
    for shift in shifts:
        assert set(shift["edges"]) == set(benchmark("practice_seeds").EDGES)
        for edge, found in shift["edges"].items():
            assert found["rungs"]["units"] in ("lit", "not-shown")
            assert len(found["moves"]) == (2 if edge == "Si K" else 3)


def test_few_clean_scans_are_set_aside(shifts):
    verdicts = Counter(verdict for shift in shifts for verdict in shift["verdicts"])
    assert verdicts.total() == 46 * len(shifts)
    assert verdicts["set-aside"] <= 0.05 * verdicts.total()


def test_the_main_cause_is_named_and_a_slide_has_no_bias():
    seen, slides = benchmark("trust_rates").causes_named(70, np.random.default_rng(9))
    right = sum(count for (planted, named), count in seen.items() if planted == named)
    assert right >= 0.9 * 70
    assert abs(slides.mean()) < 0.02


@pytest.mark.parametrize("scenario", benchmark("practice_score").SHIFTS)
def test_the_clubs_traps_are_caught_and_its_clean_scans_left_alone(scenario):
    """T9 and T17 rest on three pots and on two spots: chance hides them in some shifts. False alarms are one
    in twenty clean scans, with three standard deviations of what one shift can scatter."""
    landed, hosted, _, _ = benchmark("practice_score").one(scenario, 300)
    for found in (landed, hosted):
        missed = {call.trap for call in found.calls if call.outcome == "miss"}
        assert missed <= {"T9", "T17"}
        usual = found.clean / 20
        assert found.clean_alarms <= usual + 3.0 * usual**0.5


@pytest.mark.parametrize(("scenario", "kinds"), [("riverbank", {"judge", "tie"}), ("riverbank-2", {"place"})])
def test_the_scripted_host_logs_every_act_with_a_reason(tmp_path, scenario, kinds):
    practise(tmp_path / scenario, 301, desk=steady_desk(), how=How(scenario, "all"))
    benchmark("practice_score").host_acts(tmp_path / scenario)
    with ExperimentFolder.open(tmp_path / scenario) as folder:
        acts = [event for event in folder.events() if event.role == "host"]
    assert kinds <= {event.kind for event in acts}
    assert all(event.reason.strip() for event in acts)


def test_a_slide_without_a_standard_or_a_second_edge_is_not_tied(tmp_path):
    score = benchmark("practice_score")
    practise(tmp_path / "shift", 301, desk=steady_desk(), how=How("riverbank", "all"))
    with ExperimentFolder.open(tmp_path / "shift") as folder:
        session = Session(folder)
        (slide,) = (f for f in answer(session, "trust")[0].because if f.code == "slide-of-energy")
        scans = {scan.key: scan for some in session.known().scans.values() for scan in some}
        assert score.tie_back(folder, steady_desk(), slide, scans, {}) is None
        one_edge = tuple(ref for ref in slide.evidence if scans[ref.key].edge == "K L")
        kinds = {"FELDSPAR": "standard", "GOETHITE": "standard"}
        alone = replace(slide, evidence=one_edge)
        assert score.tie_back(folder, steady_desk(), alone, scans, kinds) is None
        assert score.tie_back(folder, steady_desk(), slide, scans, kinds) is not None
