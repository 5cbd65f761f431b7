"""Every scan judged with reasons, and why two differ."""

import hashlib
import importlib.util
import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from edgeshift.formats.recognise import tables
from edgeshift.questions import trust
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE
from edgeshift.records.scan import Channel, Place, Scan
from edgeshift.records.shift_state import Arrival, DeclaredTie, Judgement, ShiftState
from edgeshift.records.spectrum import Spectrum
from edgeshift.reduction.edge_of_scan import with_edge
from edgeshift.reduction.pipeline import flagged, formed
from edgeshift.reduction.steps.columns import place_from, scan_from_table
from edgeshift.wording.trust import (
    BOTH,
    CAUTIONS,
    KEEP_IT,
    KINDS,
    REASONS,
    SCAN_AGAIN,
    difference,
    verdict_sentence,
)
from edgeshift.wording.trust import reason as reason_words
from edgeshift.wording.trust_findings import FINDINGS

ENERGY = np.linspace(1550.0, 1612.0, 249)
FEATURE = {"kind": "ratio", "windows": [[1565.9, 1566.5], [1567.9, 1568.5]]}


def curve(energy=ENERGY):
    step = 0.5 + np.arctan((energy - 1567) / 0.8) / np.pi
    return 1.0 + step + 1.2 * np.exp(-(((energy - 1568) / 1.4) ** 2))


def scan(number=1, energy=ENERGY, factor=1.0, i0=None, noise=0.006, **more):
    """A scan of RAW-A at Al K; `factor` (points or a number) multiplies the signal."""
    rng = np.random.default_rng(number)
    i0 = np.ones(energy.size) if i0 is None else i0
    signal = curve(energy) * factor * i0 * (1 + noise * rng.standard_normal(energy.size))
    channels = {
        "electron-yield": Channel("electron-yield", signal[None], "A", ("drain",)),
        "i0": Channel("i0", i0[None], "V", ("mesh",)),
    }
    said = {
        "key": f"scan-{number:03d}",
        "file": f"{number:04d}.dat",
        "sha256": str(number),
        "edge": "Al K",
        "energy_ev": energy,
        "dwell_s": np.ones(energy.size),
        "channels": channels,
        "signal": "electron-yield",
        "place": Place("RAW-A"),
    }
    return Scan(**{**said, **more})


def experiment(feature=FEATURE, **more):
    plan = {"edge": "Al K"} | ({"feature": feature} if feature else {})
    return Experiment.model_validate({"edges": [plan], "specimens": [{"name": "RAW-A"}], **more})


def ask(*scans, state=None, said=None, **more):
    said = said or experiment()
    sets = {"Al K": flagged(scans, said.recipe_for("Al K"))} if scans else {}
    return trust.answer(state or ShiftState(), said, sets, **more)


def codes(found, number=1):
    return [reason["code"] for reason in found.detail["scans"][f"{number:04d}.dat"]["reasons"]]


def verdict(found, number=1):
    return found.detail["scans"][f"{number:04d}.dat"]["verdict"]


def test_a_scan_that_began_early_and_shows_no_edge_is_not_told_to_begin_earlier():
    rng = np.random.default_rng(3)
    for bend in (0.0, -0.2):
        level = 1.0 + bend * (ENERGY - ENERGY[0]) / 60.0
        flat = level * (1 + 0.006 * rng.standard_normal(ENERGY.size)) / curve()
        found = ask(scan(factor=flat, noise=0.0), said=experiment(None))
        assert verdict(found) == "keep-with-a-note"
        assert "weak-step" in codes(found) and not {"short-below", "falls"} & set(codes(found))
        assert found.detail["scans"]["0001.dat"]["reasons"][0]["sentence"].startswith(("No edge", "No clear"))


def test_a_scan_that_began_too_late_is_still_told_so():
    late = ENERGY > 1566.0
    assert "short-below" in codes(ask(scan(energy=ENERGY[late])))


def test_one_blip_in_a_window_of_two_points_leaves_the_scan_kept():
    windows = {"kind": "ratio", "windows": [[1565.9, 1566.2], [1567.9, 1568.2]]}
    factor = np.ones(ENERGY.size)
    factor[int(np.argmin(np.abs(ENERGY - 1568.0)))] = np.nan
    found = ask(scan(factor=factor), said=experiment(windows))
    assert verdict(found) == "keep-with-a-note" and codes(found) == ["missing"]


