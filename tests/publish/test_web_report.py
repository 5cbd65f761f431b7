"""The report for a browser: everything inside, every word escaped, tables for who cannot see pictures."""

from __future__ import annotations

import re

import axe
from browsers import LAPTOP, PHONE, browser
from sample_material import filled, material

from edgeshift.publish.web_report import web_report


def html(one=None) -> str:
    """The page as text."""
    return web_report(one or material())["report.html"].decode()


def test_it_needs_no_script_and_no_network():
    text = html()
    assert "<script" not in text
    assert not re.search(r"""(?:src|href)=["'](?!#)|url\((?!["']?(?:data:|#))|@import""", text)
    assert text.count("@font-face") == 3


def test_words_of_people_are_escaped_and_stand_in_italic():
    assert "<em>less &lt;b&gt;of&lt;/b&gt; it</em>" in html(filled(**{"what-we-see": "less <b>of</b> it"}))


def test_every_picture_has_words_and_its_numbers_as_a_table():
    text = html()
    for told in material().answers:
        assert told.picture.svg in text
        for title, heads, _ in told.picture.tables:
            assert title in text and all(f'<th scope="col">{head}</th>' in text for head in heads)


def test_the_same_material_gives_the_same_bytes():
    assert html() == html()


def test_it_is_read_on_a_laptop_and_on_a_phone_with_nothing_grave_and_asks_nobody(tmp_path):
    (tmp_path / "report.html").write_bytes(web_report(filled())["report.html"])
    with browser() as opened:
        for size in (LAPTOP, PHONE):
            page = opened.page(size)
            page.goto((tmp_path / "report.html").as_uri())
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
            assert axe.violations(page) == []
        assert (opened.asked, opened.faults) == ([], [])
