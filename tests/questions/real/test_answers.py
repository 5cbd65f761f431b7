"""Is the difference real? Verdicts, rungs and words on invented curves with known truth."""

from __future__ import annotations

import numpy as np
import pytest
from invented import EDGE, ENERGY, curve, edge_set, experiment

from edgeshift.questions.real import answers
from edgeshift.recipe.experiment import Feature
from edgeshift.records.comparison import Comparison
from edgeshift.records.scan import Place

FEATURE = Feature(kind="height", windows=((1567.5, 1568.5),))
PAIRS = {"raw": [("RA", "A"), ("RB", "B"), ("RC", "C")], "fired": [("FA", "A"), ("FB", "B"), ("FC", "C")]}


def shift(units, effect, *, seed=1, unit_sd=0.03, spot_sd=0.01, scan_sd=0.004, spots=2, scans=2):
    """An edge set with `effect` on the line height of every arm but the first, pairs sharing their dig."""
    rng = np.random.default_rng(seed)
    digs: dict = {}
    made = []
    for number, (arm, listed) in enumerate(units.items()):
        for unit, pair in listed:
            dig = digs.setdefault(pair, 0.1 * rng.standard_normal()) if pair else 0.0
            height = 1 + dig + (effect if number else 0) + unit_sd * rng.standard_normal()
            for spot in range(spots):
                top = height + spot_sd * rng.standard_normal()
                rows = [curve(top) + scan_sd * rng.standard_normal(len(curve(0))) for _ in range(scans)]
                made.append((Place(unit, str(spot + 1), unit, arm), rows))
    return edge_set(made, sigma=scan_sd)


def ask(units, found, comparison, **more):
    return answers({EDGE: found}, experiment(units, **more), {EDGE: comparison})


def declared(**more):
    return Comparison(EDGE, FEATURE, declared="before", **more)


def test_a_large_difference_between_pairs_lights_all_three_rungs():
    answer, summary = ask(PAIRS, shift(PAIRS, 0.6), declared())
    assert answer.verdict == "units"
    assert answer.detail["rungs"] == {"scans": "lit", "spots": "lit", "units": "lit"}
    assert answer.sentence == "All three pairs moved the same way, beyond their own scatter."
    assert answer.detail["feature"]["low"] < 0.6 < answer.detail["feature"]["high"]
    assert summary.edge is None
    assert summary.verdict == "units"


def test_no_difference_lights_nothing_and_says_what_would_have_shown():
    units = {"raw": [(f"R{n}", None) for n in range(4)], "fired": [(f"F{n}", None) for n in range(4)]}
    answer, _ = ask(units, shift(units, 0.0, seed=5), declared())
    assert answer.detail["rungs"]["units"] == "not-shown"
    assert 0.03 < answer.detail["would_have_shown"]["units"] < 0.3
    assert answer.verdict != "units"


def test_one_unit_in_each_arm_gets_no_treatment_test_and_no_chance():
    units = {"raw": [("R", None)], "fired": [("F", None)]}
    answer, _ = ask(units, shift(units, 0.5, spots=3), declared())
    assert answer.detail["rungs"]["units"] == "cannot-test"
    assert answer.detail["chance"] is None
    assert answer.verdict == "spots"
    assert answer.sentence == "These two differ. One unit each cannot tell us why."
    assert not any("chance" in fact.code for fact in answer.because)


def test_one_pair_is_no_test_of_the_treatment():
    units = {"raw": [("R", "A")], "fired": [("F", "A")]}
    answer, _ = ask(units, shift(units, 0.5), declared())
    assert answer.detail["rung_words"]["units"] == "one pair: no test"


def test_no_change_needs_a_difference_that_matters_declared_beforehand():
    units = {"raw": [(f"R{n}", None) for n in range(6)], "fired": [(f"F{n}", None) for n in range(6)]}
    found = shift(units, 0.0, seed=3, unit_sd=0.01, spots=1, scans=1)
    without, _ = ask(units, found, declared())
    wide, _ = ask(units, found, declared(matters=0.1))
    narrow, _ = ask(units, found, declared(matters=0.001))
    assert without.verdict != "no-change"
    assert wide.verdict == "no-change"
    assert wide.sentence.startswith("No change larger than 0.1 edge steps between")
    assert narrow.verdict != "no-change"


