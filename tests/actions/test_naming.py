"""Arms are called as the group calls them."""

from edgeshift.actions.naming import naming_of
from edgeshift.records.shift_state import ShiftState


def test_an_arm_is_called_by_the_groups_words_and_all_else_by_its_key():
    text = "arms: [{name: raw, words: dried clay, control: true}, {name: fired}]\n"
    naming = naming_of(ShiftState(experiment_text=text))
    assert naming("{arm:raw}, {arm:fired}, {unit:A}") == "dried clay, fired, A"
