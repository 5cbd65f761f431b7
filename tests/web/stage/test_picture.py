"""Which picture stands beside the sentence of all edges, and what one edge's page must not leave out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from a_house import house, visitor

from edgeshift.actions.staging import staged
from edgeshift.records.figure import Board, Plot
from edgeshift.records.room import View

MOVED = "K L should not have moved, but did: suspect the instrument before the chemistry."


@pytest.fixture
def room(tmp_path):
    with house(tmp_path / "shift") as made:
        yield made


def test_all_edges_show_the_curves_of_the_most_telling_one_beside_their_own_sentence(room):
    whole = next(one for one in room.room.ask(View("real")) if one.edge is None)
    shown = staged(room.room, View("real"))
    assert shown.sentence == whole.marked
    assert isinstance(shown.figure.panels[0], Plot) and isinstance(whole.figure.panels[0], Board)
    assert shown.figure.alt.startswith(whole.figure.alt)
    page = visitor(room).get("/stage?question=real").text
    assert 'data-x="' in page


def test_of_several_edges_a_family_edge_with_the_highest_verdict_is_pictured(room, monkeypatch):
    *edges, whole = room.room.ask(View("real"))
    (one,) = edges

    def edge(name: str, role: str, verdict: str):
        return replace(one, edge=name, verdict=verdict, detail={**one.detail, "edge": name, "role": role})

    found = [
        edge("K L", "control", "units"),
        edge("Fe L", "family", "scans"),
        edge("Al K", "family", "units"),
        whole,
    ]
    monkeypatch.setattr(room.room, "latest", lambda view, until=None: found)
    plot = staged(room.room, View("real")).figure.panels[0]
    assert plot.ruler.words.endswith("Al K")


def test_what_the_whole_warns_of_stands_beside_the_sentence_of_each_edge_it_holds_for(room, monkeypatch):
    one, whole = room.room.ask(View("real"))
    assert staged(room.room, View("real", one.edge)).caution == ""
    warned = [replace(one, cautions=(*one.cautions, MOVED)), replace(whole, cautions=(MOVED,))]
    asked = room.room.latest
    monkeypatch.setattr(
        room.room,
        "latest",
        lambda view, until=None: warned if view.question == "real" else asked(view, until),
    )
    assert staged(room.room, View("real", one.edge)).caution == MOVED
    assert staged(room.room, View("real")).caution == ""
    heading = visitor(room).get(f"/stage?question=real&edge={one.edge}").text.partition("</h1>")[0]
    assert MOVED in heading
