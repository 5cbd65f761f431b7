from dataclasses import replace

import numpy as np
import pytest

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE, UNUSABLE
from edgeshift.records.scan import Channel, Place, Scan
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.steps import flag

ENERGY = np.linspace(1550.0, 1612.0, 249)
TOP = int(np.argmin(np.abs(ENERGY - 1568.0)))
NOISE = 0.006


def curve():
    step = 0.5 + np.arctan((ENERGY - 1567) / 0.8) / np.pi
    return 1.0 + step + 1.2 * np.exp(-(((ENERGY - 1568) / 1.4) ** 2))


def passed(key="scan-001", signal=None, i0=None, specimen="RAW-A", ceiling=None, **more):
    """A noisy pass with an I0 that wanders by a third; its signal follows I0."""
    rng = np.random.default_rng(int(key[-3:]))
    i0 = 1.0 + 0.3 * np.sin(ENERGY / 9) if i0 is None else i0
    signal = curve() * i0 * (1 + NOISE * rng.standard_normal(ENERGY.size)) if signal is None else signal
    channels = {
        "electron-yield": Channel("electron-yield", signal[None], "A", ("drain",), ceiling=ceiling),
        "i0": Channel("i0", i0[None], "V", ("mesh",)),
    }
    scan = Scan(
        key, f"{key}.dat", key, "Al K", ENERGY, np.ones(ENERGY.size), channels, "electron-yield",
        place=Place(specimen), **more,
    )  # fmt: skip
    rates = {"electron-yield": signal, "i0": i0}
    return Pass(scan, np.zeros(ENERGY.size, dtype=np.int64), rates, dict.fromkeys(rates, signal * np.nan))


def spoilt(each, points, factor):
    """The same pass with the signal multiplied at these points, raw and rate alike."""
    signal = each.rates["electron-yield"].copy()
    signal[points] *= factor
    channel = replace(each.scan.channels["electron-yield"], raw=signal[None])
    scan = replace(each.scan, channels={**each.scan.channels, "electron-yield": channel})
    return replace(each, scan=scan, rates={**each.rates, "electron-yield": signal})


def points(each, code):
    return np.flatnonzero(each.flags & BY_CODE[code].bit).tolist()


def test_a_blip_on_the_white_line_is_flagged_in_its_scan_alone():
    first, *others = (passed(f"scan-00{n}") for n in (1, 2, 3))
    done = flag.run((spoilt(first, TOP, 1.05), *others), Recipe())
    assert points(done[0], "spike") == [TOP]
    assert not done[1].flags[TOP] and not done[2].flags[TOP]


def test_scans_of_other_specimens_are_not_compared():
    done = flag.run(
        (passed("scan-001"), spoilt(passed("scan-002", specimen="RAW-B"), slice(None), 1.3)), Recipe()
    )
    assert not any(each.flags.any() for each in done)


def test_a_scan_without_a_specimen_is_judged_by_its_own_curvature():
    done = flag.run((spoilt(passed(specimen=None), 200, 1.15),), Recipe())
    assert points(done[0], "spike") == [200]


def test_the_same_bytes_twice_do_not_vouch_for_each_other():
    first = spoilt(passed("scan-001"), 200, 1.15)
    copy = replace(first, scan=replace(first.scan, key="scan-002"))
    done = flag.run((first, copy), Recipe())
    assert points(done[0], "spike") == points(done[1], "spike") == [200]


def test_points_after_an_injection_are_flagged_at_half_the_distance():
    clock = 1.5 * np.arange(1, ENERGY.size + 1)
    quiet = [passed(f"scan-00{n}") for n in (2, 3)]
    moment = 1.5 * 180 + 1.0
    timed = passed("scan-001", clock_s=clock, injections_s=(moment,))
    expected = 180
    hit = flag.run((spoilt(timed, expected, 1.035), *quiet), Recipe())[0]
    missed = flag.run((spoilt(passed("scan-001"), expected, 1.035), *quiet), Recipe())[0]
    assert points(hit, "injection") == [expected] and points(hit, "spike") == []
    assert points(missed, "injection") == []


def test_readings_at_a_typed_ceiling_are_clipped():
    signal = np.minimum(curve(), 2.0)
    done = flag.run((passed(signal=signal, ceiling=2.0),), Recipe())[0]
    assert points(done, "clipped") == np.flatnonzero(curve() >= 2.0).tolist()


def test_a_negative_current_clips_at_its_ceiling_too():
    channel = Channel(
        "electron-yield", -np.minimum(curve(), 2.0)[None], "A", ("drain",), sign=-1, ceiling=2.0
    )
    each = passed()
    scan = replace(each.scan, channels={**each.scan.channels, "electron-yield": channel})
    assert points(flag.run((replace(each, scan=scan),), Recipe())[0], "clipped")


def test_a_flat_top_is_seen_without_a_ceiling():
    rng = np.random.default_rng(1)
    reading = np.minimum(curve() * (1 + 0.001 * rng.standard_normal(ENERGY.size)), 2.3)
    assert np.flatnonzero(flag.flat_top(reading)).tolist() == np.flatnonzero(reading >= 2.3).tolist()


@pytest.mark.parametrize("digits", [1, 2, 3])
def test_coarse_rounding_is_no_flat_top(digits):
    assert not flag.flat_top(np.round(curve(), digits)).any()


def test_a_dead_column_has_no_flat_top():
    assert not flag.flat_top(np.full(50, 75.0)).any()
    assert not flag.flat_top(np.full(50, np.nan)).any()