def test_no_scans_is_no_verdict():
    found = ask()
    assert found.verdict == "cannot-tell" and found.detail["scans"] == {}


def test_clean_scans_are_kept_without_a_word():
    found = ask(scan(1), scan(2), scan(3))
    assert found.verdict == "all-kept" and found.sentence == "All 3 scans kept."
    assert [codes(found, n) for n in (1, 2, 3)] == [[], [], []]


@pytest.mark.parametrize(
    ("scans", "aside", "noted", "said"),
    [
        (1, 0, 0, "**Keep.** It is complete and quiet."),
        (1, 0, 1, "**Keep**, with a note: read it first."),
        (1, 1, 0, "**Set aside**, with its reason. Scan again?"),
        (3, 3, 0, "**None of 3 scans kept**; each is set aside, with its reason."),
        (46, 3, 9, "43 of 46 scans kept; **3 set aside**, with reasons."),
        (46, 0, 11, "**All 46 scans kept**; 11 with a note."),
    ],
)
def test_a_verdict_says_what_was_kept_and_marks_one_fact(scans, aside, noted, said):
    assert verdict_sentence(scans, aside, noted) == said


def test_what_was_set_aside_is_to_be_scanned_again_unless_it_is_a_copy():
    late = scan(1, ENERGY[ENERGY > 1565.5])
    assert ask(late, scan(2), scan(3)).would_change_it[:2] == (SCAN_AGAIN, KEEP_IT)
    twice = replace(scan(2), key="scan-009", file="0009.dat")
    assert ask(scan(1), scan(2), twice).would_change_it == (KEEP_IT,)


def test_a_scan_that_starts_in_its_edge_is_set_aside_with_the_reason():
    late = scan(1, ENERGY[ENERGY > 1565.5])
    found = ask(late, scan(2), scan(3))
    assert verdict(found) == "set-aside" and codes(found)[0] == "short-below"
    assert found.sentence == "2 of 3 scans kept; 1 set aside, with reasons."
    assert found.because[0].what.startswith("{scan:scan-001}: The level stretch")
    assert trust.set_aside(found) == {"scan-001"}


def test_a_ratio_outlives_a_missing_stretch_above_and_a_height_does_not():
    short = scan(1, ENERGY[ENERGY < 1571.0])
    assert verdict(ask(short)) == "keep-with-a-note" and codes(ask(short)) == ["short-above"]
    height = {"kind": "height", "windows": [[1567.5, 1568.5]]}
    assert verdict(ask(short, said=experiment(height))) == "set-aside"


def test_a_beam_trip_sets_a_scan_aside_and_a_slow_decline_does_not():
    trip, decline = np.ones(ENERGY.size), np.linspace(1.0, 0.9, ENERGY.size)
    trip[150:170] = 0.01
    decline[-40:] = np.linspace(0.9, 0.15, 40)
    found = ask(scan(1, i0=trip), scan(2, i0=decline))
    assert verdict(found, 1) == "set-aside" and "beam-dropped" in codes(found, 1)
    assert verdict(found, 2) == "keep-with-a-note" and codes(found, 2) == ["beam-dropped"]


def test_a_clipped_feature_sets_a_scan_aside_and_a_clipped_point_elsewhere_does_not():
    clipped = scan(1)
    at = {n: np.argmin(np.abs(ENERGY - e)) for n, e in ((1, 1568.2), (2, 1580.0))}
    top = clipped.channels["electron-yield"].raw[0]
    found = {}
    for number, place in at.items():
        raw = top.copy()
        raw[place] = 9.0
        channel = replace(clipped.channels["electron-yield"], raw=raw[None], ceiling=9.0)
        found[number] = ask(replace(clipped, channels={**clipped.channels, "electron-yield": channel}))
    assert verdict(found[1]) == "set-aside" and verdict(found[2]) == "keep-with-a-note"
    assert codes(found[2]) == ["clipped"]


