"""The day never overlaps, never loads too late, always keeps its closing check, and is solved at once."""

import time
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from edgeshift.planning.budget import Now, budget
from edgeshift.planning.scan_lists import scan_lists
from edgeshift.recipe.experiment import Experiment

NOW = Now()


def experiment(pairs=3, edges=("Al K", "Fe L", "K L"), spots=2, scans=2, **day):
    arms = [{"name": "raw", "control": True}, {"name": "fired"}]
    units = [{"name": f"{arm}{n}", "arm": arm} for n in range(pairs) for arm in ("raw", "fired")]
    specimens = [{"name": unit["name"].upper(), "unit": unit["name"]} for unit in units]
    roles = ("family", "family", "control", "outside")
    return Experiment.model_validate({
        "arms": arms, "units": units, "specimens": specimens, "day": day,
        "edges": [{"edge": edge, "role": roles[n % 4]} for n, edge in enumerate(edges)],
        "plan": {"spots_per_unit": spots, "scans_per_spot": scans},
    })  # fmt: skip


def planned(text, now=NOW):
    return budget(text, scan_lists(text), now)


def check(found, text, now=NOW):
    """What holds of every day."""
    stretches = found.stretches
    assert stretches[0].start_min == now.minute
    for one, after in pairwise(stretches):
        assert one.start_min < one.end_min == after.start_min
    assert stretches[-1].end_min == pytest.approx(text.day.lasts_min)
    ends = [each.kind for each in stretches[-3:]]
    assert ends == ["closing", "write", "close"] or found.end_short_min and "closing" in ends
    last = [each for each in stretches if each.kind == "closing"][-1]
    assert last.end_min - last.start_min == pytest.approx(text.day.closing_min)
    for before, each in zip((None, *stretches), stretches, strict=False):
        if each.kind in ("exchange", "remount"):
            assert each.start_min <= found.last_load_min + 1e-6
            assert any(other.kind == "measure" and other.load == each.load for other in stretches)
            assert before.kind == "closing" and before.load == each.load - 1
        if each.kind in ("lunch", "lunch-pump"):
            assert text.day.lunch_from_min - 1e-6 <= each.start_min <= text.day.lunch_to_min + 1e-6


def kinds(found):
    return [each.kind for each in found.stretches]


def test_a_day_holds_everything_from_arriving_to_closing():
    text = experiment()
    found = planned(text)
    check(found, text)
    assert {"arrive", "pump", "find-beam", "survey", "measure", "lunch", "decide"} <= set(kinds(found))


def test_rounds_that_do_not_fit_are_told_and_the_least_worth_goes_first():
    text = experiment(pairs=6)
    found = planned(text)
    check(found, text)
    done = {each.edge: each.rounds for each in found.stretches if each.kind == "measure"}
    assert found.left_out and all(done.get(edge, 0) + n == 4 for edge, n in found.left_out.items())
    assert done["Al K"] >= 1 and done["Fe L"] >= 1


def test_a_full_holder_takes_a_second_load_in_time():
    text = experiment(pairs=4, spots=1, scans=1, holder_places=4, choice_min=0.0, lasts_min=540.0)
    found = planned(text)
    check(found, text)
    assert sum(kind in ("exchange", "remount") for kind in kinds(found)) == 1
    assert {each.load for each in found.stretches if each.kind == "measure"} == {1, 2}
    assert not any(each.everywhere for each in found.unmeasured)


def test_every_load_has_its_closing_check_while_it_is_in():
    text = experiment(pairs=4, edges=("Al K",), spots=1, scans=1, holder_places=4, choice_min=0.0)
    stretches = planned(text).stretches
    assert [each.load for each in stretches if each.kind == "closing"] == [1, 2]
    left = next(n for n, each in enumerate(stretches) if each.kind in ("exchange", "remount"))
    assert stretches[left - 1].kind == "closing" and stretches[left - 1].load == 1


