"""What a claim is tried under, and when it counts as survived."""

from collections import Counter
from itertools import count

import numpy as np
import pytest

from edgeshift.questions import say
from edgeshift.questions.say.ladder import Step
from edgeshift.questions.say.needs import Need
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Baseline, Recipe, Scale
from edgeshift.records.room import Claim
from edgeshift.records.scan import Place, Scan

ARMS = [{"name": "raw", "control": True}, {"name": "fired"}]
SETTLED = Recipe(baseline=Baseline(below_ev=(1550, 1560), degree=0), scale=Scale(above_ev=(1580, 1600)))


def claim(level: int) -> Claim:
    return Claim(1, "we say so", "", "", level, "student", "2026-03-14T15:00:00Z", edge="Al K")


def shift(raw: int, fired: int, scans: int = 1, **unit) -> tuple[Experiment, list[Scan]]:
    """Units of both arms, and their scans; `unit` gives more of a unit by its number."""
    units = [
        {"name": f"{arm} {n}", "arm": arm, **{key: make(arm, n) for key, make in unit.items()}}
        for arm, many in (("raw", raw), ("fired", fired))
        for n in range(many)
    ]
    numbers, found = count(1), []
    for one in units:
        for spot in range(scans):
            place = Place(one["name"], str(spot), one["name"], one["arm"])
            number, grid = next(numbers), np.arange(3.0)
            found.append(
                Scan(f"scan-{number:03d}", "", "", "Al K", grid, grid, {}, "absorption", place=place)
            )
    specimens = [{"name": one["name"], "unit": one["name"]} for one in units]
    return Experiment.model_validate({"arms": ARMS, "units": units, "specimens": specimens}), found


def kinds(level: int, shift_: tuple) -> Counter:
    return Counter(one.kind for one in say.changes(claim(level), *shift_, SETTLED))


def test_a_claim_about_treating_is_tried_under_every_kind_of_change():
    assert kinds(3, shift(3, 3, 2)) == {"unit": 6, "scan": 12, "slide": 4, "baseline": 5, "shuffle": 9}


def test_a_claim_about_an_element_has_no_arms_and_no_baseline():
    assert kinds(1, shift(2, 2)) == {"unit": 4, "scan": 4, "slide": 2}


def test_a_pair_is_left_out_whole_and_exchanged_whole():
    paired = shift(3, 3, pair=lambda arm, n: f"dig {n}")
    assert kinds(3, paired) == {"unit": 3, "scan": 6, "slide": 4, "baseline": 5, "shuffle": 3}
    arm_of = {unit.name: unit.arm for unit in paired[0].units}
    for one in say.changes(claim(3), *paired, SETTLED):
        if one.kind == "unit":
            assert len(one.scans) == 2
        if one.kind == "shuffle":
            digs = [name.split()[1] for name, _ in one.arms]
            assert all(arm_of[name] != arm for name, arm in one.arms) and set(Counter(digs).values()) == {2}


def test_units_treated_together_are_left_out_and_exchanged_together():
    batched = shift(3, 3, batch=lambda arm, n: f"{arm} fire" if n else None)
    found = say.changes(claim(3), *batched, SETTLED)
    assert sorted(len(one.scans) for one in found if one.kind == "unit") == [1, 1, 2, 2]
    for one in found:
        arms = dict(one.arms)
        assert arms.get("raw 1") == arms.get("raw 2") and arms.get("fired 1") == arms.get("fired 2")


def test_the_only_unit_of_an_arm_is_the_claim_itself_and_is_never_left_out():
    assert "unit" not in kinds(2, shift(1, 1, 4))
    assert kinds(2, shift(1, 3))["unit"] == 3


def test_labels_are_exchanged_in_every_other_way_and_never_as_they_are_or_in_the_mirror():
    for raw, fired, ways in ((2, 2, 2), (3, 3, 9), (4, 4, 10), (2, 3, 3)):
        experiment, scans = shift(raw, fired)
        arm_of = {unit.name: unit.arm for unit in experiment.units}
        found = [dict(one.arms) for one in say.changes(claim(3), experiment, scans, SETTLED) if one.arms]
        then = {frozenset(n for n, a in (arm_of | one).items() if a == "raw") for one in found}
        assert len(then) == len(found) >= min(ways, 9)
        own = frozenset(n for n, a in arm_of.items() if a == "raw")
        assert own not in then and not (raw == fired and frozenset(arm_of) - own in then)


