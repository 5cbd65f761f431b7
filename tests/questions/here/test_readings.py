"""What is read off an edge: half steps in order, tops, L3 over L2 with its definition, foils before ranks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from edgeshift.formats.emsa import UNTIED
from edgeshift.numerics.lines import arctangent_step, gaussian
from edgeshift.questions.here.reading_facts import reading_facts
from edgeshift.questions.here.readings import foils_apart, in_order, readings
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.scan import Channel, Place, Scan, Tie
from edgeshift.reduction.pipeline import flagged, reduce_edge

AT = np.arange(6500.0, 6640.0, 0.5)
MN_L = np.arange(625.0, 690.0, 0.2)


def oxide(name: str, half_ev: float, *, foil_ev: float | None = None, axis_ev: float = 0.0, seed: int = 1):
    """A transmitted scan with half a step at `half_ev` and a foil behind it, on an axis that is off."""
    rng = np.random.default_rng(seed)
    step = arctangent_step(AT, 1.0, half_ev, 2.0)
    beam = 1e5 * (1.0 + 1e-4 * rng.standard_normal(AT.size))
    through = beam * np.exp(-0.2 - step)
    channels = {"i0": beam, "transmitted": through}
    if foil_ev is not None:
        behind = 0.1 * arctangent_step(AT, 1.0, foil_ev, 1.5) + 0.6 * arctangent_step(
            AT, 1.0, foil_ev + 7.0, 3.0
        )
        channels["reference"] = through * np.exp(-behind)
    held = {role: Channel(role, values[None], "none", (role,)) for role, values in channels.items()}
    key, where = f"scan-{seed:03d}", Place(name, "s1")
    energy, dwell = AT + axis_ev, np.ones(AT.size)
    return Scan(key, f"{key}.dat", f"{seed:064d}", "Mn K", energy, dwell, held, "transmitted", place=where)


def pair(name: str, ratio: float, *, untied: bool = False, ground: float = 0.0, seed: int = 1) -> Scan:
    """L3 and L2 of manganese with this ratio of heights above a 2:1 step, as a ready-made absorption."""
    rng = np.random.default_rng(seed)
    step = arctangent_step(MN_L, 2 / 3, 642.2, 1.0) + arctangent_step(MN_L, 1 / 3, 653.2, 1.0)
    lines = gaussian(MN_L, 4.0, 643.0, 2.0) + gaussian(MN_L, 4.0 / ratio, 654.0, 2.0)
    value = ground + step + lines + 0.005 * rng.standard_normal(MN_L.size)
    channels = {"absorption": Channel("absorption", value[None], "none", ("mu",))}
    doubts = (UNTIED,) if untied else ()
    key = f"scan-{seed:03d}"
    dwell = np.ones(MN_L.size)
    return Scan(key, f"{key}.dat", f"{seed:064d}", "Mn L", MN_L, dwell, channels, "absorption",
                place=Place(name, "s1"), doubts=doubts)  # fmt: skip


def reduced(*scans: Scan) -> EdgeSet:
    return reduce_edge(scans[0].edge, flagged(scans, Recipe()), Recipe(), frozenset())


def facts(edge_set: EdgeSet, code: str) -> list:
    read = readings(edge_set)
    form = {"spots": [], "readings": read, "in_order": in_order(read), "tie_by": foils_apart(read)}
    return [fact for fact in reading_facts(edge_set.edge, form, None) if fact.code == code]


def test_half_a_step_stands_where_it_was_put_and_specimens_in_their_order():
    found = reduced(oxide("late", 6551.0, seed=1), oxide("early", 6546.0, seed=2))
    read = {each["specimen"]: each["half_step"] for each in readings(found)}
    assert read["early"]["value"] == pytest.approx(6546.0, abs=0.2)
    assert 0.04 < read["early"]["sigma"] < 0.2, "a tenth of the spacing at least"
    assert [each["specimen"] for each in in_order(readings(found))] == ["early", "late"]
    (fact,) = facts(found, "in-order")
    assert fact.what == "by half a step: {specimen:early} before {specimen:late}"


def test_half_steps_that_are_nearly_one_are_not_told_apart():
    found = reduced(
        oxide("one", 6546.0, seed=1), oxide("other", 6546.05, seed=2), oxide("late", 6550.0, seed=3)
    )
    assert [each["apart"] for each in in_order(readings(found))] == [True, False, True]
    (fact,) = facts(found, "in-order")
    assert "not told apart from" in fact.what and fact.what.endswith("before {specimen:late}")


def test_specimens_are_not_ranked_while_their_foils_stand_apart_and_a_tie_mends_it():
    """The axis of one is 3 eV high: by the raw axes it would stand last, and it is the first."""
    late = oxide("late", 6548.0, foil_ev=6539.0, seed=1)
    early = oxide("early", 6546.0, foil_ev=6539.0, axis_ev=2.6, seed=2)
    apart = reduced(late, early)
    shifts = foils_apart(readings(apart))
    assert shifts["scan-001"] - shifts["scan-002"] == pytest.approx(2.6, abs=0.1)
    (fact,) = facts(apart, "foils-apart")
    assert fact.value == pytest.approx(2.6, abs=0.1) and not facts(apart, "in-order")
    tied = reduced(*(replace(s, tie=Tie(shifts[s.key], 0.02, "the foil")) for s in (late, early)))
    assert foils_apart(readings(tied)) == {}
    assert [each["specimen"] for each in in_order(readings(tied))] == ["early", "late"]


def test_a_scan_without_a_foil_has_none():
    assert readings(reduced(oxide("bare", 6546.0)))[0]["foils"] == {}


def test_line_ratios_come_each_with_its_definition_and_its_windows():
    found = reduced(pair("film", 2.5))
    told = {each["definition"]: each for each in readings(found)[0]["lines"]}
    assert set(told) == {"raw-maxima", "maxima-above-steps", "areas-above-steps"}
    assert told["maxima-above-steps"]["value"] == pytest.approx(2.5, abs=0.15)
    assert told["raw-maxima"]["value"] < told["maxima-above-steps"]["value"] - 0.3
    said = [fact.what for fact in facts(found, "line-ratio")]
    assert any("nothing taken away, over " in each for each in said)
    assert all("L3 over L2" in each and " eV" in each and "unreliable" not in each for each in said)


def test_on_an_axis_that_is_tied_to_nothing_every_number_says_so_and_nothing_is_ranked():
    found = reduced(pair("film", 2.5, untied=True, seed=1), pair("edge", 4.0, untied=True, seed=2))
    assert in_order(readings(found)) == []
    for code in ("line-ratio", "half-step", "tops"):
        assert facts(found, code)
        assert all("absolute energy unreliable" in fact.what for fact in facts(found, code)), code


def test_where_the_ground_still_lies_beneath_there_is_no_ratio_of_raw_maxima():
    told = readings(reduced(pair("film", 2.5, ground=2.0)))[0]["lines"]
    assert "raw-maxima" not in {each["definition"] for each in told}


def test_a_curve_without_a_usable_step_says_so_and_has_no_half_step():
    falling = pair("film", 2.5)
    channel = falling.channels["absorption"]
    slope = np.where(MN_L > 660.0, -0.5 * (MN_L - 660.0), 0.0)
    channels = {"absorption": replace(channel, raw=channel.raw + slope)}
    (read,) = readings(reduced(replace(falling, channels=channels)))
    assert read["no_step"].startswith("No usable edge step:")
    assert read["half_step"] is None
    assert {each["definition"] for each in read["lines"]} <= {"raw-maxima"}


def sulphide(name: str, line: float, seed: int) -> Scan:
    """A slow edge with a line in front of it that is as high as an edge step."""
    at = np.arange(2455.0, 2520.0, 0.25)
    step = arctangent_step(at, 1.0, 2473.0, 3.0) + gaussian(at, 0.7, 2476.5, 5.0)
    noise = 0.004 * np.random.default_rng(seed).standard_normal(at.size)
    value = {
        "absorption": Channel(
            "absorption", (step + gaussian(at, line, 2467.0, 1.6) + noise)[None], "none", ("mu",)
        )
    }
    key = f"scan-{seed:03d}"
    return Scan(key, f"{key}.dat", f"{seed:064d}", "S K", at, np.ones(at.size), value, "absorption",
                place=Place(name, "s1"))  # fmt: skip


def test_a_line_in_front_of_an_edge_is_not_ranked_as_the_edge():
    edge_set = reduced(sulphide("plain", 0.0, 1), sulphide("lined", 1.2, 2))
    found = {each["specimen"]: each["half_step"] for each in readings(edge_set)}
    assert found["lined"]["lines_before"] and not found["plain"]["lines_before"]
    assert found["lined"]["value"] > 2469.0, "the line itself rises at 2466 eV"
    (ranked,) = facts(edge_set, "in-order")
    assert "not told apart from" in ranked.what and "before" not in ranked.what
    (told,) = [f for f in facts(edge_set, "half-step") if "a line in front of the edge" in f.what]
    assert told.what.startswith("{specimen:lined}")


def test_half_steps_on_one_axis_that_nobody_tied_are_apart_by_more_than_its_error():
    near = reduced(oxide("A", 6546.0, seed=1), oxide("B", 6546.2, seed=2))
    far = reduced(oxide("A", 6546.0, seed=1), oxide("B", 6547.0, seed=2))
    assert [each["apart"] for each in in_order(readings(near))] == [True, False]
    assert [each["apart"] for each in in_order(readings(far))] == [True, True]
    assert all(each["half_step"]["sigma"] >= near.recipe.shares.slide_ev for each in readings(near))