def test_lunch_may_lie_over_the_pumping_of_the_second_load():
    text = experiment(pairs=4, edges=("Al K",), spots=1, scans=1, holder_places=4, choice_min=0.0)
    found = planned(text)
    at = kinds(found).index("lunch-pump")
    assert kinds(found)[at - 1 : at + 3] == ["remount", "lunch-pump", "pump", "transfer"]
    eaten, rest = found.stretches[at : at + 2]
    assert rest.end_min - eaten.start_min == pytest.approx(text.day.pump_min)


def test_the_meeting_leaves_the_typed_minutes_for_what_it_chooses():
    text = experiment()
    found = planned(text)
    at = kinds(found).index("decide")
    choice = found.stretches[at + 1]
    assert choice.kind == "choice" and choice.end_min - choice.start_min >= text.day.choice_min == 75.0
    assert "measure" not in kinds(found)[at:] and found.choice_short_min == 0.0
    crowded = planned(experiment(pairs=6))
    assert 0.0 < crowded.choice_short_min <= 75.0 / 2


def test_a_second_load_outranks_the_second_half_of_the_choice():
    """Minutes nobody asked for go to specimens before they go to more choice."""
    found = planned(experiment(pairs=8, edges=("Al K",), holder_places=10))
    assert found.loads == 2 and not found.unmeasured and found.choice_short_min < 75.0 / 2 + 15


def test_no_control_edge_gets_a_second_round_before_the_family_has_it():
    for pairs in (3, 4, 5):
        text = experiment(pairs=pairs, choice_min=0.0)
        done = {each.edge: each.rounds for each in planned(text).stretches if each.kind == "measure"}
        assert done.get("K L", 0) <= max(1, min(done.get("Al K", 0), done.get("Fe L", 0)))


def test_specimens_that_no_round_reaches_are_named_with_their_units():
    text = experiment(pairs=8, holder_places=10)
    found = planned(text)
    assert found.loads == 1
    everywhere = [each for each in found.unmeasured if each.everywhere]
    assert [each.specimen for each in everywhere] == ["RAW5", "FIRED5", "RAW6", "FIRED6", "RAW7", "FIRED7"]
    assert everywhere[0].unit == "raw5" and everywhere[0].edges == ("Al K", "Fe L", "K L")


def test_a_second_load_that_cannot_come_any_more_has_no_latest_begin():
    assert planned(experiment()).last_load_min is not None
    assert planned(experiment(), Now(400.0, begun=True, eaten=True)).last_load_min is None
    assert planned(experiment(lasts_min=250.0)).last_load_min is None


def test_after_a_trip_the_minutes_left_are_planned_anew():
    text = experiment()
    now = Now(330.0, {"Al K": 4, "Fe L": 1}, begun=True, eaten=True)
    found = planned(text, now)
    check(found, text, now)
    assert "arrive" not in kinds(found) and "lunch" not in kinds(found)
    assert not any(each.edge == "Al K" for each in found.stretches)


def test_with_almost_nothing_left_the_closing_check_stays():
    text = experiment()
    now = Now(text.day.lasts_min - 62.0, begun=True, eaten=True, decided=True)
    found = planned(text, now)
    check(found, text, now)
    assert kinds(found) == ["spare", "closing", "write", "close"]


def test_with_less_left_the_bare_closing_check_stays_and_writing_is_cut():
    found = planned(experiment(), Now(450.0, begun=True, eaten=True))
    assert [(each.kind, each.end_min - each.start_min) for each in found.stretches] == [
        ("closing", 15.0),
        ("close", 15.0),
    ]
    assert found.end_short_min == 30.0 and found.left_out == {"Al K": 4, "Fe L": 4, "K L": 4}


def test_where_not_even_the_closing_check_fits_there_is_no_plan():
    assert planned(experiment(), Now(466.0, begun=True, eaten=True)) is None
    assert planned(experiment(lasts_min=200.0)) is None


EDGES = ("Al K", "Fe L", "K L", "Ti L", "Si K", "C K")


