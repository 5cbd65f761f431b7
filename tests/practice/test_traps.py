"""The seam for troubles: a trap changes what it means to and nothing else."""

import io
from dataclasses import replace

import numpy as np
import pytest

from edgeshift.errors import TextRefused
from edgeshift.practice import RawFile, Trap, planted, shift
from edgeshift.practice.seal import opened, sealed


class LeavesOut(Trap):
    """The third scan is never made."""

    def plan(self, scans, rng):
        return scans[:2] + scans[3:]


class Dims(Trap):
    """One scan's mesh reads half."""

    def reading(self, reading, rng):
        if reading.scan.number != 5:
            return reading
        return replace(reading, mesh_volt=0.5 * reading.mesh_volt)


class SavesTwice(Trap):
    """One file, chosen by lot, lands again under another name."""

    def files(self, files, rng):
        again = files[rng.integers(len(files))]
        return (*files, RawFile("copy_of_" + again.name, again.data, again.at_s + 60.0))


def test_a_trap_that_does_nothing_changes_nothing(riverbank, made):
    assert shift(riverbank, 7, (Trap(),)).files == made.files


def test_a_trap_may_change_the_plan(riverbank, made):
    files = shift(riverbank, 7, (LeavesOut(),)).files
    assert files == made.files[:2] + made.files[3:]


def test_a_trap_may_change_one_reading(riverbank, made):
    files = shift(riverbank, 7, (Dims(),)).files
    changed = [a.name for a, b in zip(files, made.files, strict=True) if a != b]
    assert changed == ["0005_AlK.dat"]


def test_a_trap_may_change_what_lands_and_keeps_its_lot(riverbank, made):
    first, second = (shift(riverbank, 7, (Dims(), SavesTwice())).files for _ in range(2))
    assert first == second
    assert len(first) == len(made.files) + 1
    copies = [file for file in first if file.name.startswith("copy_of_")]
    assert [file.data for file in copies] == [
        file.data for file in first if f"copy_of_{file.name}" == copies[0].name
    ]


def columns(shift_, name):
    """energy, mesh, drain, counts of one file."""
    data = next(file.data for file in shift_.files if file.name == name)
    return np.loadtxt(io.BytesIO(data), unpack=True)[:4]


def with_trap(scenario, name, seed=7):
    """A shift with one trap, the files it touches, and the same shift without."""
    made = shift(scenario, seed, planted(scenario, name))
    return made, made.truth.traps[name].struck


def test_none_all_and_some_traps_can_be_asked_for(riverbank):
    assert planted(riverbank, "none") == ()
    assert [trap.name for trap in planted(riverbank, "all")] == list(riverbank.traps)
    assert [trap.name for trap in planted(riverbank, "t1, T10")] == ["T1", "T10"]
    with pytest.raises(TextRefused, match="found 'T3'"):
        planted(riverbank, "T3")


def test_a_trip_takes_the_light_in_the_middle_of_one_scan_and_leaves_the_others(riverbank, made):
    tripped, struck = with_trap(riverbank, "T1")
    (name,) = struck
    _, mesh, drain, _ = columns(tripped, name)
    dark = np.flatnonzero(mesh < 0.1 * np.median(mesh))
    assert 0.61 < dark[0] / mesh.size < dark[-1] / mesh.size < 0.69
    assert (np.diff(dark) == 1).all()
    assert (np.abs(drain[dark]) < 0.1 * np.median(np.abs(drain))).all()
    changed = [a.name for a, b in zip(tripped.files, made.files, strict=True) if a.data != b.data]
    assert changed == [name]


def test_after_the_trip_every_energy_reads_too_high(riverbank):
    slid, struck = with_trap(riverbank, "T2")
    scans = slid.truth.scans
    before = [name for name in scans if name not in struck]
    assert {scans[name].slide_ev for name in before} == {0.0}
    assert {scans[name].slide_ev for name in struck} == {0.35}
    assert max(before) < min(struck)
    tops = []
    for name, place in slid.truth.places.items():
        if place == ("K L", "FELDSPAR"):
            energy, mesh, drain, _ = columns(slid, name)
            ratio = np.where(energy < 299, -drain / mesh, 0.0)
            tops.append(energy[ratio > 0.8 * ratio.max()].mean())
    assert tops[1] - tops[0] == pytest.approx(0.37, abs=0.06)


def test_a_spot_half_on_the_mount_loses_signal_and_step(riverbank, made):
    off, struck = with_trap(riverbank, "T8")
    for name in struck:
        drains = [np.abs(columns(each, name)[2]) for each in (off, made)]
        assert drains[0].mean() / drains[1].mean() == pytest.approx(0.6, abs=0.12)


def test_a_scan_may_start_too_late(riverbank):
    late, (name,) = with_trap(riverbank, "T18")
    assert columns(late, name)[0].min() > 455.9


