"""Documents say only what answers say: each text is one of the material's, and each number stands in one.

What a person changes moves in every document that shows it, and nothing else does.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from a_room import HOST
from acted import EVENING, SAID, acted
from pptx import Presentation
from sample_material import WORDS

from edgeshift.actions import note
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.edit import edit_value
from edgeshift.actions.entering import Who
from edgeshift.actions.gathering import gather
from edgeshift.actions.publish import written
from edgeshift.actions.room import Room
from edgeshift.actions.slots import write_words
from edgeshift.publish.exhibit import exhibit
from edgeshift.publish.material import SLOTS, Material, Told
from edgeshift.publish.poster import poster_data
from edgeshift.publish.report import report_data
from edgeshift.publish.slides import slides
from edgeshift.publish.web_report import web_report
from edgeshift.recipe.venue import Venue
from edgeshift.records.answer import QUESTIONS
from edgeshift.wording.documents import HEADS
from edgeshift.wording.exhibit import WORDS as EXHIBIT
from edgeshift.wording.screen import ENGLISH

NUMBER = re.compile(r"[+−-]?\d+(?:[.:,]\d+)*")
NO_TEXT = ("file", "mark", "heads", "slots")
"""Names of files, and the heads themselves, which are held to be without a number below."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A shift in which people acted and the group wrote into every slot."""
    place = tmp_path_factory.mktemp("documents") / "shift"
    desk = steady_desk(EVENING)
    with acted(place, desk) as made:
        for slot in SLOTS:
            write_words(made, desk, HOST, slot, WORDS[slot])
    return place


@pytest.fixture(scope="module")
def material(folder) -> Material:
    """All that documents may show of it."""
    return gathered(folder)


def gathered(folder: Path) -> Material:
    """What a room that is opened anew gathers."""
    room = Room(folder, steady_desk(EVENING))
    try:
        return gather(room)
    finally:
        room.close()


def texts(data: object, key: str = "") -> Iterator[str]:
    """Every text of a document's plain data."""
    if key in NO_TEXT:
        return
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for name, value in data.items():
            yield from texts(value, name)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from texts(value)