def test_a_blip_is_a_note_and_the_scan_is_kept():
    factor = np.ones(ENERGY.size)
    factor[180] = 1.12
    found = ask(scan(1, factor=factor), scan(2), scan(3))
    assert verdict(found) == "keep-with-a-note" and codes(found) == ["spike"]
    assert "1595.0 eV" in found.detail["scans"]["0001.dat"]["reasons"][0]["sentence"]


def test_a_feature_without_points_sets_a_scan_aside():
    hole = (ENERGY < 1565.8) | (ENERGY > 1566.7)
    found = ask(scan(1, ENERGY[hole]), said=experiment({"kind": "height", "windows": [[1566.0, 1566.5]]}))
    assert verdict(found) in ("keep", "keep-with-a-note")
    wide = (ENERGY < 1564.0) | (ENERGY > 1567.5)
    found = ask(scan(1, ENERGY[wide]), said=experiment({"kind": "height", "windows": [[1566.0, 1566.5]]}))
    assert verdict(found) == "set-aside" and "gap" in codes(found)


def test_energies_that_step_back_are_told():
    jumpy = ENERGY.copy()
    jumpy[100] = jumpy[97]
    assert "back-steps" in codes(ask(scan(1, jumpy)))


def test_jitter_of_the_read_back_is_no_step_back():
    jitter = ENERGY + 0.05 * np.random.default_rng(1).standard_normal(ENERGY.size)
    assert "back-steps" not in codes(ask(scan(1, jitter)))


def test_a_sagging_scan_and_a_noisy_one_are_told_beside_their_repeats():
    sag = 1.0 - 0.25 * (1 - np.exp(-np.linspace(0, 4, ENERGY.size)))
    found = ask(scan(1, factor=sag), scan(2), scan(3))
    assert "tilted" in codes(found, 1)
    found = ask(scan(1, noise=0.03), scan(2), scan(3))
    assert codes(found, 1) == ["noisy"]


def test_a_squeezed_scan_is_told_and_the_cause_left_open():
    pressed = 1 / (1 + 0.25 * curve())
    found = ask(scan(1, factor=pressed), scan(2), scan(3))
    assert "squeezed" in codes(found, 1)
    assert "may do this" in reason_words("squeezed", {})


def test_a_busy_counter_is_kept_with_a_note():
    counts = Channel("fluorescence", 1e5 * curve()[None], "counts", ("FY",), dead_time_s=1.6e-6)
    busy = replace(scan(1), channels={"fluorescence": counts}, signal="fluorescence")
    found = ask(busy)
    assert codes(found) == ["dead-time"] and verdict(found) == "keep-with-a-note"


def test_an_unknown_or_unlisted_specimen_is_told():
    found = ask(scan(1, place=Place()), scan(2, place=Place("POT-X")))
    assert codes(found, 1) == ["no-specimen"] and codes(found, 2) == ["unlisted"]


def test_a_reader_s_doubt_stands_in_its_own_words():
    found = ask(scan(1, doubts=("The header names two clocks.",)))
    assert found.detail["scans"]["0001.dat"]["reasons"][0]["sentence"] == "The header names two clocks."


def test_noise_without_an_edge_is_weak():
    rng = np.random.default_rng(3)
    flat = (1.0 + 0.002 * (ENERGY > 1567)) / curve() * (1 + 0.05 * rng.standard_normal(ENERGY.size))
    assert {"weak-step", "short-below"} & set(codes(ask(scan(1, factor=flat))))


def test_a_signal_that_falls_at_its_edge_is_set_aside_and_a_swap_suspected():
    line = np.exp(-(((ENERGY - 1568) / 1.5) ** 2))
    found = ask(scan(1, factor=(2.0 + line - (ENERGY > 1569)) / curve()))
    assert "falls" in codes(found)
    assert "swapped?" in str(found.detail["scans"])


def test_a_copy_is_shown_and_counts_once():
    arrival = Arrival("scan-001", "0001.dat", "1", "2026-03-01T10:00:00Z", copies=("copy.dat",))
    found = ask(scan(1), scan(2), state=ShiftState(arrivals={"scan-001": arrival}))
    copy = found.detail["scans"]["copy.dat"]
    assert copy["reasons"][0]["code"] == "duplicate" and copy["copy_of"] == "0001.dat"
    assert found.sentence == "All 2 scans kept." and trust.set_aside(found) == frozenset()


