"""Two members of two groups that look exchanged."""

import numpy as np

from edgeshift.numerics.two_labels import one_exchange

IN_SECOND = np.array([False] * 3 + [True] * 3)
SHAPE = np.sin(np.linspace(0.0, 6.0, 60))


def rows(apart, seed, swapped=None, scatter=1.0):
    rng = np.random.default_rng(seed)
    group = IN_SECOND.copy()
    if swapped:
        group[list(swapped)] = group[list(swapped)[::-1]]
    place = apart * group + scatter * rng.standard_normal(6)
    return place[:, None] * SHAPE + 0.1 * rng.standard_normal((6, 60))


def test_an_exchanged_pair_is_named_in_most_shifts():
    found = [one_exchange([rows(9, n, (1, 5)), rows(9, n + 99, (1, 5))], IN_SECOND) for n in range(30)]
    named = [each for each in found if each is not None]
    assert len(named) >= 24
    assert {(each.first, each.second) for each in named} == {(1, 5)}
    assert all(each.edges for each in named)


def test_groups_as_labelled_are_left_alone():
    assert all(one_exchange([rows(9, n), rows(5, n + 99)], IN_SECOND) is None for n in range(60))


def test_groups_that_do_not_differ_rarely_look_exchanged():
    """Of six alike, some pair always closes the groups up a little; it must not be named for that."""
    found = [one_exchange([rows(0, n), rows(0, n + 500)], IN_SECOND) for n in range(200)]
    assert sum(each is not None for each in found) <= 6


def test_an_edge_that_separates_the_groups_as_labelled_speaks_against_it():
    assert all(
        one_exchange([rows(9, n, (0, 3)), rows(12, n + 99, scatter=0.5)], IN_SECOND) is None
        for n in range(20)
    )


def test_two_members_are_too_few():
    assert one_exchange([rows(9, 1)[:5]], IN_SECOND[:5]) is None


def test_one_that_was_measured_elsewhere_only_does_not_hide_the_others():
    """A seventh specimen is known at the second edge alone, where its arm has one member."""
    in_second = np.array([False] * 3 + [True] * 4)
    found = []
    for seed in range(20):
        first = np.vstack([rows(12, seed, (1, 5)), np.full((1, 60), np.nan)])
        second = np.full((7, 60), np.nan)
        second[[0, 1, 6]] = rows(12, seed + 99)[:3]
        found.append(one_exchange([first, second], in_second))
    named = [each for each in found if each is not None]
    assert len(named) >= 16
    assert {(each.first, each.second, each.edges) for each in named} == {(1, 5, (0,))}


def unlike(seed):
    """Three pots of one fire, much alike, and three of fires of their own; one of each changed labels."""
    rng = np.random.default_rng(seed)
    place = np.r_[-0.8 + 0.1 * rng.standard_normal(3), 2.0 + 0.9 * rng.standard_normal(3)]
    place[[1, 5]] = place[[5, 1]]
    return place[:, None] * SHAPE + 0.01 * rng.standard_normal((6, 60))


def test_a_group_that_is_much_alike_shows_its_stranger():
    named = [found for seed in range(60) if (found := one_exchange([unlike(seed)], IN_SECOND))]
    assert len(named) >= 42
    assert {(each.first, each.second) for each in named} == {(1, 5)}


def test_six_alike_at_one_edge_rarely_look_exchanged():
    found = [one_exchange([rows(0, n)], IN_SECOND) for n in range(400)]
    assert sum(each is not None for each in found) <= 14
