"""Leaders and causes do not cross."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from edgeshift.drawing.curves import Frame
from edgeshift.drawing.flags import _spans, flag_rows
from edgeshift.drawing.page import PHONE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.tokens import LIGHT
from edgeshift.records.figure import FlagMark, Ruler

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


def test_a_leader_does_not_come_down_through_later_words_where_there_is_room_beside_it():
    frame = Frame(Box(100.0, 0.0, 160.0, 300.0), Ruler(0.0, 160.0, "eV"), 0.0, 1.0)
    first, second = FlagMark(85.0, 0.5, "fresh electrons came in"), FlagMark(150.0, 0.5, "at its ceiling")
    (leader, *_), (_, left, right) = _spans(Pen(LIGHT, PHONE), frame, [first, second])
    assert left > leader and right < 260.0 + 40.0
