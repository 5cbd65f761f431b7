"""Whatever an experiment is called and however it is made: its aliases tell nothing of it."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from edgeshift.actions.aliases import aliases, secrets_in
from edgeshift.formats.experiment_text import dump, load
from edgeshift.recipe.experiment import Experiment

LETTERS = st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"), exclude_characters="{}…")
NAMES = st.text(LETTERS, min_size=1, max_size=12).filter(str.strip)
ARMS = st.lists(NAMES, min_size=2, max_size=2, unique=True)


@st.composite
def experiments(draw, arms=ARMS):
    """Units in any order, some in pairs, some in a batch, some with two specimens; a standard and a blank."""
    arms = draw(arms)
    control = draw(st.sampled_from([None, *range(len(arms))]))
    names = draw(st.lists(NAMES, min_size=2, max_size=7, unique=True))
    units, seen = [], set()
    for name in names:
        arm, pair = draw(st.integers(0, len(arms) - 1)), draw(st.sampled_from([None, "1", "2", "3"]))
        pair = None if (arm, pair) in seen else pair
        seen.add((arm, pair))
        units.append(
            {"name": name, "arm": arms[arm], "pair": pair, "batch": draw(st.sampled_from([None, arms[arm]]))}
        )
    specimens = [{"name": f"{name} piece", "unit": name} for name in names]
    specimens += [{"name": f"{name} more", "unit": name} for name in names[:2]]
    specimens += [
        {"name": draw(st.sampled_from(["quartz", "P-A", "unlisted 3"])), "kind": kind}
        for kind in ("standard",)
    ]
    feature = {"kind": "height", "windows": [[1567, 1569]], "words": draw(st.sampled_from(arms))}
    return {
        "arms": [{"name": arm, "control": nth == control} for nth, arm in enumerate(arms)],
        "units": units,
        "specimens": draw(st.permutations(specimens)),
        "edges": [
            {"edge": "Al K", "feature": feature, "recipe": {"divide": {"reference": f"{names[0]} piece"}}}
        ],
    }


def mirrored(plain: dict) -> dict:
    """Every unit lies in the other arm, and so do the batches."""
    one, other = (arm["name"] for arm in plain["arms"])
    swapped = {one: other, other: one}
    units = [{**unit, "arm": swapped[unit["arm"]]} for unit in plain["units"]]
    return {**plain, "units": units}


@given(experiments(), st.booleans())
def test_a_text_and_its_mirror_image_are_one_behind_the_curtain(plain, turned):
    lot = tuple(arm["name"] for arm in plain["arms"])[:: -1 if turned else 1]
    first = aliases(Experiment.model_validate(plain), lot)
    second = aliases(Experiment.model_validate(mirrored(plain)), lot[::-1])
    assert first.experiment == second.experiment
    assert (first.units, first.specimens) == (second.units, second.specimens)


@given(experiments(), st.booleans())
def test_which_arm_stands_first_in_the_text_tells_nothing(plain, turned):
    """Most people write the control and its units first."""
    first, second = (arm["name"] for arm in plain["arms"])
    lot = (second, first) if turned else (first, second)
    arm_of = {unit["name"]: unit["arm"] for unit in plain["units"]}
    told = []
    for leading in (first, second):
        told.append(
            {
                **plain,
                "arms": sorted(plain["arms"], key=lambda arm: arm["name"] != leading),
                "units": sorted(plain["units"], key=lambda unit: unit["arm"] != leading),
                "specimens": sorted(plain["specimens"], key=lambda s: arm_of.get(s.get("unit")) != leading),
            }
        )
    one, other = (aliases(Experiment.model_validate(each), lot) for each in told)
    assert one.experiment == other.experiment
    assert (one.units, one.specimens) == (other.units, other.specimens)


@given(experiments(), st.booleans())
def test_the_control_is_whom_the_lot_made_it(plain, turned):
    lot = tuple(arm["name"] for arm in plain["arms"])[:: -1 if turned else 1]
    experiment = Experiment.model_validate(plain)
    found = aliases(experiment, lot)
    assert found.experiment.control.name == "P"
    payload = found.open_look({"control": "P", "treated": "Q", "units": 2})
    treated = [arm.name for arm in experiment.arms if arm != experiment.control]
    assert payload == {"control": experiment.control.name, "treated": treated[0], "units": 2}


@settings(deadline=None, max_examples=50)
@given(experiments())
def test_nothing_is_lost_or_called_alike(plain):
    experiment = Experiment.model_validate(plain)
    found = aliases(experiment, tuple(arm.name for arm in experiment.arms))
    veil = found.experiment
    assert len({unit.name for unit in veil.units}) == len(experiment.units)
    assert len({each.name for each in veil.specimens}) == len(experiment.specimens)
    for one in experiment.units:
        (other,) = (unit for unit in veil.units if unit.name == found.units[one.name])
        assert other.arm == found.arms[one.arm]
        assert bool(other.pair) == bool(one.pair) and bool(other.batch) == bool(one.batch)
    for kind in ("pair", "batch"):
        shared = [{getattr(unit, kind) for unit in each.units} for each in (experiment, veil)]
        assert len(shared[0]) == len(shared[1]), kind
    assert veil.edges[0].recipe["divide"]["reference"] in {each.name for each in veil.specimens}
    assert load(dump(veil), "experiment.yaml") == veil


@given(experiments())
def test_no_name_of_an_arm_or_of_what_is_in_it_stands_in_the_text(plain):
    """Looked for where a name would stand: as a whole value."""
    experiment = Experiment.model_validate(plain)
    found = aliases(experiment, tuple(arm.name for arm in experiment.arms))
    veil = found.experiment
    said = {"P", "Q", *found.units.values()}
    assert {arm.name for arm in veil.arms} == {"P", "Q"} and not any(arm.words for arm in veil.arms)
    assert {unit.name for unit in veil.units} <= said
    standard = {each.name for each in experiment.specimens if each.kind == "standard"}
    for each in veil.specimens:
        assert each.unit or each.name.removeprefix("standard ") in standard
    assert veil.edges[0].feature.words.strip() == "…"


def test_a_word_of_one_arm_alone_is_a_secret_and_one_of_both_is_not():
    plain = {
        "arms": [
            {"name": "raw", "words": "dried clay"},
            {"name": "fired", "words": "clay of the pit, at 750C"},
        ],
        "units": [{"name": "RAW A", "arm": "raw"}, {"name": "PIT750 A", "arm": "fired"}],
    }
    found = secrets_in(Experiment.model_validate(plain))
    assert {"dried", "750c", "pit750", "raw", "fired"} <= found
    assert not {"clay", "a", "the", "at", "of"} & found


def test_an_experiment_without_arms_can_be_veiled():
    found = aliases(Experiment(), ())
    assert (found.experiment, dict(found.arms), found.control) == (Experiment(), {}, None)
