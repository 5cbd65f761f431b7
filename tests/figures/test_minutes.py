"""Cards as data: faces with bars on one ruler, and backs that say nothing."""

import sample_answers

from edgeshift.figures import minutes
from edgeshift.records.figure import Blank


def test_every_card_has_a_face_and_the_ruler_is_the_minutes_left():
    answer = sample_answers.cards()
    (drawn,) = minutes.figure(answer).panels
    assert [card.title for card in drawn.cards] == [card["title"] for card in answer.detail["cards"]]
    assert (drawn.ruler.low, drawn.ruler.high) == (0.0, 140.0)


def test_a_back_gives_nothing_away_not_even_in_words():
    answer = sample_answers.cards()
    figure = minutes.figure(answer, hidden=True)
    said = repr(figure)
    for card in answer.detail["cards"]:
        assert card["title"] not in said and card["settles"] not in said
    assert len(figure.panels[0].cards) == 5


def test_without_cards_the_next_act_is_shown():
    (drawn,) = minutes.figure(sample_answers.no_cards()).panels
    assert isinstance(drawn, Blank) and drawn.words.startswith("Say it: --left 120")