def test_a_beam_that_falls_away_is_flagged_and_an_ordinary_dip_is_not():
    i0 = np.ones(ENERGY.size)
    i0[40:60] = 0.65
    i0[150:158] = 0.01
    done = flag.run((passed(i0=i0),), Recipe())[0]
    assert points(done, "i0-collapse") == list(range(150, 158))


def test_missing_numbers_are_flagged_and_stay_in_place():
    signal = curve().copy()
    signal[[10, 70]] = np.nan
    done = flag.run((passed(signal=signal),), Recipe())[0]
    assert points(done, "missing") == [10, 70] and done.flags.size == ENERGY.size


def test_scans_run_downwards_are_flagged_at_the_right_rows():
    up = [passed(f"scan-00{n}") for n in (1, 2, 3)]
    first = spoilt(up[0], TOP, 1.06)
    signal, i0 = (first.rates[role][::-1].copy() for role in ("electron-yield", "i0"))
    channels = {role: replace(c, raw=c.raw[:, ::-1].copy()) for role, c in first.scan.channels.items()}
    scan = replace(first.scan, energy_ev=ENERGY[::-1].copy(), channels=channels, direction="down")
    down = replace(first, scan=scan, rates={"electron-yield": signal, "i0": i0})
    done = flag.run((down, *up[1:]), Recipe())
    assert points(done[0], "spike") == [ENERGY.size - 1 - TOP]


def test_clean_scans_are_seldom_flagged_at_all():
    flagged = 0
    for seed in range(20):
        rng = np.random.default_rng(seed)
        trio = [
            passed(
                f"scan-00{n}",
                signal=curve() * (1 + 0.006 * rng.standard_normal(ENERGY.size)),
                i0=np.ones(249),
            )
            for n in (1, 2, 3)
        ]
        flagged += sum(bool(each.flags.any()) for each in flag.run(tuple(trio), Recipe()))
    assert flagged <= 4


def test_input_is_untouched_and_the_same_twice():
    trio = tuple(passed(f"scan-00{n}") for n in (1, 2, 3))
    spoilt_trio = (spoilt(trio[0], TOP, 1.08), *trio[1:])
    before = [(each.flags.copy(), each.rates["electron-yield"].copy()) for each in spoilt_trio]
    first, second = flag.run(spoilt_trio, Recipe()), flag.run(spoilt_trio, Recipe())
    for each, (flags, rate) in zip(spoilt_trio, before, strict=True):
        np.testing.assert_array_equal(each.flags, flags)
        np.testing.assert_array_equal(each.rates["electron-yield"], rate)
    for one, two in zip(first, second, strict=True):
        np.testing.assert_array_equal(one.flags, two.flags)


def test_scaling_every_signal_changes_no_flag():
    trio = (spoilt(passed("scan-001"), TOP, 1.08), passed("scan-002"), passed("scan-003"))
    scaled = tuple(spoilt(each, slice(None), 7.0) for each in trio)
    for one, two in zip(flag.run(trio, Recipe()), flag.run(scaled, Recipe()), strict=True):
        np.testing.assert_array_equal(one.flags, two.flags)


def test_seven_points_are_left_alone():
    each = passed()
    short = replace(
        each.scan,
        energy_ev=ENERGY[:7],
        dwell_s=np.ones(7),
        channels={role: replace(c, raw=c.raw[:, :7]) for role, c in each.scan.channels.items()},
    )
    rates = {role: rate[:7] for role, rate in each.rates.items()}
    done = flag.run((Pass(short, np.zeros(7, dtype=np.int64), rates, rates),), Recipe())
    assert not done[0].flags.any()


def test_the_sentence_counts_what_is_left_out():
    done = flag.run((spoilt(passed("scan-001"), TOP, 1.10), passed("scan-002"), passed("scan-003")), Recipe())
    left_out = sum(int(np.count_nonzero(each.flags & UNUSABLE)) for each in done)
    told = flag.sentence(done, Recipe())
    assert f"{left_out} of 747 points" in told and "other scans" in told
    assert "other scans" not in flag.sentence((passed(specimen=None),), Recipe())


WIDE_EV = np.r_[np.arange(270.0, 1000.0, 1.3), np.arange(1530.0, 1620.0, 1.0)]
WIDE_I0 = 1.3 * np.exp(-0.5 * np.log(WIDE_EV / 800.0) ** 2) * (WIDE_EV / 700.0) ** -1.7


def test_a_beam_that_varies_over_a_wide_range_has_not_dropped():
    assert WIDE_I0.min() < 0.25 * np.median(WIDE_I0), "the whole range's median would say that it had"
    assert not flag.beam_dropped(WIDE_EV, WIDE_I0, 0.25).any()


@pytest.mark.parametrize("lost", [slice(60, 66), slice(300, 340), slice(560, 652)])
def test_a_trip_within_a_wide_range_is_seen_wherever_it_is(lost):
    i0 = WIDE_I0.copy()
    i0[lost] *= 1e-4
    dropped = np.flatnonzero(flag.beam_dropped(WIDE_EV, i0, 0.25))
    assert dropped.tolist() == list(range(lost.start, lost.stop))


def test_a_missing_reading_is_no_lost_beam_in_a_wide_range_either():
    i0 = WIDE_I0.copy()
    i0[100] = np.nan
    assert not flag.beam_dropped(WIDE_EV, i0, 0.25).any()
