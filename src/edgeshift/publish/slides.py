"""Slides that can be edited: text as text, tables as tables, figures as crisp pictures told in words.

Every text is measured before it is set. What does not fit in its type goes on to another slide.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from typing import Any, NamedTuple

from edgeshift.drawing.metrics import Voice, text_width, wrap
from edgeshift.drawing.pen import Box
from edgeshift.drawing.tokens import LIGHT
from edgeshift.publish.material import Claimed, Material, Picture, Said, Told
from edgeshift.publish.press import png
from edgeshift.publish.report import title_of
from edgeshift.records.answer import QUESTIONS
from edgeshift.wording.documents import level_line
from edgeshift.wording.exhibit import WORDS

WIDE, TALL, MARGIN = 1280, 720, 48
"""A slide in pixels, and the air around it."""
EMU = 9525
"""English metric units in a pixel at 96 to the inch (ECMA-376, 20.1.10.16)."""
BODY = 24.0
"""Pixels of the least type on a slide: 18 pt."""
TITLES, TEXTS = (44.0, 38.0, 32.0, 28.0), (32.0, 28.0, BODY)
MOST_TITLE = 4
"""Lines of a title; what is longer stands beneath one."""
SLACK = 0.86
"""Of a width text is given so much: where our fonts are missing, what takes their place is wider (the widest
common one, by its tables, by 16 %)."""
LINE = 1.2
"""From line to line, in type sizes."""
CRISP = 2.5
"""Pixels of a picture for each of the slide's."""
UPRIGHT, ITALIC = ("Atkinson Hyperlegible", "34"), ("Literata", "18")
"""Typefaces, each with the family (OpenType pitch and family: sans serif, serif) that takes its place."""
SLOTS = ("what-we-see", "what-we-cannot-say", "what-next")
MOST_NAME = 255
"""Letters of a property of the file (python-pptx refuses more)."""
EPOCH = (1980, 1, 1, 0, 0, 0)
"""The time of every member of the file: the earliest that a zip archive can tell."""


class Run(NamedTuple):
    """Words in one voice."""

    text: str
    voice: Voice = "regular"
    size: float = BODY
    colour: str = LIGHT.ink


def slides(material: Material) -> dict[str, bytes]:
    """`slides.pptx`, 16 to 9. The same material gives the same bytes."""
    deck = _Deck()
    _question(deck, material)
    _design(deck, material)
    for told in sorted(
        material.answers, key=lambda told: (QUESTIONS.index(told.question), told.edge is not None)
    ):
        if told.picture or told.facts:  # a sentence alone is no slide
            _answer(deck, told)
    _shelf(deck, material)
    for claimed in material.claims:
        _claim(deck, claimed)
    for slot in SLOTS:
        _slot(deck, slot, material.words.get(slot))
    _day(deck, material)
    return {"slides.pptx": deck.packed(datetime.fromisoformat(material.last), material.question.text)}


# --- What each slide holds ---------------------------------------------------------------------------


def _question(deck: _Deck, material: Material) -> None:
    title, care = material.words.get("title"), material.words.get("why-we-care")
    first = Run((title or material.question).text, "italic")
    sheet, left = deck.headed(first, WORDS["page"], (56.0, *TITLES))
    deck.foot(sheet.slide, f"{material.made_by.text}, {material.last[:10]}")
    room = sheet.room._replace(height=sheet.room.height - 1.5 * LINE * BODY)
    more = [*([material.question] if title else []), *([care] if care else [])]
    deck.flow(sheet._replace(room=room), [*left, *(Run(said.text, "italic") for said in more)])


def _design(deck: _Deck, material: Material) -> None:
    sheet = deck.sheet(Run(WORDS["design"]))
    deck.flow(sheet, [Run(said.text) for said in material.design])
    rows = [(row.edge, *(cell.text for cell in row.cells)) for row in material.measured]
    if rows:
        deck.table(WORDS["measured"], material.measured_heads, rows)


def _answer(deck: _Deck, told: Told) -> None:
    """Its sentence is the title; facts and cautions are for whoever speaks."""
    sheet, left = deck.headed(Run(told.sentence.text), title_of(told))
    if left:  # a sentence with very long names has a slide of its own
        deck.flow(sheet, left)
        sheet = deck.sheet(Run(title_of(told)))
    if told.picture:
        deck.picture(sheet, told.picture)
    else:
        deck.flow(sheet, [Run(said.text) for said in told.facts])
    deck.notes(sheet, (WORDS["facts"], told.facts), (WORDS["would-change-it"], told.would_change_it),
               (WORDS["cautions"], told.cautions))  # fmt: skip


