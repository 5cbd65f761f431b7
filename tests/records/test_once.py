"""A thing is made once for its key."""

from edgeshift.records.once import Once


def test_a_thing_is_made_once():
    made = []
    once = Once(None)
    for _ in range(2):
        assert once(("a",), lambda: made.append(1) or "a") == "a"
    assert made == [1]