def test_what_was_said_to_matter_after_looking_makes_no_verdict_and_leaves_the_feature_declared():
    units = {"raw": [(f"R{n}", None) for n in range(6)], "fired": [(f"F{n}", None) for n in range(6)]}
    found = shift(units, 0.0, seed=3, unit_sd=0.01, spots=1, scans=1)
    before, _ = ask(units, found, declared(matters=0.1))
    after, _ = ask(units, found, declared(matters=0.1, matters_after=True))
    assert before.verdict == "no-change" != after.verdict
    assert after.detail["rungs"] == before.detail["rungs"]
    assert after.detail["judged_by"] == "feature"
    told = "What matters was named or changed after the first scan, so no verdict rests on it."
    assert told in after.cautions and told not in before.cautions


def test_a_feature_found_after_looking_is_judged_by_the_whole_curve():
    answer, _ = ask(PAIRS, shift(PAIRS, 0.6), Comparison(EDGE, FEATURE, declared="after"))
    assert answer.detail["judged_by"] == "curve"
    assert answer.detail["declared"] == "after"
    assert any("Found after looking" in caution for caution in answer.cautions)


def test_without_any_feature_the_curve_is_judged():
    answer, _ = ask(PAIRS, shift(PAIRS, 0.6), Comparison(EDGE))
    assert answer.detail["feature"] is None
    assert answer.detail["rungs"]["spots"] == "lit"
    where = next(f for f in answer.because if f.code == "largest-difference-energy")
    assert where.value == pytest.approx(1568, abs=0.5)


def test_an_arm_without_kept_scans_cannot_be_compared():
    found = shift({"raw": PAIRS["raw"]}, 0.0)
    answer, _ = ask(PAIRS, found, declared())
    assert answer.verdict == "cannot-tell"
    assert answer.would_change_it == ("Scan both {arm:raw} and {arm:fired} at this edge.",)


def test_two_treated_arms_pay_for_being_asked_together():
    units = {"raw": PAIRS["raw"], "warm": PAIRS["fired"], "hot": [("HA", "A"), ("HB", "B"), ("HC", "C")]}
    both = ask(units, shift(units, 0.6), declared())
    alone = ask(PAIRS, shift(PAIRS, 0.6), declared())
    assert [a.detail.get("treated") for a in both[:2]] == [["warm"], ["hot"]]
    assert both[0].detail["levels"]["units"] < alone[0].detail["levels"]["units"]


def test_a_control_edge_that_moves_warns_on_every_other_answer():
    found = shift(PAIRS, 0.6)
    sets = {"Al K": found, "K L": found}
    roles = {
        "Al K": Comparison("Al K", FEATURE, declared="before"),
        "K L": Comparison("K L", FEATURE, declared="before", role="control"),
    }
    from dataclasses import replace

    sets["K L"] = replace(found, edge="K L")
    first, control, summary = answers(sets, experiment(PAIRS), roles)
    warning = "K L should not have moved, but did: suspect the instrument before the chemistry."
    assert warning in first.cautions
    assert warning in summary.cautions
    assert warning not in control.cautions


def test_control_edges_that_moved_warn_each_other():
    from dataclasses import replace

    found = shift(PAIRS, 0.6)
    sets = {edge: replace(found, edge=edge) for edge in ("Al K", "K L", "Ti K")}
    roles = {
        edge: Comparison(edge, FEATURE, declared="before", role="family" if edge == "Al K" else "control")
        for edge in sets
    }
    first, *controls, _ = answers(sets, experiment(PAIRS), roles)
    assert any(c.startswith("K L and Ti K should not have moved") for c in first.cautions)
    for control, other in zip(controls, ("Ti K", "K L"), strict=True):
        (said,) = [c for c in control.cautions if "should not have moved" in c]
        assert said.startswith(f"{other} should not")


