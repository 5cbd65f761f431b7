"""What only several scans together can show: each trap on drawn shifts, and silence on clean ones."""

import json
from dataclasses import replace

import numpy as np
import pytest
from benchmark_modules import benchmark

from edgeshift.questions import trust
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Place
from edgeshift.records.shift_state import Arrival, DeclaredTie, Judgement, ShiftState
from edgeshift.reduction.pipeline import flagged, formed
from edgeshift.wording.names import named, open_naming

rates = benchmark("trap_rates")
world = rates.trap_world


@pytest.fixture(scope="module")
def clean():
    """One drawn shift without a trap."""
    return world.shift(world.World(np.random.default_rng(21)))


def findings(found, code):
    return [each for each in found.detail["findings"] if each["code"] == code]


@pytest.mark.parametrize("name", rates.TRAPS)
def test_a_planted_trap_is_caught_where_it_was_planted(name):
    """Three drawn cases; the measured rates stand in docs/why."""
    place = list(rates.TRAPS).index(name)
    caught = []
    for number in range(3):
        day, guilty, code = rates.TRAPS[name](np.random.default_rng([31, place, number]))
        found = rates.answered(day)
        marked = {key for key, its in rates.told(found).items() if code in its}
        caught.append(code in rates.codes(found) if not guilty else len(marked & guilty) >= 0.6 * len(guilty))
    assert sum(caught) >= 2


def test_damage_charging_and_drift_are_told_apart():
    seen = rates.apart_rates(4, 41)
    right = sum(count for (planted, _, said), count in seen.items() if planted == said)
    assert right >= 0.85 * sum(seen.values()), seen


def test_a_clean_shift_is_left_alone(clean):
    found = rates.answered(clean)
    wrong, scans, codes = rates.blamed(found, set(rates.told(found)))
    assert wrong / scans <= 0.05, codes
    assert not rates.codes(found) & {"order-confounded", "shared-fire", "labels-swapped", "slide-of-energy"}


def test_a_slide_is_proposed_with_its_size_and_nothing_is_moved():
    day, _, _ = rates.jumped(np.random.default_rng([31, 0, 1]))
    found = rates.answered(day)
    (slide,) = findings(found, "slide-of-energy")
    assert slide["numbers"]["propose_ev"] == -slide["numbers"]["slide"]
    assert "nothing was moved" in slide["next"] and "cited" in slide["next"]
    fact = next(each for each in found.because if each.code == "slide-of-energy")
    assert fact.unit == "eV" and 0 < fact.uncertainty < 0.04


def test_a_tie_that_takes_the_slide_back_ends_the_finding():
    from edgeshift.records.scan import Tie

    day, guilty, _ = rates.jumped(np.random.default_rng([31, 0, 1]))
    (slide,) = findings(rates.answered(day), "slide-of-energy")
    tie = Tie(slide["numbers"]["propose_ev"], 0.02, "a standard, as published")
    tied = tuple(replace(s, tie=tie) if s.key in slide["scans"] else s for s in day.scans)
    if slide["numbers"].get("kind") != "growing":
        assert not findings(rates.answered(rates.Day(day.experiment, tied)), "slide-of-energy")


def test_a_drift_of_the_whole_shift_is_told_once_and_noted_on_no_scan():
    drawn = world.World(np.random.default_rng([31, 12]))
    drawn.drift_ev_per_h = 0.09
    found = rates.answered(world.shift(drawn))
    (drift,) = findings(found, "slide-of-energy")
    assert drift["numbers"]["kind"] == "drift" and drift["scans"] == []
    assert drift["numbers"]["slide"] == pytest.approx(0.09, abs=0.01)
    assert not findings(found, "slide-alone")


def test_a_swap_is_only_asked_about_and_no_label_is_changed():
    day, guilty, _ = rates.swapped(np.random.default_rng([31, 3, 0]))
    found = rates.answered(day)
    (swap,) = findings(found, "labels-swapped")
    assert "check" in swap["sentence"] and "stays as it is" in swap["next"]
    assert set(swap["scans"]) == guilty
    fact = next(each for each in found.because if each.code == "labels-swapped")
    assert {ref.key for ref in fact.evidence} == {"raw-B", "fired-C"}
    assert all(entry["verdict"] != "set-aside" for entry in found.detail["scans"].values())


def test_a_fresh_spot_that_returns_is_said_with_the_damage():
    world_ = world.World(np.random.default_rng(5))
    twists = [rates.Twist(changed=0.4 * k / 3) for k in range(4)]
    found = rates.answered(rates.repeats(world_, "Al K", twists, rates.Twist(), True))
    (damage,) = findings(found, "damage")
    assert damage["numbers"]["kind"] == "returned" and "fresh spot returns" in damage["sentence"]
    assert damage["scans"] == ["scan-002", "scan-003", "scan-004"]


