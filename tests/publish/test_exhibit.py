"""The exhibit: one file, nothing fetched, nothing reckoned, readable without its script."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from importlib.resources import files

import pytest
from sample_hands_on import hands_on
from sample_material import WORDS, filled, material

from edgeshift.publish import exhibit as module
from edgeshift.publish.exhibit import MOST_BYTES, TooHeavy, exhibit


def page(*said, **more) -> str:
    return exhibit(*said, **more)["exhibit.html"].decode()


def test_the_same_material_gives_the_same_bytes():
    assert exhibit(material(), hands_on()) == exhibit(material(), hands_on())


def test_nothing_is_fetched_from_anywhere():
    text = page(filled(), hands_on())
    asked = re.findall(r"""\b(?:src|href|action|url)\s*[=(]\s*["']?([^"')\s>]+)""", text)
    assert all(one.startswith(("#", "data:")) for one in asked), asked
    assert "default-src 'none'" in text
    assert not re.search(r"\bfetch\(|XMLHttp|WebSocket|import[ (]|localStorage", text)


def test_its_script_reckons_nothing():
    script = (files("edgeshift.publish") / "page" / "exhibit.js").read_text(encoding="utf-8")
    code = re.sub(r"//.*", "", script)
    assert not re.search(r"\bMath\b|parseFloat|parseInt|Number\(|toFixed|\s[*/%+-]\s|\+\+|\+=", code)


def test_without_hands_on_it_is_still_a_page_of_answers():
    text = page(material())
    assert "All three pairs moved" in text
    assert (
        "data-pad" not in text.partition("<script>")[0] and "data-slid" not in text.partition("<script>")[0]
    )


def test_people_speak_for_themselves_or_lines_wait_for_them():
    assert 'class="lines"' in page(material())
    text = unescape(page(filled()))
    assert all(
        WORDS[slot] in text for slot in ("why-we-care", "what-we-see", "what-we-cannot-say", "what-next")
    )
    assert 'class="lines"' not in text


def test_what_people_wrote_is_no_markup():
    text = page(filled(**{"what-we-see": "<script>alert(1)</script>"}))
    assert "<script>alert" not in text and "&lt;script&gt;alert" in text


def test_every_glossary_word_that_can_be_touched_is_explained():
    text = page(filled(), hands_on())
    touched = set(re.findall(r'class="word" popovertarget="([^"]+)"', text))
    assert touched and touched <= set(re.findall(r'popover id="([^"]+)"', text))


def test_no_two_drawings_share_a_texture():
    named = re.findall(r'<pattern id="([^"]+)"', page(material(), hands_on(3)))
    assert named and len(named) == len(set(named))


def test_a_page_that_is_too_heavy_drops_pictures_from_the_last_edge_on_and_keeps_the_numbers(monkeypatch):
    whole, bare = exhibit(material(), hands_on(3))["exhibit.html"], exhibit(material())["exhibit.html"]
    assert len(whole) < MOST_BYTES
    each = (len(whole) - len(bare)) // 3
    monkeypatch.setattr(module, "MOST_BYTES", len(whole) - each // 2)
    text = page(material(), hands_on(3))
    slid = re.split(r'data-slid="\d"', text.partition('<section id="day"')[0])[1:]
    assert [one.count("<figure") for one in slid] == [3, 3, 0]
    assert all(one.count("as it was measured") >= 3 for one in slid)


def test_a_page_that_stays_too_heavy_is_refused(monkeypatch):
    monkeypatch.setattr(module, "MOST_BYTES", 1000)
    with pytest.raises(TooHeavy, match="needed at most 1000 bytes"):
        exhibit(material(), hands_on())


def test_long_tables_are_shortened_by_leaving_rows_out():
    rows = tuple((str(n), "1") for n in range(200))
    told = material().answers[0]
    one = replace(told, picture=replace(told.picture, tables=(("curve", ("energy", "value"), rows),)))
    shown = page(material(answers=(one,))).count("<tr><td>")
    assert 40 <= shown <= 60