def test_no_chance_smaller_than_a_millionth_is_told():
    found = shift(SIX, 50.0, unit_sd=0.01)
    answer, _ = ask(SIX, found, declared())
    assert answer.detail["chance"] == 1e-6
    assert answer.verdict == "units"
    small = ask(SIX, shift(SIX, 0.1), declared())[0].detail["chance"]
    assert 1e-6 < small < 0.05


def test_the_smallest_reachable_chance_is_said_for_three_pairs():
    answer, _ = ask(PAIRS, shift(PAIRS, 0.6), declared())
    assert answer.detail["smallest_p"] == pytest.approx(0.25)
    assert any("0.25" in caution for caution in answer.cautions)


def test_without_repeats_the_scan_rung_rests_on_each_scans_own_noise():
    found = shift(PAIRS, 0.6, spots=1, scans=1)
    answer, _ = ask(PAIRS, found, declared())
    assert answer.detail["rungs"] == {"scans": "lit", "spots": "cannot-test", "units": "lit"}


@pytest.mark.parametrize("seed", range(3))
def test_sentences_are_short_and_say_none_of_the_forbidden_words(seed):
    for effect in (0.0, 0.1, 0.6):
        for answer in ask(PAIRS, shift(PAIRS, effect, seed=seed), declared()):
            assert len(answer.sentence.split()) <= 20
            for word in ("significant", "proved", "safe", "error", "outlier"):
                assert word not in " ".join([answer.sentence, *answer.cautions]).lower()


def test_a_line_ratio_takes_the_two_to_one_steps_away_and_needs_a_usable_step():
    """Two equal triangular lines on steps of 2/3 and 1/3: their areas are equal once the steps are gone."""
    from edgeshift.numerics.edges import double_step
    from edgeshift.questions.real.nest import STEP_FWHM_EV, read_feature

    energy = np.linspace(700, 735, 701)
    lines = sum(3 * np.exp(-(((energy - middle) / 0.8) ** 2)) for middle in (709.0, 722.0))
    feature = Feature(kind="line-ratio", windows=((706.0, 712.0), (719.0, 725.0)))
    curve_on_steps = lines + double_step(energy, (708.4, 721.4), (STEP_FWHM_EV,) * 2, (2 / 3, 1 / 3))
    assert read_feature(feature, energy, curve_on_steps) == pytest.approx(1.0, abs=0.02)
    plain = Feature(kind="ratio", windows=feature.windows)
    assert abs(read_feature(plain, energy, curve_on_steps) - 1.0) > 0.1
    with pytest.raises(ValueError, match="a line-ratio needs two windows"):
        Feature(kind="line-ratio", windows=((706.0, 712.0),))


def test_a_unit_without_a_partner_is_named_and_left_out():
    units = {"raw": PAIRS["raw"], "fired": [*PAIRS["fired"], ("FD", "D")]}
    answer, _ = ask(units, shift(units, 0.6), declared())
    assert answer.detail["left_out"] == ["FD"]
    assert "Without a partner, and so not among the pairs: {unit:FD}." in answer.cautions


def test_several_treated_arms_are_told_apart_and_their_price_is_said():
    units = {"raw": PAIRS["raw"], "warm": PAIRS["fired"], "hot": [("HA", "A"), ("HB", "B"), ("HC", "C")]}
    first, second, summary = ask(units, shift(units, 0.6), declared())
    assert first.sentence.startswith("{arm:warm}: ")
    assert second.sentence.startswith("{arm:hot}: ")
    assert "Al K ({arm:warm}) and Al K ({arm:hot})" in summary.sentence
    assert "Two arms are compared with {arm:raw}; each was judged at a level of 0.013." in first.cautions


