"""Every change of the experiment text is one short sentence, and none where nothing changed."""

import pytest

from edgeshift.formats.experiment_text import load
from edgeshift.wording.changes import difference_in_words
from edgeshift.wording.names import Naming

TEXT = """\
question: what does the fire do?
arms: [{name: raw, control: true}, {name: fired}]
units: [{name: A, arm: raw}, {name: B, arm: fired}]
specimens: [{name: A1, unit: A}, {name: B1, unit: B}]
edges:
  - {edge: Al K, feature: {kind: height, windows: [[1566, 1567]]}, matters: 0.05}
  - {edge: Fe L, recipe: {flag: {i0_floor: 0.3}}, plan: {spots_per_unit: 2}}
plan: {units_per_arm: 2}
beamline: {name: club line, channels: [{role: i0, columns: [mesh]}]}
recipe: {flag: {spike_sigmas: 6}}
"""


def changes(*swaps: tuple[str, str]) -> list[str]:
    text = TEXT
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    return list(difference_in_words(load(TEXT, "old"), load(text, "new")))


def test_the_same_said_otherwise_is_no_change():
    assert changes(("spike_sigmas: 6", "spike_sigmas: 6.0"), ("[mesh]", '["mesh"]')) == []


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("spike_sigmas: 6", "spike_sigmas: 5", "Flag, spike sigmas: 6 became 5 standard deviations."),
        ("spike_sigmas: 6", "injection_window_s: 3", "Flag, injection window: 1.5 became 3 s."),
        ("{flag: {spike_sigmas: 6}}", "{scale: {method: area}}", "Scale, method: step became area."),
        (
            "{flag: {spike_sigmas: 6}}",
            "{baseline: {below_ev: [1550, 1560]}}",
            "Baseline, below: nothing became 1550-1560 eV.",
        ),
        ("the fire do", "the rain do", 'Question: "what does the fire do?" became "what does the rain do?".'),
        ("control: true", "control: false", "Arm {arm:raw}, control: yes became no."),
        (", {name: fired}]", ", {name: fired}, {name: new}]", "Arm {arm:new} was added."),
        ("{name: A, arm: raw}", "{name: A, arm: fired}", "Unit {unit:A}, arm: {arm:raw} became {arm:fired}."),
        ("arm: raw}, {", "arm: raw, pair: one}, {", "Unit {unit:A}, pair: nothing became one."),
        (", {name: B1, unit: B}", "", "Specimen {specimen:B1} was taken out."),
        ("A1, unit: A", "A1, unit: B", "Specimen {specimen:A1}, unit: {unit:A} became {unit:B}."),
        ("A1, unit: A", "A1", "Specimen {specimen:A1}, unit: {unit:A} became nothing."),
        ("matters: 0.05", "matters: 0.1", "{edge:Al K}, matters: 0.05 became 0.1."),
        ("matters: 0.05", "role: control", "{edge:Al K}, role: family became control."),
        (
            "[[1566, 1567]]",
            "[[1566, 1568]]",
            "{edge:Al K}, feature: kind height; windows 1566-1567 became kind height; windows 1566-1568.",
        ),
        (
            "i0_floor: 0.3",
            "i0_floor: 0.2",
            "{edge:Fe L}, flag, i0 floor: 0.3 became 0.2 share of the median I0.",
        ),
        ("plan: {spots_per_unit: 2}", "plan: {}", "{edge:Fe L}, spots per unit: 2 became the common value."),
        ("units_per_arm: 2", "units_per_arm: 3", "Plan, units per arm: 2 became 3."),
        (
            "plan: {units",
            "limits: {pressure_mbar: 1e-6}\nplan: {units",
            "Limits, pressure: nothing became 1e-06 mbar.",
        ),
        ("name: club line", "name: club line, dwell_s: 2", "Beamline, dwell: nothing became 2 s."),
        ("club line", "club line, overheads: {move_min: 3}", "Beamline, overheads, move: 1.5 became 3 min."),
    ],
)
def test_a_change_is_one_sentence(old, new, sentence):
    assert sentence in changes((old, new))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("{name: raw, control: true}, {name: fired}", "{name: fired}, {name: raw, control: true}"),
        ("{name: A1, unit: A}, {name: B1, unit: B}", "{name: B1, unit: B}, {name: A1, unit: A}"),
    ],
)
def test_another_order_is_a_change(old, new):
    (sentence,) = changes((old, new))
    assert sentence.endswith("s stand in another order.")


def test_a_change_too_long_to_show_is_still_told():
    long = "x" * 70
    old, new = (load(f"question: {long}{end}\n", "x") for end in "ab")
    assert difference_in_words(old, new) == ("Question was changed.",)


def test_several_changes_are_several_sentences():
    assert len(changes(("units_per_arm: 2", "units_per_arm: 3"), ("spike_sigmas: 6", "spike_sigmas: 5"))) == 2


def test_the_curtain_holds_in_a_sentence():
    (sentence,) = changes(("{name: A, arm: raw}", "{name: A, arm: fired}"))
    veiled = Naming({("arm", "raw"): "P", ("arm", "fired"): "Q", ("unit", "A"): "P-A"})
    assert veiled(sentence) == "Unit P-A, arm: P became Q."
