"""The fall, the hours, and the places that a script can use."""

from __future__ import annotations

import xml.etree.ElementTree as tree
from itertools import combinations

import pytest

from edgeshift.drawing import curtain_looks, picture
from edgeshift.drawing.metrics import ASCENT, DESCENT, text_width
from edgeshift.drawing.tokens import LIGHT
from edgeshift.figures.day_line import day_line
from edgeshift.records.figure import Moment

SVG = "{http://www.w3.org/2000/svg}"


def at(minutes: int) -> str:
    return f"2026-03-14T{9 + minutes // 60:02d}:{minutes % 60:02d}:00+00:00"


def a_day() -> list[Moment]:
    found = [
        Moment("people", at(0), at(75), "gloves and mounting"),
        Moment("vacuum", at(80), at(122), "pumping"),
        Moment("decision", at(128), words="Al first"),
        Moment("decision", at(214), words="a scan that nobody could explain was set aside"),
        Moment("people", at(240), at(275), "lunch"),
        Moment("note", at(309), words="who has not spoken yet?"),
        Moment("trip", at(317), at(330), "beam trip"),
        Moment("plan", at(365), at(400), "the vote decides"),
    ]
    for number in range(14):
        start, arm = 166 + 5 * number, ("control", "treated")[number % 2]
        state = "set-aside" if number == 6 else "keep"
        found.append(
            Moment("scan", at(start), at(start + 4), "Al K", state, arm, at(start + 5), f"s{number}")
        )
    for number in range(6):
        found.append(Moment("scan", at(280 + 5 * number), at(284 + 5 * number), "Fe L", "keep"))
    return found


PLACES = [(1280, 92), (1440, 150), (390, 72)]
LINES = {
    "a day": day_line(a_day(), at(340), at(480)),
    "rewound": day_line(a_day(), at(220), at(480), live=at(340)),
    "planned": day_line(
        [
            Moment("people", at(340), at(375), "lunch", "planned"),
            Moment("vacuum", at(380), at(420), "pump", "planned"),
            Moment("decision", at(425), at(435), "decision meeting", "planned"),
            Moment("plan", at(375), at(424), "Al K", "planned"),
        ],
        at(340),
        at(480),
    ),
    "near its end": day_line(a_day(), at(461), at(480)),
    "over": day_line(a_day(), at(485), at(480)),
    "endless": day_line(a_day(), at(340)),
    "nothing yet": day_line([], at(10), at(480)),
    "running": day_line([*a_day(), Moment("scan", at(338), at(340), state="running")], at(340), at(480)),
    "far away": day_line(a_day(), at(340), at(480), offset_min=-330),
}
every_line = pytest.mark.parametrize("name", LINES)
every_place = pytest.mark.parametrize("place", PLACES)


def drawn(name: str, place: tuple[int, int] = PLACES[0], **how) -> tree.Element:
    return tree.fromstring(picture(LINES[name], *place, **how))


def places(root: tree.Element) -> list[tree.Element]:
    return [group for group in root.iter(f"{SVG}g") if group.get("data-time")]


@every_line
@every_place
def test_no_words_lie_on_other_words_or_leave_the_line(name, place):
    boxes = []
    for text in drawn(name, place).iter(f"{SVG}text"):
        size, voice = float(text.get("font-size")), "bold" if text.get("font-weight") else "regular"
        wide = text_width(text.text, size, "italic" if text.get("font-style") else voice)
        left = float(text.get("x")) - (wide if text.get("text-anchor") == "end" else 0)
        y = float(text.get("y"))
        boxes.append((text.text, left, y - ASCENT * size, left + wide, y + DESCENT * size))
    for word, left, top, right, bottom in boxes:
        assert left >= 0 and right <= place[0] and top >= 0 and bottom <= place[1] + 1, word
    for (one, *a), (other, *b) in combinations(boxes, 2):
        across, down = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
        assert across <= 1 or down <= 1, (one, other)


@every_place
def test_every_moment_is_a_place_with_its_time_and_its_words(place):
    found = places(drawn("a day", place))
    assert len(found) == len(a_day())
    assert {one.get("role") for one in found} == {"button"} and all(one.get("aria-label") for one in found)
    assert [one.get("tabindex") for one in found].count("0") == 1
    scan = next(one for one in found if one.get("data-key") == "s6")
    assert scan.get("data-time") == at(201) and scan.get("aria-label") == "Al K, set aside, 12:16 to 12:20"