def test_the_mirror_of_a_shift_is_tried_under_the_very_same_changes():
    """A curtain with either lot asks the same: who is called treated must not show."""
    experiment, scans = shift(3, 3)
    turned = {"raw": "fired", "fired": "raw"}
    mirror = experiment.model_copy(
        update={"units": tuple(u.model_copy(update={"arm": turned[u.arm]}) for u in experiment.units)}
    )
    there = [
        Scan(s.key, "", "", "Al K", s.energy_ev, s.dwell_s, {}, "absorption",
             place=s.place.__class__(s.place.specimen, s.place.spot, s.place.unit, turned[s.place.arm]))
        for s in scans
    ]  # fmt: skip

    def plain(experiment, scans, back):
        return Counter(
            (one.kind, frozenset(one.scans), frozenset((n, back.get(a, a)) for n, a in one.arms))
            for one in say.changes(claim(3), experiment, scans, SETTLED)
        )

    assert plain(experiment, scans, {}) == plain(mirror, there, turned)


def test_scans_are_exchanged_for_a_claim_about_two_specimens():
    (one,) = [c for c in say.changes(claim(2), *shift(1, 1, 4), SETTLED) if c.kind == "shuffle"]
    assert dict(one.exchanged) == {
        "scan-002": "fired 0", "scan-004": "fired 0", "scan-006": "raw 0", "scan-008": "raw 0"
    }  # fmt: skip


def test_every_reference_is_left_out_for_a_claim_of_resemblance():
    experiment, scans = shift(3, 3)
    text = experiment.model_copy(
        update={"specimens": (*experiment.specimens, experiment.specimens[0].model_copy(
            update={"name": "kaolinite", "unit": None, "kind": "standard"}))}
    )  # fmt: skip
    grid = np.arange(3.0)
    scans = [*scans, Scan("scan-090", "", "", "Al K", grid, grid, {}, "absorption", place=Place("kaolinite"))]
    found = say.changes(claim(4), text, scans, SETTLED, ["gibbsite"])
    assert [one.what for one in found if one.kind == "reference"] == ["kaolinite", "gibbsite"]


def steps(data: str, design: str = "met") -> tuple[Step, ...]:
    """A ladder whose third level reads `data` and counts `design`."""
    met = Need("a", "met", "")
    needs = [
        (met,),
        (met,),
        (met,),
        (Need("b", data, ""), Need("c", design, "", design=True)),
        (),
        (met,),
        (met,),
    ]
    return tuple(Step(level, needs[level]) for level in range(7))


@pytest.mark.parametrize(
    ("before", "then", "stands"),
    [
        (steps("met"), steps("met"), True),
        (steps("met"), steps("not-met"), False),
        (steps("met"), steps("met", "not-met"), True),  # one unit fewer is what was tried
        (steps("met", "not-met"), steps("met"), False),  # the design never carried it
        (steps("not-met"), steps("met"), True),
    ],
)
def test_a_claim_survives_a_change_if_what_is_read_still_carries_it(before, then, stands):
    assert say.survived(say.Change("unit", "raw 0"), before, then, 3) == stands


@pytest.mark.parametrize(
    ("before", "then", "stands"),
    [
        (steps("met"), steps("not-met"), True),
        (steps("met"), steps("met"), False),
        (steps("not-met"), steps("not-met"), False),
    ],
)
def test_under_exchanged_labels_what_was_carried_must_fall(before, then, stands):
    assert say.survived(say.Change("shuffle", ""), before, then, 3) == stands


def test_the_tally_counts_by_kind_and_names_what_was_lost():
    lost = say.Change("unit", "raw B")
    tally = say.tallied([(say.Change("unit", "raw A"), True), (lost, False), (say.Change("scan", "s"), True)])
    assert tally.kept == {"unit": 1, "scan": 1} and tally.whole == (2, 3) and tally.lost == (lost,)