def test_an_injection_on_the_line_jumps_in_the_yield_alone(riverbank, made):
    hit, (name,) = with_trap(riverbank, "T14")
    energy, mesh, drain, _ = columns(hit, name)
    _, usual_mesh, usual_drain, _ = columns(made, name)
    point = np.argmin(np.abs(energy - 709.5))
    assert point in hit.truth.scans[name].injected
    assert (drain / mesh)[point] / (usual_drain / usual_mesh)[point] > 1.03


def test_a_swap_changes_what_is_written_and_not_what_is_measured(scenario_named):
    second = scenario_named("riverbank-2")
    swapped, struck = with_trap(second, "T9")
    plain = shift(second, 7)
    for file in plain.files:
        other = next(each for each in swapped.files if each.name == file.name)
        assert (other.data != file.data) == (file.name in struck)
        numbers = [b"\n".join(d.split(b"\n")[13:]) for d in (other.data, file.data)]
        assert numbers[0] == numbers[1]


def test_damage_goes_on_with_dose_and_a_fresh_spot_has_none(scenario_named):
    made, struck = with_trap(scenario_named("riverbank-2"), "T11")
    doses = [made.truth.scans[name].dose_mgy for name in struck]
    assert np.diff(doses[:6]) == pytest.approx(doses[0], rel=1e-2)
    assert doses[0] == pytest.approx(doses[6], rel=1e-3)
    assert 1.5 < doses[0] < 3.5  # of the order of 2.6 MGy for one iron scan at 1 mm²


def test_charging_sags_where_it_absorbs_most_and_leaves_the_fluorescence(scenario_named):
    second = scenario_named("riverbank-2")
    sagged, struck = with_trap(second, "T12")
    plain = shift(second, 7)
    for name in struck:
        _, _, drain, counts = columns(sagged, name)
        _, _, usual_drain, usual_counts = columns(plain, name)
        left = drain / usual_drain
        assert left[:3].mean() > 0.95
        assert left[-20:].mean() < 0.80
        assert (counts == usual_counts).all()


def test_a_tight_beam_is_done_before_its_first_scan(scenario_named):
    made, struck = with_trap(scenario_named("riverbank-3"), "T20")
    doses = [made.truth.scans[name].dose_mgy for name in struck]
    assert min(doses[:5]) > 100
    assert doses[5] < 1


def test_a_line_stands_at_the_ceiling_and_a_counter_misses_a_quarter(scenario_named):
    third = scenario_named("riverbank-3")
    made, (calcium, aluminium) = with_trap(third, "T3")
    if "CaL" not in calcium:
        calcium, aluminium = aluminium, calcium
    drain = columns(made, calcium)[2]
    assert np.sum(drain == -2.0e-9) >= 3
    energy, _, _, counts = columns(made, aluminium)
    share = counts / 0.7 * third.beamline.dead_time_s
    assert 0.15 < share[energy > 1575].mean() < 0.35


def test_without_division_the_marks_of_the_mirrors_stay(scenario_named):
    made, (name,) = with_trap(scenario_named("riverbank-3"), "T13")
    energy, mesh, drain, _ = columns(made, name)
    ratio = drain / mesh
    dip = np.interp(577.0, energy, ratio) / np.interp([580.5, 572.0], energy, ratio).mean()
    assert dip < 0.98
    assert np.std(mesh / mesh.mean()) < 0.01


def test_aluminium_in_second_order_stands_where_barium_would_and_not_on_indium(scenario_named):
    made = shift(scenario_named("riverbank-3"), 7)
    rises = {}
    for name, (edge, specimen) in made.truth.places.items():
        if edge == "Ba M":
            energy, mesh, drain, _ = columns(made, name)
            ratio = -(drain - 1.5e-12) / (mesh - 0.012)
            rises[specimen] = ratio[(energy > 786) & (energy < 792)].mean() / ratio[energy < 781].mean() - 1
    assert rises["RAW-A"] > 0.005
    assert abs(rises["INDIUM"]) < 0.004


def test_iron_in_second_order_stands_above_the_calcium_lines_of_the_slip(scenario_named):
    made, struck = with_trap(scenario_named("riverbank-3"), "T7")
    for name in struck:
        energy, mesh, drain, _ = columns(made, name)
        ratio = -drain / mesh
        there, beside = np.abs(energy - 354.75) < 0.25, (energy > 356) & (energy < 358)
        assert ratio[there].mean() / ratio[beside].mean() > 1.04


def test_what_else_is_true_of_the_scans_of_a_trap_comes_into_the_seal(scenario_named):
    scenario = scenario_named("riverbank-3")
    told = opened(sealed(scenario, shift(scenario, 1, planted(scenario, "T3")), 1))
    assert told["traps"]["T3"]["also_true"] == ["gap", "feature-lost"]