def test_a_fresh_spot_that_is_as_changed_speaks_against_a_dose():
    world_ = world.World(np.random.default_rng(5))
    twists = [rates.Twist(changed=0.4 * k / 3) for k in range(4)]
    found = rates.answered(rates.repeats(world_, "Al K", twists, rates.Twist(changed=0.4), True))
    assert not findings(found, "damage")


def test_scans_whose_spot_nobody_named_are_no_dose_series():
    world_ = world.World(np.random.default_rng(5))
    day = rates.repeats(world_, "Al K", [rates.Twist(changed=0.4 * k / 3) for k in range(4)], None, True)
    nameless = tuple(replace(s, place=replace(s.place, spot=None)) for s in day.scans)
    assert not findings(rates.answered(rates.Day(day.experiment, nameless)), "damage")


def test_a_real_pair_of_lines_is_no_ghost():
    """The element whose lines these are has its partner where the table puts it."""
    drawn = world.World(np.random.default_rng(8))
    unit = world.matter(drawn, 0.3, 1.0)
    source = drawn.scan(1, "Al K", Place("raw-A", "s1"), 0.0, unit, rates.Twist())
    half = drawn.half_range(2, "Al K", Place("raw-A", "s1"), 400.0, unit, rates.Twist(order_share=0.05))
    day = rates.Day(world.text(3), (source, half))
    assert findings(rates.answered(day), "ghost-line")
    electrons = half.channels["electron-yield"]
    partner = 0.08 * np.exp(-(((half.energy_ev - 799.5) / 1.0) ** 2))
    real = replace(electrons, raw=electrons.raw * (1 + partner))
    paired = replace(half, channels={**half.channels, "electron-yield": real})
    assert not findings(rates.answered(rates.Day(world.text(3), (source, paired))), "ghost-line")


def test_the_bare_mount_is_known_where_it_was_measured():
    drawn = world.World(np.random.default_rng(9))
    unit, bare = world.matter(drawn, 0.2, 1.0), world.matter(drawn, 0.9, 1.0)
    scans = [
        drawn.scan(1, "Al K", Place("raw-A", "s1"), 0.0, unit, rates.Twist()),
        drawn.scan(2, "Al K", Place("TAPE", "s1"), 400.0, bare, rates.Twist()),
    ]
    half = {**unit, "share": 0.55, "step": unit["step"]}
    scans.append(drawn.scan(3, "Al K", Place("raw-A", "s2"), 800.0, half, rates.Twist()))
    text = world.text(3)
    tape = type(text.specimens[0])(name="TAPE", kind="blank")
    said = text.model_copy(update={"specimens": (*text.specimens, tape)})
    (off,) = findings(rates.answered(rates.Day(said, tuple(scans))), "off-specimen")
    assert off["numbers"]["kind"] == "mount" and off["scans"] == ["scan-003"]


def test_a_scan_that_a_person_set_aside_is_no_evidence():
    day, _, _ = rates.bare(np.random.default_rng(3))
    judged = {"scan-003": Judgement("scan-003", "set-aside", "host", "No I0.", "2026-05-02T10:00:00Z")}
    sets = {e: flagged(some, day.experiment.recipe_for(e)) for e, some in day.by_edge().items()}
    found = trust.answer(ShiftState(judgements=judged), day.experiment, sets)
    assert not findings(found, "fingerprint-left")


def test_a_beam_lost_after_the_last_tie_asks_for_a_standard(clean):
    scan = clean.scans[0]
    i0 = scan.channels["i0"]
    raw = i0.raw.copy()
    raw[0, 100:120] = 0.001
    tripped = replace(scan, channels={**scan.channels, "i0": replace(i0, raw=raw)})
    arrivals = {scan.key: Arrival(scan.key, scan.file, scan.sha256, "2026-05-02T10:00:00Z")}

    def cautions(tied):
        tie = DeclaredTie(0.1, 0.02, "a standard, as published", scan.edge, time=tied)
        state = ShiftState(arrivals=arrivals, ties=(tie,))
        sets = {scan.edge: flagged((tripped,), clean.experiment.recipe)}
        return trust.answer(state, clean.experiment, sets).cautions

    assert any("beam was lost" in said for said in cautions("2026-05-02T09:30:00Z"))
    assert not any("beam was lost" in said for said in cautions("2026-05-02T10:30:00Z"))


def test_arms_in_a_finding_are_tokens_until_they_are_named():
    day, _, _ = rates.confounded(np.random.default_rng(4))
    (order,) = findings(rates.answered(day), "order-confounded")
    assert "{arm:raw}" in order["sentence"]
    assert "{" not in named(order, open_naming(day.experiment))["sentence"]


def test_findings_are_json_and_the_same_with_a_memory(clean):
    sets = {e: flagged(some, clean.experiment.recipe_for(e)) for e, some in clean.by_edge().items()}
    memory: dict = {}
    first = trust.answer(ShiftState(), clean.experiment, sets, remembered=memory)
    assert trust.answer(ShiftState(), clean.experiment, sets, remembered=memory) == first
    assert trust.answer(ShiftState(), clean.experiment, sets) == first
    json.dumps(first.detail["findings"], allow_nan=False)


