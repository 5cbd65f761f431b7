"""Cards on paper: a bar no longer than the minutes left, and backs that are all alike."""

import xml.etree.ElementTree as tree

import sample_answers

from edgeshift.drawing import draw
from edgeshift.drawing.tokens import LIGHT
from edgeshift.figures import minutes

SVG = "{http://www.w3.org/2000/svg}"


def bars(width):
    root = tree.fromstring(draw(minutes.figure(sample_answers.cards()), width))
    boxes = [r for r in root.iter(f"{SVG}rect") if r.get("fill") in (LIGHT.glaze2, LIGHT.ink)]
    wide = [float(box.get("width")) for box in boxes]
    return list(zip(wide[::2], wide[1::2], strict=True))


def test_each_bar_is_its_cards_share_of_the_minutes_left():
    cards = sample_answers.cards().detail["cards"]
    for width in (1280, 390):
        for (track, bar), card in zip(bars(width), cards, strict=True):
            assert abs(bar - min(1.0, card["minutes"] / 140) * track) < 0.2


def test_backs_are_alike_and_without_words():
    figure = minutes.figure(sample_answers.cards(), hidden=True)
    root = tree.fromstring(draw(figure))
    said = "".join(text for part in root.iter(f"{SVG}text") for text in part.itertext())
    assert "Settles" not in said and "25 min" not in said
    backs = [r for r in root.iter(f"{SVG}rect") if r.get("fill") == LIGHT.glaze]
    assert len({(b.get("width"), b.get("height")) for b in backs}) == 1 and len(backs) == 5
