"""Is the difference real? Verdicts, rungs and words on invented curves with known truth."""

from __future__ import annotations

import numpy as np
import pytest
from invented import EDGE, curve, edge_set, experiment

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
    assert wide.sentence.startswith("No change larger than 0.1")
    assert narrow.verdict != "no-change"


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
    assert "Two treated arms share the control; each was judged at a level of 0.013." in first.cautions


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


def test_a_curve_that_leaves_its_band_elsewhere_says_where():
    noise = np.full(249, 0.4)
    noise[200:] = 0.001
    rng = np.random.default_rng(4)
    made = []
    for arm, unit in (("raw", "RA"), ("fired", "FA")):
        rows = [curve(1.0) + noise * rng.standard_normal(249) for _ in range(8)]
        if arm == "fired":
            rows = [row + 0.02 * (np.arange(249) >= 200) for row in rows]
        made += [(Place(unit, str(n), unit, arm), [row]) for n, row in enumerate(rows)]
    units = {"raw": [("RA", None)], "fired": [("FA", None)]}
    answer, _ = ask(units, edge_set(made), Comparison(EDGE))
    assert answer.detail["rungs"]["spots"] == "lit"
    (beyond,) = [f for f in answer.because if f.code == "beyond-its-band"]
    assert beyond.value > beyond.uncertainty


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
