"""A thing is made once for its key, and what is bounded forgets what was asked for longest ago."""

from edgeshift.records.once import Once, Recent


def test_a_thing_is_made_once():
    made = []
    once = Once(None)
    for _ in range(2):
        assert once(("a",), lambda: made.append(1) or "a") == "a"
    assert made == [1]


def test_the_oldest_that_nobody_asked_for_is_forgotten():
    made, recent = [], Recent(2)
    for key in ("a", "b", "a", "c", "a", "b"):
        assert recent(key, lambda key=key: made.append(key) or key.upper()) == key.upper()
    assert made == ["a", "b", "c", "b"]
    assert len(recent) == 2