def test_a_summary_of_no_change_does_not_say_we_cannot_tell():
    units = {"raw": [(f"R{n}", None) for n in range(6)], "fired": [(f"F{n}", None) for n in range(6)]}
    found = shift(units, 0.0, seed=3, unit_sd=0.01, spots=1, scans=1)
    _, summary = ask(units, found, declared(matters=0.1))
    assert (summary.verdict, summary.sentence) == (
        "no-change",
        "Al K: no change as large as what was declared to matter.",
    )


def test_what_would_have_shown_holds_where_the_curves_differ_most():
    """It is larger than the band there, so it never contradicts the number beside it."""
    units = {"raw": [(f"R{n}", None) for n in range(3)], "fired": [(f"F{n}", None) for n in range(3)]}
    answer, _ = ask(units, shift(units, 0.05, seed=2, unit_sd=0.2), Comparison(EDGE))
    assert answer.detail["rungs"]["units"] == "not-shown"
    most = max(abs(v) for v in answer.detail["curves"]["difference"]["value"])
    assert answer.detail["would_have_shown"]["units"] > most


def test_without_a_feature_the_dots_are_read_where_the_arms_differ_most():
    answer, _ = ask(PAIRS, shift(PAIRS, 0.6), Comparison(EDGE))
    assert answer.detail["found"]["energy_ev"] == pytest.approx(1568, abs=0.5)
    values = {dot["unit"]: dot["value"] for dot in answer.detail["dots"]}
    assert values["FA"] - values["RA"] == pytest.approx(0.6, abs=0.15)
    assert all(spot["value"] is not None for dot in answer.detail["dots"] for spot in dot["spots"])


def spots_of_two(noise, change, spots=8, seed=4):
    """An edge set of one raw and one fired unit with `spots` spots each; `change` (249,) is on the fired."""
    rng = np.random.default_rng(seed)
    made = []
    for arm, unit in (("raw", "RA"), ("fired", "FA")):
        rows = [curve(1.0) + noise * rng.standard_normal(249) for _ in range(spots)]
        rows = [row + change for row in rows] if arm == "fired" else rows
        made += [(Place(unit, str(n), unit, arm), [row]) for n, row in enumerate(rows)]
    return edge_set(made)


def coded(answer, code):
    return [fact for fact in answer.because if fact.code == code]


ONE_EACH = {"raw": [("RA", None)], "fired": [("FA", None)]}


def test_a_curve_that_leaves_its_band_elsewhere_says_where():
    noise = np.where(np.arange(249) < 100, 0.3, 0.02)
    found = spots_of_two(noise, 0.06 * (np.arange(249) >= 180))
    answer, _ = ask(ONE_EACH, found, Comparison(EDGE))
    assert answer.detail["rungs"]["spots"] == "lit"
    assert "full" in answer.detail["lit_by"]["spots"]
    (largest,) = coded(answer, "largest-difference")
    assert abs(largest.value) < largest.uncertainty
    (beyond,) = coded(answer, "beyond-its-band")
    assert beyond.value > beyond.uncertainty


SIX = {"raw": [(f"R{n}", None) for n in range(6)], "fired": [(f"F{n}", None) for n in range(6)]}
BUMP = np.exp(-0.5 * ((ENERGY - 1590) / 1.0) ** 2)


def heights_apart(change, *, units=SIX, height_sd=0.1, noise=0.004, seed=3):
    """Units whose whole curves differ in height alone, with a little noise; `change` is on the fired."""
    rng = np.random.default_rng(seed)
    made = []
    for arm, listed in units.items():
        for unit, _ in listed:
            row = (1 + height_sd * rng.standard_normal()) * curve(1.0) + noise * rng.standard_normal(249)
            made.append((Place(unit, "1", unit, arm), [row + change if arm == "fired" else row]))
    return edge_set(made, sigma=noise)


