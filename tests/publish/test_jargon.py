"""How many of the group's words a reader would have to be told."""

from sample_material import filled, material

from edgeshift.publish.jargon import jargon


def test_only_the_groups_words_are_counted():
    assert jargon(material()) == (0, ())
    assert jargon(material()).per_100 == 0


def test_the_trades_words_are_counted_each_time_and_named_once():
    plain = jargon(filled(**{"what-we-see": "It fell."}))
    found = jargon(
        filled(**{"what-we-see": "The white line fell. The White line of iron fell more than its edge step."})
    )
    gained = {entry.word: times for entry, times in found.entries}
    assert (gained["White line"], gained["Edge step"]) == (2, 1)
    assert found.trade == plain.trade + 3
    assert found.per_100 == 100 * found.trade / found.words


def test_numbers_and_signs_are_no_words():
    few = jargon(filled(**{"what-we-see": "12.5 % - 3!"})).words
    assert few == jargon(filled(**{"what-we-see": "fire"})).words - 1