def _shelf(deck: _Deck, material: Material) -> None:
    if not material.shelf:
        deck.flow(deck.sheet(Run(WORDS["shelf"])), [Run(WORDS["shelf-empty"])])
        return
    rows = [(one.scan.text, one.why.text) for one in material.shelf]
    deck.table(WORDS["shelf"], None, rows)
    if material.results:
        heads = (WORDS["result"], WORDS["with-them"], WORDS["without"])
        results = [(one.title.text, one.with_them.text, one.without.text) for one in material.results]
        deck.table(WORDS["shelf"], heads, results)


def _claim(deck: _Deck, claimed: Claimed) -> None:
    """The group's words; what the data carry of them is for whoever speaks."""
    sheet, texts = deck.headed(Run(claimed.claim.text, "italic"), WORDS["claims"])
    grounds = {"evidence": claimed.evidence, "reason": claimed.reason, "unless": claimed.unless}
    for name, said in grounds.items():
        if said.text:
            texts += [Run(WORDS[name], colour=LIGHT.ink2), Run(said.text, "italic")]
    deck.flow(sheet, texts)
    carried = claimed.carried
    deck.notes(sheet, (level_line(claimed.level.text), (carried.sentence, *carried.facts) if carried else ()))


def _slot(deck: _Deck, slot: str, words: Said | None) -> None:
    """The group's own words, or an empty place for them."""
    if words:
        deck.flow(deck.sheet(Run(WORDS[slot])), [Run(words.text, "italic")])
    else:
        deck.sheet(Run(WORDS[slot]), empty=True)


def _day(deck: _Deck, material: Material) -> None:
    sheet = deck.sheet(Run(WORDS["day"]))
    deck.picture(sheet, material.day)
    told = [Said(f"{moment.at} {moment.said.text}", "book") for moment in material.story]
    deck.notes(sheet, (WORDS["story"], told), (WORDS["cautions"], material.cautions),
               (WORDS["sources"], material.sources))  # fmt: skip


# --- Measuring ---------------------------------------------------------------------------------------


def lines_of(text: str, size: float, width: float, voice: Voice = "regular") -> list[str]:
    """`text` in lines that hold in any font of the family; a word wider than a line is broken."""
    lines: list[str] = []
    for line in wrap(text, size, SLACK * width, voice):
        while len(line) > 1 and text_width(line, size, voice) > SLACK * width:
            fits = next(
                n for n in range(len(line) - 1, 0, -1)
                if n == 1 or text_width(line[:n], size, voice) <= SLACK * width
            )  # fmt: skip
            lines.append(line[:fits])
            line = line[fits:]
        lines.append(line)
    return lines


def _fitting(run: Run, sizes: Sequence[float], width: float) -> Run:
    """The run in the largest of the sizes in which it has at most two lines, else in the least."""
    for size in sizes:
        if len(lines_of(run.text, size, width, run.voice)) <= 2:
            return run._replace(size=size)
    return run._replace(size=sizes[-1])


def _height(run: Run, width: float) -> float:
    return LINE * run.size * len(lines_of(run.text, run.size, width, run.voice))


def _in_columns(heads: Sequence[str], rows: Sequence[Sequence[str]], width: float) -> list[float]:
    """Widths of the columns: as wide as their words, the widest ones giving way."""
    every = [*([heads] if heads else []), *rows]
    wanted = [
        max(text_width(row[n], BODY, "bold") for row in every) / SLACK + 24 for n in range(len(rows[0]))
    ]
    room, narrow = width, sorted(range(len(wanted)), key=lambda n: wanted[n])
    widths = [0.0] * len(wanted)
    for place, column in enumerate(narrow):
        widths[column] = min(wanted[column], room / (len(narrow) - place))
        room -= widths[column]
    widths[narrow[-1]] += room
    return widths


# --- The file ----------------------------------------------------------------------------------------


class _Sheet(NamedTuple):
    """A slide, its title, and the room beneath the title."""

    slide: Any
    title: Run
    label: str
    room: Box