@st.composite
def typed_days(draw):
    """Days as hosts may type them, and a moment at which the beam comes back."""
    minutes, some = st.floats(0.0, 120.0).map(lambda value: round(value, 1)), st.integers(1, 3)
    edges = tuple(draw(st.permutations(EDGES)))[: draw(st.integers(1, 6))]
    text = experiment(
        pairs=draw(st.integers(1, 6)), edges=edges, spots=draw(some), scans=draw(some),
        holder_places=draw(st.integers(1, 13)), pump_min=draw(minutes),
        lunch_min=draw(st.sampled_from((0.0, 35.0))),
        lunch_from_min=draw(st.floats(60.0, 200.0)), lasts_min=draw(st.floats(240.0, 720.0)),
        tie_min=draw(minutes),
        arrive_min=draw(minutes), decide_min=draw(st.sampled_from((0.0, 10.0))), remount_min=draw(minutes),
        closing_min=draw(st.floats(1.0, 40.0)),
    )  # fmt: skip
    back = draw(st.floats(0.0, 1.1)) * text.day.lasts_min
    done = {edge: draw(st.integers(0, 4)) for edge in edges[:2]}
    return text, Now(back, done, begun=True, eaten=draw(st.booleans()), decided=draw(st.booleans()))


@settings(max_examples=60, deadline=None)
@given(typed_days())
def test_whatever_is_typed_nothing_overlaps_or_loads_too_late_and_the_closing_check_stays(typed):
    text, back = typed
    for now, limit in ((NOW, 2.0), (back, 1.0)):
        begun = time.perf_counter()
        found = planned(text, now)
        assert time.perf_counter() - begun < limit
        if found is None:
            opening = 0.0 if now.begun else sum(
                (text.day.arrive_min, text.day.pump_min, text.day.transfer_min, text.day.find_beam_min,
                 text.day.survey_min))  # fmt: skip
            ends = 0.0 if now.begun else text.day.write_min + text.day.close_min
            kept = text.day.closing_min + ends
            assert now.minute + opening + kept > text.day.lasts_min
        else:
            check(found, text, now)


def test_a_load_that_would_come_too_late_stays_out():
    """Three loads of two specimens, with a day for one exchange only."""
    text = experiment(pairs=3, spots=1, scans=1, holder_places=2, choice_min=0.0, lasts_min=480.0)
    found = planned(text)
    check(found, text)
    assert sum(kind in ("exchange", "remount") for kind in kinds(found)) == 1 and found.left_out
    assert found.loads == 2 and {each.specimen for each in found.unmeasured if each.everywhere} == {
        "RAW2",
        "FIRED2",
    }


@pytest.mark.parametrize("lasts", [330.0, 360.0, 390.0, 420.0])
def test_no_other_choice_of_rounds_would_be_worth_more(lasts):
    """Every choice of rounds, tried one by one, on days without lunch."""
    text = experiment(pairs=2, spots=2, scans=1, lunch_min=0.0, lasts_min=lasts, choice_min=0.0)
    lists = scan_lists(text)
    found = budget(text, lists)
    day, over = text.day, text.beamline.overheads
    room = lasts - 75 - 45 - 10 - 15 - 10 - day.closing_min - day.write_min - day.close_min - day.decide_min
    worth = {0: 0.0, 1: 1.0, 2: 4 / 3}
    weights, best = (10.0, 10.0, 5.0), 0.0
    for rounds in product(range(3), repeat=3):
        takes = sum(
            over.edge_change_min + day.tie_min + n * 4 * (over.move_min + one.minutes)
            for n, one in zip(rounds, lists, strict=True) if n
        )  # fmt: skip
        if takes <= room:
            best = max(best, sum(w * worth[n] for w, n in zip(weights, rounds, strict=True)))
    done = {each.edge: each.rounds for each in found.stretches if each.kind == "measure"}
    mine = sum(w * worth[done.get(one.edge, 0)] for w, one in zip(weights, lists, strict=True))
    assert mine == pytest.approx(best)