def test_a_change_of_shape_alone_is_called_that_and_says_where():
    answer, _ = ask(SIX, heights_apart(0.03 * BUMP), Comparison(EDGE))
    assert answer.detail["rungs"]["units"] == "lit"
    assert answer.detail["lit_by"]["units"] == ["shape"]
    assert answer.sentence == (
        "The shape changed from {arm:raw} to {arm:fired}, beyond the scatter of their units."
    )
    (where,) = coded(answer, "shape-beyond-its-band")
    energy = float(where.what.removeprefix("shape farthest beyond its band, at ").split(" eV")[0])
    assert energy == pytest.approx(1590, abs=1)
    assert where.value > where.uncertainty > 0 and where.unit == "edge steps"
    assert not coded(answer, "beyond-its-band"), "the full band holds zero"
    (largest,) = coded(answer, "largest-difference")
    assert abs(largest.value) < largest.uncertainty


def test_each_band_says_what_it_is_a_band_of():
    answer, _ = ask(SIX, heights_apart(0.03 * BUMP), Comparison(EDGE))
    (full,), (shape,) = coded(answer, "full-band"), coded(answer, "shape-band")
    assert full.what == (
        "full band: {arm:fired} minus {arm:raw}, at every energy; it holds zero everywhere, "
        "judged against other units"
    )
    assert "when offset, slope, height and slide are taken from every curve" in shape.what
    assert "not where the difference lies; it leaves zero" in shape.what


def test_the_curves_carry_both_bands_and_where_each_leaves_zero():
    answer, _ = ask(SIX, heights_apart(0.03 * BUMP), Comparison(EDGE))
    curves = answer.detail["curves"]
    assert (curves["band_of"], curves["judged"], curves["passed"]) == ("units", True, ["shape"])
    shape = {end: np.array(curves["shape"][end]) for end in ("value", "low", "high")}
    out = (shape["low"] > 0) | (shape["high"] < 0)
    energy = np.array(curves["energy_ev"])
    told = curves["beyond"]["shape"]
    inside = np.zeros(249, dtype=bool)
    for first, last in told["stretches"]:
        inside |= (energy >= first) & (energy <= last)
    assert out.any() and np.array_equal(inside, out)
    assert told["farthest_ev"] in energy[out]
    full = curves["difference"]
    assert all(low <= 0 <= high for low, high in zip(full["low"], full["high"], strict=True))


def test_the_shape_has_no_offset_slope_height_or_slide_left():
    answer, _ = ask(SIX, heights_apart(0.03 * BUMP), Comparison(EDGE))
    shape = np.array(answer.detail["curves"]["shape"]["value"])
    mean = np.mean([answer.detail["curves"][arm]["value"] for arm in ("control", "treated")], axis=0)
    for direction in (np.ones(249), ENERGY, mean, np.gradient(mean, ENERGY)):
        assert abs(shape @ direction) < 1e-4 * np.linalg.norm(shape) * np.linalg.norm(direction)


def test_where_only_each_scans_noise_is_known_there_is_no_shape_band():
    found = shift(ONE_EACH, 0.0, spots=1, scans=1)
    answer, _ = ask(ONE_EACH, found, Comparison(EDGE))
    assert answer.detail["curves"]["band_of"] == "scans"
    assert answer.detail["curves"]["shape"] is None
    assert coded(answer, "full-band") and not coded(answer, "shape-band")
    assert not answer.detail["curves"]["single_residual"], "the noise is known, not learnt from one repeat"


def test_units_that_differ_in_height_are_told_to_declare_it():
    answer, _ = ask(SIX, heights_apart(0.03 * BUMP), Comparison(EDGE))
    apart = answer.detail["curves"]["along"]["scatter"]
    assert apart["share"] > 0.9 and apart["mainly"] == "height-slide"
    (said,) = [c for c in answer.cautions if "from unit to unit" in c]
    share = f"{100 * apart['share']:.0f} %"
    assert said == (
        f"Height or slide differ from unit to unit: with offset and slope they make {share} of the scatter. "
        "A change of height or slide is one number per unit; declare it."
    )
    rough, _ = ask(SIX, heights_apart(0.03 * BUMP, height_sd=0.0), Comparison(EDGE))
    assert rough.detail["curves"]["along"]["scatter"]["share"] < 0.2
    assert not any("from unit to unit" in c for c in rough.cautions)