def test_the_same_bytes_as_another_scan_are_set_aside():
    found = ask(scan(1), replace(scan(1), key="scan-002", file="0002.dat"))
    assert trust.set_aside(found) == {"scan-002"} and codes(found, 2)[0] == "duplicate"


def test_a_person_overrides_and_the_tool_s_view_stays():
    late = scan(1, ENERGY[ENERGY > 1565.5])
    judged = {
        "scan-001": Judgement("scan-001", "keep", "host", "Only its top is used.", "2026-03-01T10:00:00Z"),
        "scan-002": Judgement("scan-002", "set-aside", "host", "Wrong vial.", "2026-03-01T10:01:00Z"),
    }
    found = ask(late, scan(2), state=ShiftState(judgements=judged))
    first = found.detail["scans"]["0001.dat"]
    assert (first["verdict"], first["by"], first["tool"]) == ("keep", "host", "set-aside")
    assert [r["code"] for r in first["reasons"]] == ["judged", "short-below"]
    assert trust.set_aside(found) == {"scan-002"}


def test_a_scan_that_a_person_set_aside_is_no_measure_for_the_others():
    tilt = 1.0 + 0.8 * np.linspace(-0.5, 0.5, ENERGY.size)
    judged = {"scan-002": Judgement("scan-002", "set-aside", "host", "Wrong vial.", "2026-03-01T10:01:00Z")}
    assert "tilted" in codes(ask(scan(1), scan(2, factor=tilt)), 1)
    assert codes(ask(scan(1), scan(2, factor=tilt), state=ShiftState(judgements=judged)), 1) == []


def test_an_old_or_missing_energy_tie_is_one_caution_for_all():
    arrival = Arrival("scan-001", "0001.dat", "1", "2026-03-01T13:30:00Z")
    untied = ask(scan(1), scan(2))
    assert len(untied.cautions) == 1 and "No energy tie" in untied.cautions[0]

    def tied(time):
        tie = DeclaredTie(0.1, 0.02, "a standard", "Al K", time=time)
        return ask(scan(1), state=ShiftState(ties=(tie,), arrivals={"scan-001": arrival})).cautions

    assert tied("2026-03-01T13:00:00Z") == ()
    assert "3.5 h older" in tied("2026-03-01T10:00:00Z")[0]


def test_one_scan_alone_brings_its_trace_with_flags():
    factor = np.ones(ENERGY.size)
    factor[200] = 1.3
    trace = ask(scan(1, factor=factor)).detail["trace"]
    assert trace["flags"] == [
        {"energy_ev": float(ENERGY[200]), "code": "spike", "words": BY_CODE["spike"].words}
    ]
    assert len(trace["value"]) == len(trace["sigma"]) == ENERGY.size
    assert "trace" not in ask(scan(1), scan(2)).detail


def test_what_was_judged_once_is_remembered():
    said, memory = experiment(), {}
    sets = {"Al K": flagged((scan(1), scan(2)), said.recipe)}
    first = trust.answer(ShiftState(), said, sets, remembered=memory)
    known = len(memory)
    assert known > 2
    assert trust.answer(ShiftState(), said, sets, remembered=memory) == first
    assert len(memory) == known


def test_sentences_are_short_and_the_answer_is_json():
    numbers = dict.fromkeys(("points", "squeeze"), 3) | dict.fromkeys(
        (
            "found",
            "needed",
            "low",
            "high",
            "gap",
            "allowed",
            "at",
            "percent",
            "sigmas",
            "correlation",
            "times",
        ),
        1234.5,
    )
    for code in REASONS.keys() - FINDINGS.keys() - {"doubt", "judged"}:
        assert len(reason_words(code, numbers).split()) <= 20
    found = ask(scan(1, ENERGY[ENERGY > 1565.5]), scan(2))
    assert len(found.sentence.split()) <= 20
    json.dumps(found.detail)


def spectrum(key, value, seed):
    rng = np.random.default_rng(seed)
    noisy = value * (1 + 0.005 * rng.standard_normal(value.size))
    return Spectrum(
        key, ENERGY, noisy, np.full(value.size, 0.005), np.zeros(value.size, dtype=np.int64), edge="Al K"
    )


