"""What is bounded forgets what was asked for longest ago."""

from edgeshift.actions.recent import Recent


def test_the_oldest_that_nobody_asked_for_is_forgotten():
    made, recent = [], Recent(2)
    for key in ("a", "b", "a", "c", "a", "b"):
        assert recent(key, lambda key=key: made.append(key) or key.upper()) == key.upper()
    assert made == ["a", "b", "c", "b"]
    assert len(recent) == 2