def test_the_one_reached_by_tab_is_the_latest():
    (one,) = [place for place in places(drawn("rewound")) if place.get("tabindex") == "0"]
    assert one.get("data-kind") == "scan" and one.get("data-time") <= at(221)


def test_the_line_falls_where_it_is_now():
    root = drawn("a day")
    (plot,) = [rect for rect in root.iter(f"{SVG}rect") if rect.get("data-plot") == "time"]
    left, right = float(plot.get("data-left")), float(plot.get("data-right"))
    now = left + 340 / 480 * (right - left)
    edge = next(path for path in root.iter(f"{SVG}path") if path.get("fill") == LIGHT.glaze)
    points = [tuple(map(float, point.split())) for point in edge.get("d")[1:].split("V")[0].split("L")]
    high, low = min(y for _, y in points), max(y for _, y in points)
    assert all(y < high + 0.5 * (low - high) for x, y in points if x < now - 1)
    assert all(y > high + 0.5 * (low - high) for x, y in points if x > now + 1)


def test_what_a_rewound_page_does_not_know_stands_there_without_words_or_signs():
    root = drawn("rewound")
    shown = " ".join(root.itertext())
    assert "lunch" not in shown and "Fe L" not in shown and "12:40, 4 h 20 min left then" in shown
    later = [one for one in places(root) if one.get("data-kind") == "trip"]
    assert later and not list(later[0].iter(f"{SVG}path"))


def test_the_arms_of_scans_are_hidden_by_a_drawn_curtain():
    for lot in ([0, 1], [1, 0]):
        svg = picture(LINES["a day"], 1440, 150, looks=curtain_looks(lot))
        assert "control" not in svg and "treated" not in svg
        assert LIGHT.indigo not in svg and LIGHT.ember not in svg


def test_a_scan_set_aside_is_told_by_its_shape():
    lines = {one.get("data-key"): len(list(one.iter(f"{SVG}line"))) for one in places(drawn("a day"))}
    assert lines["s6"] == 2 and lines["s5"] == 1


def test_a_scan_that_runs_is_a_broken_stroke_and_named_before_all_else():
    root = drawn("running", PLACES[1])
    (mark,) = [one for one in root.iter(f"{SVG}g") if one.get("aria-label", "").startswith("scan, running")]
    assert [one for one in mark.iter(f"{SVG}path") if one.get("stroke-dasharray")]
    assert [one for one in root.iter(f"{SVG}text") if "running" in "".join(one.itertext())]
    assert not [
        one for one in drawn("a day", PLACES[1]).iter(f"{SVG}text") if "running" in "".join(one.itertext())
    ]


def test_what_is_planned_is_hollow_and_keeps_off_the_past():
    drawn = tree.fromstring(picture(LINES["planned"], 1280, 150))
    lived = tree.fromstring(picture(LINES["a day"], 1280, 150))
    assert LIGHT.straw not in {each.get("fill") for each in drawn.iter()}
    assert LIGHT.straw in {each.get("fill") for each in lived.iter()}
    present = next(e for e in drawn.iter(f"{SVG}rect") if e.get("data-plot") == "time")
    now_x = float(present.get("data-left")) + (40 / 180) * (
        float(present.get("data-right")) - float(present.get("data-left"))
    )
    words = {each.text: float(each.get("x")) for each in drawn.iter(f"{SVG}text")}
    assert all(words[said] > now_x for said in ("lunch", "Al K", "decision meeting") if said in words)
    assert "Al K" in words and "decision meeting" in words


def test_people_ahead_do_not_run_through_what_is_left_in_words():
    close = Moment("people", at(350), at(400), "write and close", "planned")
    root = tree.fromstring(picture(day_line([close], at(340), at(480)), 1440, 130))
    (left,) = [text for text in root.iter(f"{SVG}text") if "ours" in (text.text or "")]
    (place,) = places(root)
    bar = [rect for rect in place.iter(f"{SVG}rect") if rect.get("fill") != "none" or rect.get("stroke")][-1]
    assert float(bar.get("y")) > float(left.get("y")) + DESCENT * float(left.get("font-size"))