def test_two_repeats_are_the_same_within_noise():
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", curve(), 2))
    assert found.sentence == "{scan:a} and {scan:b} are the same within noise."
    assert found.detail["autopsy"]["main"] == "none" and found.cautions == ()


def test_a_slide_is_named_with_its_size_and_a_caution():
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", curve(ENERGY - 0.35), 2))
    slide = next(fact for fact in found.because if fact.code == "slide")
    assert found.detail["autopsy"]["main"] == "slide" and found.cautions == (CAUTIONS["slide"],)
    assert slide.value == pytest.approx(0.35, abs=0.02) and slide.unit == "eV" and slide.uncertainty < 0.04
    part = next(part for part in found.detail["autopsy"]["parts"] if part["code"] == "slide")
    assert slide.uncertainty == pytest.approx(2 * part["sigma"])
    assert found.fact == "mostly by a slide in energy"
    assert "+0.35" in found.sentence and "give or take" in found.sentence


def test_a_gain_is_told_in_percent():
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", 1.1 * curve(), 2))
    gain = next(fact for fact in found.because if fact.code == "gain")
    assert gain.unit == "%" and gain.value == pytest.approx(10.0, abs=1.0)
    assert "mostly in gain: +" in found.sentence and found.sentence.endswith(" %.")


@pytest.mark.parametrize("kind", (*KINDS, *BOTH))
def test_every_cause_is_said_shortly_with_one_fact_and_something_to_hear(kind):
    main = kind if kind in KINDS else "slide"
    said = difference("a", "b", kind, (main, -0.31, 0.02, "eV"))
    assert len(said.split()) <= 20 and said.count("**") == 2
    if kind not in ("none", "repeats"):
        assert 5 <= len(CAUTIONS[kind].split()) <= 20


def test_repeats_that_differ_a_little_in_gain_agree_as_repeats():
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", 1.02 * curve(), 2))
    assert found.sentence.startswith(
        "{scan:a} and {scan:b} agree as repeats; beyond noise there is a gain of +"
    )
    assert found.cautions == () and found.detail["autopsy"]["main"] == "gain"
    more = trust.compare(spectrum("a", curve(), 1), spectrum("b", 1.1 * curve(), 2))
    assert more.detail["autopsy"]["kind"] == "gain"


def test_a_thicker_repeat_agrees_in_position_and_its_cause_stays_open():
    """Thick and flat, read in fluorescence: N(1 + a)/(N + a) presses every tall part down."""
    mine = curve() - 1.0
    pressed = 1.0 + mine * 2.2 / (mine + 1.2) + 0.1 * np.linspace(0.0, 1.0, ENERGY.size) ** 2
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", pressed, 2))
    assert "agree in position" in found.sentence and "cause open" in found.sentence
    assert found.cautions == (CAUTIONS["bend"],) and "nor excluded" in CAUTIONS["bend"]
    assert all(abs(fact.value) < 0.05 for fact in found.because if fact.code == "slide")


def test_two_different_spectra_are_not_said_to_differ_by_an_offset():
    other = 3.0 + 2.0 * (curve(ENERGY - 4.0) - 0.9 * np.exp(-(((ENERGY - 1572) / 1.4) ** 2)))
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", other, 2))
    assert "two different spectra, not two scans of one thing" in found.sentence
    assert {fact.code for fact in found.because} == {"left"}
    assert found.cautions == (CAUTIONS["different"],)


def found_in_shift(code, *scans):
    return {
        "code": code,
        "sentence": f"Said of {code}.",
        "next": f"Look at {code}.",
        "scans": list(scans),
        "numbers": {},
    }


def test_what_the_shift_knows_of_one_of_two_scans_is_told_of_that_one():
    shift = (
        found_in_shift("slide-of-energy", "b", "c"),
        found_in_shift("off-specimen", "a", "b"),
        found_in_shift("damage", "c"),
        found_in_shift("dead-time-beside", "a"),
    )
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", curve(), 2), shift=shift)
    assert [(each["code"], each["scans"]) for each in found.detail["findings"]] == [
        ("slide-of-energy", ["b"])
    ]
    assert found.because[-1].what == "{scan:b}: Said of slide-of-energy."
    assert found.would_change_it == ("Look at slide-of-energy.",)


