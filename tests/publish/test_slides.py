"""Slides: everything inside its slide and its box, nothing below 18 pt, nobody named, the same bytes."""

from __future__ import annotations

import io
import zipfile
from itertools import combinations

import pytest
from pptx import Presentation
from pptx.util import Pt
from sample_material import WORDS, filled, material

from edgeshift.drawing.metrics import text_width
from edgeshift.publish.material import Said
from edgeshift.publish.slides import EMU, LINE, SLACK, SLOTS, TALL, WIDE, lines_of, slides
from edgeshift.wording.exhibit import WORDS as HEADS

LONG = "Does the fire of our pit change the clay of the river bank more than the bank itself varies? " * 12
ENDLESS = "Donaudampfschifffahrtsgesellschaft" * 40


def deck(made=None):
    return Presentation(io.BytesIO(slides(made or filled())["slides.pptx"]))


def texts(slide) -> list[str]:
    """Every text that a slide shows."""
    found = [shape.text_frame.text for shape in slide.shapes if shape.has_text_frame]
    tables = [shape.table for shape in slide.shapes if shape.has_table]
    return found + [cell.text for table in tables for row in table.rows for cell in row.cells]


def measured(frame, width: float) -> float:
    """Pixels that the paragraphs of a frame need, by the tables of our own fonts."""
    tall = 0.0
    for paragraph in frame.paragraphs:
        for run in paragraph.runs:
            size = run.font.size.pt / 0.75
            voice = "italic" if run.font.italic else "bold" if run.font.bold else "regular"
            tall += LINE * size * len(lines_of(run.text, size, width / SLACK, voice))
    return tall


def boxes(slide):
    return [(s.left, s.top, s.left + s.width, s.top + s.height) for s in slide.shapes]


MADE = {
    "empty": material,
    "filled": filled,
    "long": lambda: filled(**dict.fromkeys(WORDS, LONG)),
    "endless word": lambda: filled(**dict.fromkeys(WORDS, ENDLESS)),
    "many rows": lambda: material(
        measured=material().measured * 40,
        shelf=material().shelf * 30,
    ),
}


@pytest.fixture(scope="module", params=list(MADE))
def made(request):
    return deck(MADE[request.param]())


def test_everything_stands_on_its_slide_and_apart(made):
    for slide in made.slides:
        for left, top, right, bottom in boxes(slide):
            assert left >= 0 and top >= 0 and right <= WIDE * EMU and bottom <= TALL * EMU
        for one, two in combinations(boxes(slide), 2):
            apart = one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]
            assert apart, texts(slide)


def test_every_text_fits_its_box(made):
    for slide in made.slides:
        for shape in slide.shapes:
            if shape.has_text_frame:
                assert measured(shape.text_frame, shape.width / EMU) <= shape.height / EMU + 1, shape.text
            if shape.has_table:
                for row in shape.table.rows:
                    for cell, column in zip(row.cells, shape.table.columns, strict=True):
                        needs = measured(cell.text_frame, column.width / EMU - 16)
                        assert needs <= row.height / EMU, cell.text


def test_no_letter_is_smaller_than_18_pt(made):
    sizes = [
        run.font.size
        for slide in made.slides
        for shape in slide.shapes
        for frame in (
            [shape.text_frame] if shape.has_text_frame
            else [cell.text_frame for row in shape.table.rows for cell in row.cells] if shape.has_table
            else []
        )
        for paragraph in frame.paragraphs
        for run in paragraph.runs
    ]  # fmt: skip
    assert min(sizes) >= Pt(18)


def test_the_same_material_gives_the_same_bytes_and_no_member_has_a_time_of_its_own():
    data = slides(filled())["slides.pptx"]
    assert data == slides(filled())["slides.pptx"]
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert {member.date_time for member in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert not [name for name in archive.namelist() if "thumbnail" in name]


def test_the_file_names_nobody_and_is_of_the_day_of_its_material():
    told = deck().core_properties
    assert {told.author, told.last_modified_by, told.comments, told.keywords} == {""}
    assert told.created == told.modified and told.modified.isoformat().startswith("2026-03-01T16:26")


def test_each_answer_has_its_sentence_as_title_and_its_picture_in_words():
    there = deck(material())
    titles = [slide.shapes.title.text_frame.text for slide in there.slides]
    for told in material().answers:
        slide = there.slides[titles.index(told.sentence.text)]
        (picture,) = [
            shape for shape in slide.shapes if shape.shape_type is not None and hasattr(shape, "image")
        ]
        assert picture._element.nvPicPr.cNvPr.get("descr") == told.picture.alt.text
        assert picture.image.size[0] > 1.9 * picture.width / EMU
        notes = slide.notes_slide.notes_text_frame.text
        assert all(said.text in notes for said in (*told.facts, *told.cautions))


def test_every_slide_has_a_title_and_the_day_line_is_last():
    there = deck(material())
    assert all(slide.shapes.title.text_frame.text for slide in there.slides)
    assert there.slides[len(there.slides) - 1].shapes.title.text_frame.text == HEADS["day"]


def test_slots_are_places_to_write_in_until_the_group_wrote():
    there = {slide.shapes.title.text_frame.text: slide for slide in deck(material()).slides}
    for slot in SLOTS:
        (place,) = [one for one in there[HEADS[slot]].placeholders if one.placeholder_format.idx == 1]
        assert place.text_frame.text == ""
    there = {slide.shapes.title.text_frame.text: slide for slide in deck(filled()).slides}
    for slot in SLOTS:
        assert WORDS[slot] in texts(there[HEADS[slot]])


def test_people_speak_in_italics_and_the_tool_does_not():
    claim = next(s for s in deck().slides if s.shapes.title.text_frame.text == "The fire moved it.")
    (run,) = claim.shapes.title.text_frame.paragraphs[0].runs
    assert run.font.italic and run.font.name == "Literata"
    title = deck().slides[1].shapes.title.text_frame.paragraphs[0].runs[0]
    assert not title.font.italic and title.font.name == "Atkinson Hyperlegible"


def test_long_words_of_the_group_go_on_to_another_slide_and_none_is_lost():
    there = deck(filled(**{"what-we-see": 4 * LONG}))
    pages = [s for s in there.slides if s.shapes.title.text_frame.text == HEADS["what-we-see"]]
    assert len(pages) > 1
    whole = " ".join(text for page in pages for text in texts(page)[1:])
    assert whole.split() == 4 * LONG.split()


def test_a_question_that_is_too_long_for_a_title_stands_beneath_one():
    there = deck(material(question=Said(LONG, "text", "question")))
    assert there.slides[0].shapes.title.text_frame.text == HEADS["page"]
    assert LONG.strip() in [" ".join(text.split()) for text in texts(there.slides[0])]


def test_lines_hold_whatever_the_font_and_no_word_is_lost():
    for text in ("a short one", LONG, ENDLESS):
        lines = lines_of(text, 24.0, 500.0)
        assert all(text_width(line, 24.0) <= 500.0 * SLACK for line in lines)
        assert "".join("".join(lines).split()) == "".join(text.split())