class _Deck:
    """A file of slides while it is put together."""

    def __init__(self) -> None:
        from pptx import Presentation

        self.file = Presentation()
        self.file.slide_width, self.file.slide_height = WIDE * EMU, TALL * EMU
        self._dress()

    def _dress(self) -> None:
        """Two layouts, a title with and without a place for words, in our colours and typefaces."""
        master = self.file.slide_master
        kept = {"Title and Content", "Title Only"}
        for layout in [one for one in self.file.slide_layouts if one.name not in kept]:
            self.file.slide_layouts.remove(layout)
        self.layouts = {layout.name: layout for layout in self.file.slide_layouts}
        master.background.fill.solid()
        master.background.fill.fore_color.rgb = _colour(LIGHT.sheet)
        room = Box(MARGIN, 150, WIDE - 2 * MARGIN, TALL - 150 - MARGIN)
        for holder in (master, *self.layouts.values()):
            for shape in list(holder.placeholders):
                kind = shape.placeholder_format.type
                if kind in _kinds("DATE", "FOOTER", "SLIDE_NUMBER"):
                    shape._element.getparent().remove(shape._element)
                elif kind in _kinds("TITLE"):
                    _place(shape, Box(MARGIN, MARGIN, WIDE - 2 * MARGIN, 100))
                else:
                    _place(shape, room)
        _theme(master)

    def sheet(
        self,
        title: Run,
        sizes: Sequence[float] = TITLES,
        label: str = "",
        empty: bool = False,
    ) -> _Sheet:
        """A slide with its title; one that is `empty` keeps a place to write in."""
        layout = self.layouts["Title and Content" if empty else "Title Only"]
        slide = self.file.slides.add_slide(layout)
        width, top = WIDE - 2 * MARGIN, 0.75 * MARGIN
        bold = title if title.voice == "italic" else title._replace(voice="bold")
        set_ = _fitting(bold, sizes, width)
        tall = _height(set_, width)
        under = top + (LINE * BODY if label else 0.0)
        _place(slide.shapes.title, Box(MARGIN, under, width, tall + 8))
        _write(slide.shapes.title.text_frame, [set_])
        if label:
            self._text(slide, Box(MARGIN, top, width, LINE * BODY), [Run(label, colour=LIGHT.ink2)])
        foot = under + tall + 24
        room = Box(MARGIN, foot, width, TALL - MARGIN - foot)
        if empty:
            body = slide.placeholders[1]
            _place(body, room)
            body.name = title.text
        return _Sheet(slide, title, label, room)

    def headed(self, first: Run, label: str, sizes: Sequence[float] = TITLES) -> tuple[_Sheet, list[Run]]:
        """A slide with `first` as its title beneath `label`; where it is too long for a title `label` is the
        title, and `first` is left to be set beneath it."""
        if len(lines_of(first.text, sizes[-1], WIDE - 2 * MARGIN, first.voice)) > MOST_TITLE:
            return self.sheet(Run(label)), [first]
        return self.sheet(first, sizes, label=label), []

    def flow(self, sheet: _Sheet, texts: Sequence[Run]) -> None:
        """Paragraphs beneath the title, in the largest type in which all fit; what does not fit goes on to
        another slide with the same title."""
        if not texts:
            return
        for size in TEXTS:
            sized = [run._replace(size=size) for run in texts]
            if sum(_height(run, sheet.room.width) + 0.5 * size for run in sized) <= sheet.room.height:
                break
        pages = list(_pages(sized, sheet.room))
        for nth, page in enumerate(pages):
            here = sheet if nth == 0 else self.sheet(sheet.title, label=sheet.label)
            self._text(here.slide, here.room, page)

    def _text(self, slide: Any, box: Box, runs: Sequence[Run]) -> None:
        shape = slide.shapes.add_textbox(*_emu(box))
        _write(shape.text_frame, runs)

    def foot(self, slide: Any, text: str) -> None:
        """A quiet line at the foot."""
        self._text(slide, Box(MARGIN, TALL - MARGIN - LINE * BODY, WIDE - 2 * MARGIN, LINE * BODY),
                   [Run(text, colour=LIGHT.ink2)])  # fmt: skip

    def picture(self, sheet: _Sheet, picture: Picture) -> None:
        """A picture as large as the room lets it be, with its words for whoever cannot see it."""
        room = sheet.room
        scale = min(room.width / picture.width, room.height / picture.height)
        wide, tall = scale * picture.width, scale * picture.height
        box = Box(room.left + (room.width - wide) / 2, room.top, wide, tall)
        data = io.BytesIO(png(picture.svg, CRISP * scale))
        shape = sheet.slide.shapes.add_picture(data, *_emu(box))
        told = shape._element.nvPicPr.cNvPr
        told.set("descr", picture.alt.text or picture.name)
        told.set("name", picture.name)

    def table(self, title: str, heads: Sequence[str] | None, rows: Sequence[Sequence[str]]) -> None:
        """Rows as a table, on as many slides as they need."""
        width = WIDE - 2 * MARGIN
        widths = _in_columns(heads or (), rows, width)
        left = list(rows)
        while left:
            sheet = self.sheet(Run(title))
            taken, room = [], sheet.room.height - (_row_height(heads, widths) if heads else 0.0)
            left[:1] = _parted(left[0], widths, room)
            while left and (not taken or _row_height(left[0], widths) <= room):
                room -= _row_height(left[0], widths)
                taken.append(left.pop(0))
            self._table(sheet, widths, heads, taken)

    def _table(
        self, sheet: _Sheet, widths: Sequence[float], heads: Sequence[str] | None, rows: list[Sequence[str]]
    ) -> None:
        every = [*([heads] if heads else []), *rows]
        heights = [_row_height(row, widths) for row in every]
        box = Box(sheet.room.left, sheet.room.top, sum(widths), sum(heights))
        frame = sheet.slide.shapes.add_table(len(every), len(widths), *_emu(box))
        frame.name = sheet.title.text
        table = frame.table
        table.first_row, table.horz_banding = heads is not None, False
        for column, wide in zip(table.columns, widths, strict=True):
            column.width = round(wide * EMU)
        for row, tall, cells in zip(table.rows, heights, every, strict=True):
            row.height = round(tall * EMU)
            for cell, text in zip(row.cells, cells, strict=True):
                is_head = cells is heads
                cell.fill.solid()
                cell.fill.fore_color.rgb = _colour(LIGHT.glaze2 if is_head else LIGHT.glaze)
                cell.margin_left = cell.margin_right = 8 * EMU
                cell.margin_top = cell.margin_bottom = 4 * EMU
                _write(cell.text_frame, [Run(text, "bold" if is_head else "regular")], margin=None)

    def notes(self, sheet: _Sheet, *parts: tuple[str, Iterable[Said]]) -> None:
        """Heads, and what stands beneath them, for whoever speaks; a head with nothing beneath is left out
        unless it stands alone."""
        told = [(head, [said.text for said in texts]) for head, texts in parts]
        lines = [line for head, texts in told if texts or len(told) == 1 for line in (head, *texts)]
        if lines:
            sheet.slide.notes_slide.notes_text_frame.text = "\n".join(lines)

    def packed(self, last: datetime, title: str) -> bytes:
        """The bytes of the file, which name nobody and no time but that of the material."""
        known = self.file.core_properties
        for name in ("author", "last_modified_by", "comments", "keywords", "subject", "category"):
            setattr(known, name, "")
        known.title, known.revision = title[:MOST_NAME], 1
        known.created = known.modified = last.astimezone(UTC).replace(tzinfo=None, microsecond=0)
        _drop_thumbnail(self.file)
        made = io.BytesIO()
        self.file.save(made)
        return _steady(made.getvalue())