@pytest.mark.parametrize("unit", [1e-25, 1e12, 1e30])
def test_the_unit_of_a_file_changes_no_finding(unit):
    day, _, _ = rates.beside(np.random.default_rng([31, 2, 0]))
    scaled = []
    for scan in day.scans:
        electrons = scan.channels["electron-yield"]
        channels = {**scan.channels, "electron-yield": replace(electrons, raw=electrons.raw * unit)}
        scaled.append(replace(scan, channels=channels))
    one, other = rates.answered(day), rates.answered(rates.Day(day.experiment, tuple(scaled)))
    assert [(f["code"], f["scans"]) for f in one.detail["findings"]] == [
        (f["code"], f["scans"]) for f in other.detail["findings"]
    ]


def test_two_scans_that_differ_by_charging_say_so_with_the_next_act():
    drawn = world.World(np.random.default_rng(6))
    day = rates.repeats(drawn, "Al K", [rates.Twist(), rates.Twist(sag=0.3)], None, True)
    passes = formed(flagged(day.scans, Experiment().recipe), Experiment().recipe)
    found = trust.compare(*(each.curve for each in passes), passes=passes)
    assert [each["code"] for each in found.detail["findings"]] == ["charging"]
    assert any("indium" in act for act in found.would_change_it)
    assert trust.compare(*(each.curve for each in passes)).detail["findings"] == []


def with_smooth_monitor(scan):
    """The same scan with a monitor before the mirrors: its I0 knows nothing of the dips in its signal."""
    i0 = scan.channels["i0"]
    return replace(
        scan, channels={**scan.channels, "i0": replace(i0, raw=np.full_like(i0.raw, i0.raw.mean()))}
    )


def watched(smooth):
    """Four Ti L scans, in whose range the beam has a dip; the one of this number has a smooth monitor."""
    drawn = world.World(np.random.default_rng(14))
    unit = world.matter(drawn, 0.3, 1.0)
    scans = [
        drawn.scan(n, "Ti L", Place(f"raw-{n}", "s1"), 330.0 * n, unit, rates.Twist()) for n in range(1, 5)
    ]
    rng = np.random.default_rng(15)

    def wavering(scan):
        i0 = scan.channels["i0"]
        raw = i0.raw * (1 + 0.0005 * rng.standard_normal(i0.raw.shape))
        return replace(scan, channels={**scan.channels, "i0": replace(i0, raw=raw)})

    scans = [wavering(with_smooth_monitor(s) if s.key == smooth else s) for s in scans]
    return rates.answered(rates.Day(world.text(3), tuple(scans)))


def test_a_monitor_before_the_mirrors_is_known_by_the_other_scans_monitors():
    (left,) = findings(watched("scan-003"), "fingerprint-left")
    assert left["scans"] == ["scan-003"] and left["numbers"]["kind"] == "unmarked"
    assert "other scans' I0" in left["sentence"] and "behind the mirrors" in left["next"]


def test_monitors_that_all_see_the_dips_are_left_alone():
    assert not findings(watched(None), "fingerprint-left")


def seen_beside(elsewhere):
    """Three scans of one spot of a specimen that agree, and a fresh one that differs; two spots of two other
    specimens at another edge where those are `elsewhere`."""
    drawn = world.World(np.random.default_rng(16))
    unit, changed = world.matter(drawn, 0.30, 1.0), 0.0
    drawn.noise = 0.003
    while not 0.115 < changed_by(drawn, unit, changed) < 0.135:
        changed += 0.01
    twists = [rates.Twist(), rates.Twist(), rates.Twist(), rates.Twist(changed=changed)]
    spots = ["s1", "s1", "s1", "s2"]
    scans = [
        drawn.scan(n, "Al K", Place("raw-A", spot), 330.0 * n, unit, twist)
        for n, (spot, twist) in enumerate(zip(spots, twists, strict=True), 1)
    ]
    if elsewhere:
        places = [Place(name, spot) for name in ("raw-B", "raw-C") for spot in ("s1", "s2")]
        scans += [drawn.scan(n, "Si K", p, 330.0 * n, unit, rates.Twist()) for n, p in enumerate(places, 11)]
    return rates.answered(rates.Day(world.text(3), tuple(scans)))


def changed_by(drawn, unit, changed):
    """By how much of the height a change of the mixture moves some point of Al K."""
    at = np.arange(1550.0, 1610.0, 0.2)
    one, other = (drawn.absorption("Al K", at, unit["share"] + more) for more in (0.0, changed))
    return float(np.max(np.abs(one - other)) / np.ptp(one))


def test_spots_at_other_edges_tell_how_much_a_fresh_spot_may_differ():
    (burnt,) = findings(seen_beside(elsewhere=True), "burnt-before")
    assert burnt["scans"] == ["scan-001", "scan-002", "scan-003"]
    assert not findings(seen_beside(elsewhere=False), "burnt-before")
