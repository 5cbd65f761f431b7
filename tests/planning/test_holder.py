"""Standards come with every load; rounds go through the arms in turn."""

from edgeshift.planning.holder import in_turn, loads
from edgeshift.recipe.experiment import Experiment

ARMS = [{"name": "raw", "control": True}, {"name": "fired"}]


def text(pairs=3, places=12, more=()):
    units = [
        {"name": f"{arm} {n}", "arm": arm, "pair": str(n)} for arm in ("raw", "fired") for n in range(pairs)
    ]
    specimens = [{"name": unit["name"].upper().replace(" ", "-"), "unit": unit["name"]} for unit in units]
    return Experiment.model_validate({
        "arms": ARMS, "units": units, "specimens": [*specimens, *more], "day": {"holder_places": places},
    })  # fmt: skip


def test_standards_and_bare_mounts_come_with_every_load():
    found = loads(
        text(places=5, more=[{"name": "KAOLIN", "kind": "standard"}, {"name": "TAPE", "kind": "blank"}])
    )
    assert len(found) == 2 and all(holder[-2:] == ("KAOLIN", "TAPE") for holder in found)
    assert [len(holder) for holder in found] == [5, 5]


def test_everything_fits_on_one_holder_where_there_is_room():
    assert len(loads(text())) == 1
    assert loads(Experiment()) == ((),)


def test_standards_that_fill_the_holder_still_leave_one_place():
    assert len(loads(text(pairs=1, places=1, more=[{"name": "KAOLIN", "kind": "standard"}]))) == 2


def test_arms_take_turns_and_pairs_stand_side_by_side():
    here = text()
    found = in_turn(here, loads(here)[0])
    assert found == ("RAW-0", "FIRED-0", "RAW-1", "FIRED-1", "RAW-2", "FIRED-2")


def test_a_specimen_of_no_arm_comes_last_and_standards_are_no_part_of_a_round():
    here = text(pairs=1, more=[{"name": "OTHER"}, {"name": "KAOLIN", "kind": "standard"}])
    assert in_turn(here, loads(here)[0]) == ("RAW-0", "FIRED-0", "OTHER")