def _pages(runs: Sequence[Run], room: Box) -> Iterator[list[Run]]:
    """The paragraphs of one slide after the other; a long one is parted between lines."""
    page: list[Run] = []
    left = room.height
    for run in runs:
        lines = lines_of(run.text, run.size, room.width, run.voice)
        while lines:
            fit = int((left - 0.5 * run.size) // (LINE * run.size))
            if fit < 1:
                yield page
                page, left = [], room.height
                continue
            here, lines = lines[:fit], lines[fit:]
            page.append(run._replace(text=" ".join(here)))
            left -= LINE * run.size * len(here) + 0.5 * run.size
    if page:
        yield page


def _parted(row: Sequence[str], widths: Sequence[float], room: float) -> list[Sequence[str]]:
    """The row, or what of it fits into the room and the rest, where it is taller than that."""
    if _row_height(row, widths) <= room:
        return [row]
    fit = max(1, int((room - 12) // (LINE * BODY)))
    lines = [lines_of(text, BODY, wide - 16, "bold") for text, wide in zip(row, widths, strict=True)]
    return [[" ".join(each[:fit]) for each in lines], [" ".join(each[fit:]) for each in lines]]


def _row_height(row: Sequence[str] | None, widths: Sequence[float]) -> float:
    most = max(
        len(lines_of(text, BODY, wide - 16, "bold")) for text, wide in zip(row or (), widths, strict=True)
    )
    return LINE * BODY * max(1, most) + 12


def _write(frame: Any, runs: Sequence[Run], margin: int | None = 0) -> None:
    """Paragraphs into a frame that neither grows nor shrinks."""
    from pptx.enum.text import MSO_ANCHOR, MSO_AUTO_SIZE, PP_ALIGN
    from pptx.util import Pt

    if margin is not None:
        frame.margin_left = frame.margin_right = frame.margin_top = frame.margin_bottom = margin
        frame.auto_size = MSO_AUTO_SIZE.NONE
        frame.vertical_anchor = MSO_ANCHOR.TOP
    frame.word_wrap = True
    for nth, run in enumerate(runs):
        paragraph = frame.paragraphs[0] if nth == 0 else frame.add_paragraph()
        paragraph.alignment = PP_ALIGN.LEFT
        paragraph.line_spacing = 1.0
        if len(runs) > 1:
            paragraph.space_after = Pt(0.5 * run.size * 0.75)
        written = paragraph.add_run()
        written.text = run.text
        _dress_run(written.font, run)


def _dress_run(font: Any, run: Run) -> None:
    from pptx.util import Pt

    font.size = Pt(run.size * 0.75)
    font.bold, font.italic = run.voice == "bold", run.voice == "italic"
    font.color.rgb = _colour(run.colour)
    name, family = ITALIC if run.voice == "italic" else UPRIGHT
    font.name = name
    font._element.find(f"{_DRAWING}latin").set("pitchFamily", family)


_DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
_THEME_COLOURS = {
    "dk1": LIGHT.ink, "lt1": LIGHT.sheet, "dk2": LIGHT.ink2, "lt2": LIGHT.glaze, "accent1": LIGHT.indigo,
    "accent2": LIGHT.ember, "accent3": LIGHT.plum, "accent4": LIGHT.straw, "accent5": LIGHT.line,
    "accent6": LIGHT.glaze2, "hlink": LIGHT.indigo, "folHlink": LIGHT.plum,
}  # fmt: skip


def _theme(master: Any) -> None:
    """Our colours and typefaces for whatever people add."""
    from pptx.opc.constants import RELATIONSHIP_TYPE
    from pptx.opc.oxml import serialize_part_xml
    from pptx.oxml import parse_xml
    from pptx.oxml.xmlchemy import OxmlElement

    part = master.part.part_related_by(RELATIONSHIP_TYPE.THEME)
    tree = parse_xml(part.blob)
    for slot, colour in _THEME_COLOURS.items():
        for holder in tree.iterfind(f".//{_DRAWING}clrScheme/{_DRAWING}{slot}"):
            plain = OxmlElement("a:srgbClr")
            plain.set("val", colour.removeprefix("#"))
            holder[:] = [plain]
    for latin in tree.iterfind(f".//{_DRAWING}fontScheme/*/{_DRAWING}latin"):
        latin.set("typeface", UPRIGHT[0])
        latin.set("pitchFamily", UPRIGHT[1])
    part._blob = serialize_part_xml(tree)


def _drop_thumbnail(file: Any) -> None:
    """The picture of some other first slide that an empty file brings along."""
    package = file.part.package
    for name, relation in list(package._rels.items()):
        if relation.reltype.endswith("/thumbnail"):
            package._rels.pop(name)


def _steady(archive: bytes) -> bytes:
    """The same archive with the same time on every member, none of them packed: no packer's version shows."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(archive)) as given, zipfile.ZipFile(made, "w") as kept:
        for name in given.namelist():
            member = zipfile.ZipInfo(name, EPOCH)
            member.external_attr = 0o600 << 16
            kept.writestr(member, given.read(name))
    return made.getvalue()


def _kinds(*names: str) -> list[Any]:
    from pptx.enum.shapes import PP_PLACEHOLDER

    return [getattr(PP_PLACEHOLDER, name) for name in names]


def _place(shape: Any, box: Box) -> None:
    shape.left, shape.top, shape.width, shape.height = _emu(box)


def _emu(box: Box) -> tuple[int, int, int, int]:
    return tuple(round(side * EMU) for side in box)  # type: ignore[return-value]


def _colour(colour: str) -> Any:
    from pptx.dml.color import RGBColor

    return RGBColor.from_string(colour.removeprefix("#"))