def read_aloud(page: bytes) -> str:
    """What stands on a page of HTML, without its pictures, its style and its script."""
    text = re.sub(r"<(style|svg|head|script)\b.*?</\1>", " ", page.decode(), flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", " ", text))


def on_slides(data: bytes) -> Iterator[str]:
    """Every paragraph and cell of a file of slides, and every line of its notes."""
    for slide in Presentation(io.BytesIO(data)).slides:
        shapes = list(slide.shapes)
        frames = [shape.text_frame for shape in shapes if shape.has_text_frame]
        rows = [row for shape in shapes if shape.has_table for row in shape.table.rows]
        frames += [cell.text_frame for row in rows for cell in row.cells]
        frames += [slide.notes_slide.notes_text_frame] if slide.has_notes_slide else []
        yield from (paragraph.text for frame in frames for paragraph in frame.paragraphs)


def shown(material: Material) -> dict[str, list[str]]:
    """The texts of every document, by its name."""
    return {
        "slides": list(on_slides(slides(material)["slides.pptx"])),
        "exhibit": [read_aloud(exhibit(material)["exhibit.html"])],
        "report": list(texts(report_data(material))),
        "poster": list(texts(poster_data(material, Venue()))),
        "html": [read_aloud(web_report(material)["report.html"])],
    }


def carried(material: Material) -> list[Told]:
    """What the data carry of each claim."""
    return [claimed.carried for claimed in material.claims if claimed.carried]


def house_words(material: Material) -> set[str]:
    """Words of ours, and what they are put together with: an edge, a clock time, a level."""
    asked = {ENGLISH(f"question.{question}") for question in QUESTIONS}
    edges = {told.edge for told in material.answers if told.edge}
    return {
        *HEADS.values(), *asked, *(f"{edge}: {each}" for edge in edges for each in asked),
        *edges, *(said.key for said in material.methods), *(row.edge for row in material.measured),
        *material.measured_heads, *(moment.at for moment in material.story),
        *(f"claim level {one.level.text} asked" for one in material.claims),
    }  # fmt: skip


def test_heads_hold_no_digit():
    told = {*EXHIBIT.values(), *HEADS.values(), *(ENGLISH(f"question.{question}") for question in QUESTIONS)}
    assert not [text for text in told if re.search(r"\d", text)]


@pytest.mark.parametrize("document", ["report", "poster"])
def test_every_text_of_a_document_is_one_of_the_materials_or_a_head(material, document):
    known = {said.text for said in material.said()} | house_words(material)
    shared = {", ".join(told.edge for told in some if told.edge) for some in _shared_by(material)}
    strange = [text for text in shown(material)[document] if text not in known | shared | {""}]
    assert strange == []


def _shared_by(material: Material) -> list[list]:
    return [
        [told for told in material.answers if caution.text in {said.text for said in told.cautions}]
        for caution in material.cautions
    ]


def test_every_text_of_the_slides_is_one_of_the_materials_or_a_head(material):
    known = {said.text for said in material.said()} | house_words(material) | set(EXHIBIT.values()) | {""}
    known |= {f"{material.made_by.text}, {material.last[:10]}"}
    known |= {f"{moment.at} {moment.said.text}" for moment in material.story}
    assert [text for text in shown(material)["slides"] if text not in known] == []


@pytest.mark.parametrize("document", ["report", "poster", "html", "slides", "exhibit"])
def test_every_number_of_a_document_stands_in_a_text_that_says_where_it_comes_from(material, document):
    origins = [said.text for said in material.said()] + [moment.at for moment in material.story]
    origins += [material.last[:10]]
    pictures = [told.picture for told in (*material.answers, *carried(material)) if told.picture]
    for picture in pictures:
        origins += [text for title, heads, rows in picture.tables for text in (title, *heads, *sum(rows, ()))]
    known = {number for text in origins for number in NUMBER.findall(text)}
    told = [number for text in shown(material)[document] for number in NUMBER.findall(text)]
    assert len(told) > 5
    assert [number for number in told if number not in known] == []


def test_a_number_of_nobody_would_be_noticed(material):
    known = {number for said in material.said() for number in NUMBER.findall(said.text)}
    assert NUMBER.findall("difference 0.123456")[0] not in known


def test_every_said_names_its_answer_its_line_its_edge_or_its_place(material):
    identities = {told.identity for told in (*material.answers, *carried(material))}
    for said in material.said():
        assert said.key or said.origin in ("source", "house"), said
        if said.origin == "answer" and re.fullmatch(r"[0-9a-f]{64}", said.key):
            assert said.key in identities
        if said.origin == "house":
            assert not re.search(r"\d", said.text), said


def test_answers_are_told_in_their_own_words(folder, material):
    room = Room(folder, steady_desk(EVENING))
    naming = room.naming()
    every = [one for found in room.all_answers().values() if isinstance(found, list) for one in found]
    room.close()
    told = {one.identity: one for one in material.answers}
    for answer in every:
        if answer.question in ("trust", "real"):
            assert told[answer.identity].sentence.text == naming(answer.sentence)


def test_what_the_group_said_is_there_word_for_word(material):
    for document, said in shown(material).items():
        whole = "\n".join(said)
        assert all(WORDS[slot] in whole for slot in ("why-we-care", "what-we-see", "what-we-cannot-say")), (
            document
        )
    assert SAID in shown(material)["html"][0]


def test_a_document_is_the_same_bytes_whenever_it_is_written(folder, material):
    later = Room(folder, steady_desk("2031-01-01T00:00:00.000Z"))
    again = gather(later)
    later.close()
    for document in written():
        assert document(again) == document(material)


# --- what is changed moves, everywhere, and nothing else does ---------------------------------------------


def set_a_scan_aside(folder, desk):
    """Of Ti L: nothing is deleted, and the comparison has one scan less."""
    note.judge(folder, desk, Who("host", "the lid stood open"), "scan-012", "set-aside")


def change_the_baseline(folder, desk):
    """Of Ti L alone: a line in place of a level."""
    edit_value(folder, desk, HOST, ("edges", 3, "recipe"), {"baseline": {"degree": 1}})


def change_a_unit(folder, desk):
    """What was measured of the raw clay of one bank at Ti L was another specimen."""
    note.place(folder, desk, Who("host", "the jar was swapped"), "scan-012", "RAW-B", None)


def as_shown(told: Told) -> tuple:
    """What of an answer a reader sees: all but the identity, which knows of every act."""
    texts = (told.sentence, *told.facts, *told.would_change_it, *told.cautions)
    return [said.text for said in texts], told.picture.svg, told.picture.tables


@pytest.mark.parametrize("change", [set_a_scan_aside, change_the_baseline, change_a_unit])
def test_what_a_change_moves_moves_in_every_document_and_nothing_else_does(tmp_path, material, change):
    desk = steady_desk(EVENING)
    with acted(tmp_path / "shift", desk) as made:
        for slot in SLOTS:
            write_words(made, desk, HOST, slot, WORDS[slot])
        change(made, desk)
    after = gathered(tmp_path / "shift")
    gone, come = ({said.text for said in one.said()} - {said.text for said in other.said()}
                  for one, other in ((material, after), (after, material)))  # fmt: skip
    assert any(re.search(r"\d", text) for text in gone) and any(re.search(r"\d", text) for text in come)
    before_told, after_told = (
        {told.edge: told for told in one.answers if told.question == "real"} for one in (material, after)
    )
    assert before_told["Ti L"].facts != after_told["Ti L"].facts
    assert as_shown(before_told["K L"]) == as_shown(after_told["K L"])
    old, new = shown(material), shown(after)
    for document in ("report", "poster"):
        stale = [text for text in new[document] if text in gone]
        assert stale == [], f"{document} still says what is no longer so"
        moved = set(old[document]) ^ set(new[document])
        assert moved <= gone | come | house_words(material) | house_words(after), document
    assert set(new["report"]) & come >= {said.text for said in after_told["Ti L"].facts} & come
    for fact in after_told["Ti L"].facts:
        assert fact.text in new["html"][0].replace("  ", " ")
