"""What a venue asks for is applied, and what stands against it is refused with its place and the next act."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_material import filled, material

from edgeshift.errors import TextRefused
from edgeshift.formats.experiment_text import load_venue
from edgeshift.publish.material import Said
from edgeshift.publish.poster import poster
from edgeshift.publish.venues import AgainstVenue, against, fitted, keep_to
from edgeshift.recipe.venue import Venue

STRICT = Venue(links=False, thanks=False, keep_out=("Potter's Hall", "club"))


def test_a_text_of_a_venue_is_read_and_its_faults_are_named_with_their_line():
    venue = load_venue("size: A0\nlinks: false\nkeep_out: [Hall]\n", "fair.yaml")
    assert (venue.size, venue.links, venue.keep_out, venue.thanks) == ("A0", False, ("Hall",), True)
    with pytest.raises(TextRefused, match=r"fair.yaml:2: .*found 'sise'. Did you mean 'size'"):
        load_venue("links: false\nsise: A0\n", "fair.yaml")
    with pytest.raises(TextRefused, match="fair.yaml:1: size: needed .*A0.*A1"):
        load_venue("size: A2\n", "fair.yaml")


@pytest.mark.parametrize(
    "text",
    ["see https://clay.example/x", "www.clay.example", "write to us@clay.example", "clay-pots.org has it"],
)
def test_an_address_is_found_where_the_venue_forbids_links(text):
    one = filled(**{"why-we-care": text})
    assert [each.rule for each in against(one, STRICT)] == ["links"]
    assert against(one, Venue()) == []


@pytest.mark.parametrize(
    "text", ["from 1.5 to 2.0 eV, e.g. here", "clubs of clay", "We see it. Nobody else did."]
)
def test_other_words_pass(text):
    assert against(filled(**{"why-we-care": text}), STRICT) == []


def test_a_word_that_is_kept_out_is_refused_by_its_line_what_was_found_and_the_next_act():
    one = filled(**{"what-we-see": "The potter's hall saw it."})
    with pytest.raises(
        AgainstVenue, match='the slot what-we-see, line 42: needed none .* found "Potter\'s Hall"'
    ) as it:
        keep_to(one, STRICT)
    assert "edgeshift note words" in str(it.value)


def test_every_further_place_is_told_of():
    one = filled(**{"what-we-see": "the club", "what-next": "the club again"})
    with pytest.raises(AgainstVenue, match="and 1 more such place.*\n.*the slot what-next, line 44: 'club'"):
        keep_to(one, STRICT)


def test_a_venue_without_thanks_leaves_them_out_before_it_is_checked():
    one = filled(thanks="the club")
    assert fitted(one, STRICT).words["thanks"] is None
    keep_to(fitted(one, STRICT), STRICT)
    with pytest.raises(AgainstVenue, match="'club'"):
        keep_to(one, STRICT)


def test_words_of_the_experiment_text_are_checked_too_and_nothing_is_written():
    one = material(question=Said("Did the club fire it?", "text", "question"))
    with pytest.raises(AgainstVenue, match="the experiment text at question"):
        poster(one, STRICT)


def test_claims_and_captions_are_checked():
    one = filled()
    claim = replace(one.claims[0], reason=Said("the club said so", "group", "50"))
    assert [each.said.key for each in against(replace(one, claims=(claim,)), STRICT)] == ["50"]


def test_only_what_a_poster_prints_is_held_against_its_venue():
    """Facts beneath the figures stand in the report alone."""
    one = filled()
    first, *rest = one.answers
    fact, sentence = (
        Said("the club lent it", "answer", first.identity),
        Said("The club moved.", "answer", first.identity),
    )
    poster(replace(one, answers=(replace(first, facts=(fact,)), *rest)), STRICT)
    with pytest.raises(AgainstVenue, match="the answer to real at Al K: .* found 'club'"):
        poster(replace(one, answers=(replace(first, sentence=sentence), *rest)), STRICT)