def test_a_difference_that_the_shape_band_cannot_see_is_said():
    slid = curve(1.0, 0.02) - curve(1.0)
    answer, _ = ask(SIX, heights_apart(slid, height_sd=0.0), Comparison(EDGE))
    assert answer.detail["curves"]["passed"] == ["full"]
    (said,) = [c for c in answer.cautions if "blind" in c]
    assert said.startswith("What difference there is lies mainly along height or slide.")
    seen, _ = ask(SIX, heights_apart(0.1 * BUMP, height_sd=0.0), Comparison(EDGE))
    assert not any("blind" in c for c in seen.cautions)


def test_two_pairs_are_told_how_little_can_show():
    two = {arm: listed[:2] for arm, listed in PAIRS.items()}
    told = "Two pairs know little of scatter, so only a gross change can show."
    told += " A third pair helps much."
    for comparison in (Comparison(EDGE), declared()):
        answer, _ = ask(two, shift(two, 0.1), comparison)
        assert answer.detail["curves"]["single_residual"]
        assert told in answer.cautions
        assert told not in ask(PAIRS, shift(PAIRS, 0.1), comparison)[0].cautions


def test_a_declared_feature_is_not_told_of_directions_it_does_not_use():
    answer, _ = ask(SIX, heights_apart(0.0), declared())
    assert answer.detail["curves"]["along"]["scatter"]["share"] > 0.9
    assert not any("from unit to unit" in c or "blind" in c for c in answer.cautions)


def test_bands_that_leave_zero_beside_a_declared_feature_are_only_shown_and_that_is_said():
    told = "A band of the curve leaves zero, but the declared feature judges: the bands only show."
    change = heights_apart(0.1 * BUMP, height_sd=0.0)
    by_feature, _ = ask(SIX, change, declared())
    assert by_feature.detail["curves"]["passed"]
    assert told in by_feature.cautions
    assert told not in ask(SIX, heights_apart(0.0), declared())[0].cautions
    assert told not in ask(SIX, change, Comparison(EDGE))[0].cautions


def test_what_lit_a_rung_is_said_of_every_lit_rung():
    by_feature, _ = ask(PAIRS, shift(PAIRS, 0.6), declared())
    assert by_feature.detail["lit_by"] == dict.fromkeys(("scans", "spots", "units"), ["feature"])
    by_curve, _ = ask(PAIRS, shift(PAIRS, 0.6), Comparison(EDGE))
    lit = [rung for rung, state in by_curve.detail["rungs"].items() if state == "lit"]
    assert list(by_curve.detail["lit_by"]) == lit
    assert all(set(by) <= {"full", "shape"} and by for by in by_curve.detail["lit_by"].values())


def test_a_control_that_nobody_named_is_said():
    found = shift(PAIRS, 0.6)
    unnamed = experiment(PAIRS, arms=[{"name": "raw"}, {"name": "fired"}])
    answer, _ = answers({EDGE: found}, unnamed, {EDGE: declared()})
    assert "No arm is called the control, so {arm:raw} was taken as it stands first." in answer.cautions
    named, _ = ask(PAIRS, found, declared())
    assert not any("called the control" in caution for caution in named.cautions)


def test_units_that_shared_one_fire_count_as_one_and_cannot_be_tested():
    """The same three pots that light every rung when each had a fire of its own."""
    found = shift(PAIRS, 0.6, unit_sd=0.02)
    (apart,) = [a for a in ask(PAIRS, found, declared()) if a.edge == EDGE]
    assert apart.detail["rungs"]["units"] == "lit"
    text = experiment(PAIRS)
    units = [u.model_copy(update={"batch": "one fire"}) if u.arm == "fired" else u for u in text.units]
    shared = text.model_copy(update={"units": tuple(units)})
    (together,) = [a for a in answers({EDGE: found}, shared, {EDGE: declared()}) if a.edge == EDGE]
    assert together.detail["rungs"]["units"] == "cannot-test"
    assert together.verdict != "units"