def test_flagged_points_take_no_part_in_the_comparison():
    second = spectrum("b", curve(), 2)
    spoilt = second.value.copy()
    spoilt[120] = 9.0
    flags = second.flags.copy()
    flags[120] = BY_CODE["spike"].bit
    found = trust.compare(spectrum("a", curve(), 1), replace(second, value=spoilt, flags=flags))
    assert found.detail["autopsy"]["main"] == "none"


def test_both_curves_come_with_names_and_noise_for_the_picture():
    found = trust.compare(spectrum("a", curve(), 1), spectrum("b", 1.1 * curve(), 2))
    told = found.detail["autopsy"]
    assert told["names"] == ["{scan:a}", "{scan:b}"]
    for key in ("first", "second"):
        assert len(told[key]) == len(told[f"{key}_sigma"]) == len(told["energy_ev"])
    both = np.hypot(told["first_sigma"], told["second_sigma"])
    np.testing.assert_allclose(told["left_sigma"], both)


def spoilt_scans(unit):
    """Four scans in this unit: one with a blip, one that tilts, one that is noisy and one that is short."""
    blip, tilt = np.ones(ENERGY.size), 1.0 - 0.004 * (ENERGY - ENERGY[0])
    blip[75] = 1.08
    made = scan(1, factor=unit * blip), scan(2, factor=unit * tilt), scan(3, factor=unit, noise=0.03)
    return *made, scan(4, ENERGY[ENERGY > 1565.5], factor=unit), scan(5, factor=unit), scan(6, factor=unit)


@pytest.mark.parametrize("unit", [1e-12, 1e-10, 1e-3, 1e6])
def test_the_unit_of_the_signal_changes_no_flag_and_no_reason(unit):
    one, other = (flagged(spoilt_scans(size), Recipe()) for size in (1.0, unit))
    assert any(each.flags.any() for each in one)
    for mine, theirs in zip(one, other, strict=True):
        np.testing.assert_array_equal(mine.flags, theirs.flags)
    told, again = (ask(*spoilt_scans(size)) for size in (1.0, unit))
    assert {code for n in range(1, 7) for code in codes(told, n)} >= {"spike", "noisy", "short-below"}
    assert again.sentence == told.sentence
    for file, entry in told.detail["scans"].items():
        assert again.detail["scans"][file]["reasons"] == entry["reasons"]


def test_every_main_cause_has_words():
    assert set(KINDS) == {"gain", "offset", "slope", "slide", "blur", "left"}


def test_two_that_share_nothing_cannot_be_told_apart():
    far = replace(spectrum("b", curve(), 2), energy_ev=ENERGY + 500)
    assert trust.compare(spectrum("a", curve(), 1), far).verdict == "cannot-tell"


COUNTER = BeamlineProfile.model_validate(
    {
        "energy": {"column": "Energy"},
        "channels": [
            {"role": "i0", "columns": ["Io"]},
            {"role": "fluorescence", "columns": ["FY"], "dead_time_columns": ["DeadTime"]},
        ],
        "signal": "fluorescence",
        "dwell_s": 1.0,
        "place": {"file_name": r"(?P<specimen>[A-Za-z0-9]+)_(?P<spot>pt\d)?"},
    }
)
LIBRARY = BeamlineProfile.model_validate(
    {
        "energy": {"column": "energy"},
        "channels": [{"role": "i0", "columns": ["i0"]}, {"role": "fluorescence", "columns": ["ifluor"]}],
        "signal": "fluorescence",
        "dwell_s": 1.0,
        "place": {"file_name": r"(?P<specimen>\w+?)_rt"},
    }
)


def open_passes(files, profile, edge):
    scans = []
    for number, path in enumerate(sorted(files), 1):
        data = path.read_bytes()
        table = tables(path.name, data)[0]
        digest = hashlib.sha256(data).hexdigest()
        one = scan_from_table(table, profile, f"scan-{number:03d}", digest, place_from(table, profile))
        scans.append(replace(with_edge(one, Experiment()), edge=edge))
    assert scans
    return flagged(tuple(scans), Recipe())


