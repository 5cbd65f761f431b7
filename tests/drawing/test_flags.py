"""Leaders and causes do not cross."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from edgeshift.drawing.flags import flag_rows

leaders = st.lists(st.tuples(st.floats(0, 900), st.floats(20, 300)), min_size=1, max_size=5)


@given(leaders)
def test_no_words_reach_over_a_later_leader_or_its_words_on_their_row(found):
    spans = sorted((at, at, at + wide) for at, wide in found)
    rows = flag_rows(spans)
    for place, (_, _, right) in enumerate(spans):
        for other in range(place + 1, len(spans)):
            if spans[other][1] < right:
                assert rows[place] > rows[other]


def test_flags_far_apart_share_the_lowest_row():
    assert flag_rows([(0, 0, 100), (300, 300, 400)]) == [0, 0]
