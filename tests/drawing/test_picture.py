"""The panels alone, as a page shows them, and what they carry for its scripts."""

from __future__ import annotations

import xml.etree.ElementTree as tree
from dataclasses import replace

import pytest
import sample_answers as samples

from edgeshift.drawing import curtain_looks, picture, picture_height
from edgeshift.figures import figure_of

SVG = "{http://www.w3.org/2000/svg}"


def drawn(answer, *place, **how) -> tree.Element:
    return tree.fromstring(picture(figure_of(answer), *place, **how))


def series(root: tree.Element) -> list[str]:
    return [group.get("data-series") for group in root.iter(f"{SVG}g") if group.get("data-series")]


def test_a_page_sets_the_sentence_and_the_question_itself():
    shown = "".join(drawn(samples.four_arms()).itertext())
    assert "moved the same way" not in shown and "Is that the firing" not in shown


def test_band_line_markers_and_name_of_an_arm_lie_in_groups_of_its_series():
    root = drawn(samples.real())
    groups = [group for group in root.iter(f"{SVG}g") if group.get("data-series") == "treated"]
    inside = [part for group in groups for part in group.iter()]
    assert any(part.get("fill", "").endswith("-hatch)") for part in inside)
    assert any(part.get("data-name") == "fired" for part in inside)
    assert any(part.tag == f"{SVG}polygon" for part in inside)
    assert any(part.tag == f"{SVG}text" and part.text == "fired" for part in inside)


def test_where_two_bands_overlap_hiding_either_hides_the_overlap():
    root = drawn(samples.real())
    nested = [g.get("data-series") for outer in root.iter(f"{SVG}g") for g in outer if g.tag == f"{SVG}g"]
    assert "treated" in nested


def test_a_pixel_can_be_read_back_as_the_energy_and_the_value_drawn_there():
    root = drawn(samples.real())
    (plot,) = [rect for rect in root.iter(f"{SVG}rect") if rect.get("data-plot")]
    (line,) = [path for path in root.iter(f"{SVG}path") if path.get("data-name") == "raw"]
    upper = next(rect for rect in root.iter(f"{SVG}rect") if rect.get("data-strip") == "0")
    x, y = (float(word) for word in line.get("d")[1:].split("L")[40].split())
    left, right, low, high = (float(plot.get(f"data-{name}")) for name in ("left", "right", "low", "high"))
    energy = low + (x - left) / (right - left) * (high - low)
    assert energy == pytest.approx(float(line.get("data-x").split()[40]), abs=0.02)
    top, bottom, most, least = (
        float(upper.get(f"data-{name}")) for name in ("top", "bottom", "value-top", "value-bottom")
    )
    value = least + (bottom - y) / (bottom - top) * (most - least)
    assert value == pytest.approx(float(line.get("data-y").split()[40]), abs=0.01)


@pytest.mark.parametrize("lot", [[0, 1], [1, 0]])
def test_behind_a_curtain_series_are_called_by_lot_and_stand_in_its_order(lot):
    root = drawn(samples.real(), looks=curtain_looks(lot))
    assert set(series(root)) == {"p", "q"} and series(root)[0] == "p"
    ends = [path.get("data-name") for path in root.iter(f"{SVG}path") if path.get("data-name")]
    assert ends[:2] == [["raw", "fired"][arm] for arm in (lot.index(0), lot.index(1))]


def test_two_scans_side_by_side_do_not_tell_what_the_arms_drew():
    lots = [picture(figure_of(samples.autopsy()), looks=curtain_looks(lot)) for lot in ([0, 1], [1, 0])]
    assert lots[0] == lots[1]


def test_on_a_phone_a_picture_asks_for_the_height_of_all_its_panels():
    figure = figure_of(samples.real())
    each = [picture_height(replace(figure, panels=(panel,)), 358) for panel in figure.panels]
    assert len(each) == 2 and picture_height(figure, 358) > sum(each)