def open_answer(passes, edge):
    return trust.answer(ShiftState(), Experiment(), {edge: passes}).detail["scans"]


def test_busy_counters_of_the_redox_glasses_are_kept_with_a_note(open_data):
    told = open_answer(open_passes((open_data / "redox_glass_raw").glob("*.dat"), COUNTER, "Fe K"), "Fe K")
    assert {entry["verdict"] for entry in told.values()} == {"keep-with-a-note"}
    assert all([r["code"] for r in entry["reasons"]] == ["dead-time"] for entry in told.values())
    assert told["PyNa1200_pt1_01.dat"]["reasons"][0]["sentence"] == "The counter missed 42 % of the light."


def test_the_dose_series_is_too_short_to_scale(open_data):
    told = open_answer(open_passes((open_data / "dose_series_raw").glob("*.dat"), COUNTER, "Fe K"), "Fe K")
    assert len(told) == 10
    assert all(entry["verdict"] == "set-aside" for entry in told.values())
    assert all(entry["reasons"][0]["code"] == "few-points" for entry in told.values())


def test_no_whole_mineral_scan_is_set_aside(open_data):
    files = [
        f for f in (open_data / "mineral_raw").glob("*.dat") if f.name.startswith(("Pyr", "Ble", "Gyp", "Ni"))
    ]
    told = open_answer(open_passes(files, COUNTER, "S K"), "S K")
    assert len(told) == 9 and all(entry["verdict"] != "set-aside" for entry in told.values())


def test_the_fourth_calcium_sulphide_scan_is_pressed_down_and_gypsum_is_not(open_data):
    files = [*(open_data / "library_xdi/S").glob("CaS_*"), *(open_data / "library_xdi/S").glob("gypsum_*")]
    told = open_answer(open_passes(files, LIBRARY, "S K"), "S K")
    assert [r["code"] for r in told["CaS_rt_004.xdi"]["reasons"]] == ["squeezed"]
    assert all(entry["verdict"] == "keep" for file, entry in told.items() if file.startswith("gypsum"))


def test_calcium_sulphides_differ_by_the_gains_their_files_hold(open_data):
    passes = open_passes((open_data / "library_xdi/S").glob("CaS_*"), LIBRARY, "S K")
    first, *others = (each.curve for each in formed(passes, Recipe()))
    for other, gain in zip(others, (0.94, 0.15, 2.78), strict=True):
        autopsy = trust.compare(first, other).detail["autopsy"]
        part = next(part for part in autopsy["parts"] if part["code"] == "gain")
        assert 1 + part["value"] == pytest.approx(gain, rel=0.12)


def test_pyrite_repeats_differ_by_half_a_percent_of_gain_and_little_else(open_data):
    passes = open_passes((open_data / "mineral_raw").glob("Pyrite*"), COUNTER, "S K")
    one, two = (each.curve for each in formed(passes, Recipe()))
    autopsy = trust.compare(one, two).detail["autopsy"]
    parts = {part["code"]: part["value"] for part in autopsy["parts"]}
    assert abs(parts["gain"]) == pytest.approx(0.005, abs=0.004)
    assert abs(parts["slide"]) < 0.02


def test_clean_practice_scans_rarely_carry_a_reason_and_blips_are_found():
    """A short seeded version of benchmarks/trust_rates.py, its goals less two standard errors."""
    path = Path(__file__).resolve().parents[2] / "benchmarks" / "trust_rates.py"
    spec = importlib.util.spec_from_file_location("trust_rates", path)
    rates = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(rates)
    alarms, scans, blips = 0, 0, Counter()
    for seed in (100, 101, 102):
        shift = rates.practice_passes(seed)
        more, judged, _ = rates.false_alarms(*shift)
        alarms, scans = alarms + more, scans + judged
        blips += rates.blips_found(*shift[:2], np.random.default_rng(seed))
    tried = sum(count for key, count in blips.items() if key[2] == "tried")
    found = sum(count for key, count in blips.items() if key[2] == "found")
    assert scans == 138 and tried > 80
    assert alarms / scans <= 0.05 + 2 * np.sqrt(0.05 * 0.95 / scans)
    assert found / tried >= 0.95 - 2 * np.sqrt(0.05 * 0.95 / tried)
