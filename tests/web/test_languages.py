"""The page speaks the language that somebody chose, and says which words are not in it."""

import re

import pytest
from web.houses import house, visitor


@pytest.fixture
def guest(tmp_path):
    with house(tmp_path) as made:
        yield visitor(made, "guest")


def test_the_language_is_that_of_the_address_then_of_the_cookie_then_of_the_browser(guest):
    first = guest.get("/stage", headers={"accept-language": "es"}).text
    assert '<html lang="es"' in first and "¿Podemos empezar?" in first
    assert '<html lang="fr"' in guest.get("/stage?lang=fr", headers={"accept-language": "es"}).text
    assert '<html lang="fr"' in guest.get("/stage", headers={"accept-language": "es"}).text
    assert '<html lang="en"' in guest.get("/stage?lang=en").text


def test_a_language_that_we_have_not_is_no_reason_to_refuse(guest):
    reply = guest.get("/stage?lang=xx")
    assert reply.status_code == 200 and '<html lang="en"' in reply.text


def test_the_room_stays_dark_once_it_was_darkened(guest):
    assert 'data-room="dark"' in guest.get("/stage?room=dark").text
    assert 'data-room="dark"' in guest.get("/stage").text


def test_a_sentence_of_an_answer_is_marked_as_english_and_the_page_says_so(guest):
    page = guest.get("/stage?question=trust&lang=fr").text
    assert re.search(r'<h1 class="sentence[^>]*><span lang="en">', page)
    assert "sont encore en anglais" in page and "Traduction non relue" in page
    assert "non relue" in guest.get("/join?lang=fr").text
    assert "nreviewed" not in guest.get("/stage?lang=en").text


def test_what_belongs_to_no_answer_is_in_the_language_of_the_page(guest):
    page = guest.get("/stage?question=say&lang=es").text
    assert re.search(r'<h1 class="sentence[^>]*><span>Todavía no\.', page)


def test_json_keeps_its_dots_and_its_english(guest):
    guest.get("/stage?lang=fr")
    for path in ("/api/tables?question=trust&edge=Ti+L", "/api/answers?question=trust"):
        assert guest.get(path, headers={"accept-language": "fr"}).text == guest.get(path).text
    assert re.search(r"\d\.\d", guest.get("/api/tables?question=trust&edge=Ti+L").text)


def test_every_page_has_one_heading_a_main_part_and_a_way_past_the_strip(guest):
    page = guest.get("/stage").text
    assert len(re.findall("<h1", page)) == len(re.findall("<main", page)) == 1
    assert page.index('class="skip" href="#picture"') < page.index("<nav")


def test_the_picture_stands_in_the_page_in_words(guest):
    page = guest.get("/stage?question=trust&edge=Ti+L").text
    told = re.search(r'<figcaption class="read-only"[^>]*>(.+?)</figcaption>', page)[1]
    assert len(told.split()) > 8


def test_ids_are_unique(guest):
    ids = re.findall(r'\bid="([^"]+)"', guest.get("/stage?question=trust").text)
    assert sorted(ids) == sorted(set(ids))


def test_scripts_import_one_another_by_the_addresses_they_have(guest):
    page = guest.get("/stage").text
    script = guest.get(re.search(r'src="(/a/\w+/figure\.js)"', page)[1]).text
    others = re.findall(r'from "([^"]+)"', script)
    assert len(others) == 5
    assert all(guest.get(one).status_code == 200 for one in others)


def test_a_rewound_page_says_when_and_leads_back(guest):
    page = guest.get("/stage?question=trust&until=2026-03-02T07:59:00Z").text
    assert re.search(r'<span class="then">At 1\d:\d\d we knew: </span>', page)
    assert re.search(r'<a class="now button" href="/stage\?question=trust"', page)
    assert 'class="then"' not in guest.get("/stage?question=trust").text


def test_a_room_sees_few_strips_and_whoever_asks_gets_all(guest):
    path = "/api/picture?question=real&edge=Ti+L"
    assert guest.get(f"{path}&few=1").text.count("data-strip") <= 2
    assert guest.get(path).text.count("data-strip") >= guest.get(f"{path}&few=1").text.count("data-strip")


def test_every_station_says_its_mark_in_words_unless_its_answer_does(guest):
    strip = guest.get("/stage?question=trust").text.partition("<ol>")[2].partition("</ol>")[0]
    assert re.search(r'<span class="read-only">answered: </span>\s*<span class="told">.*12 kept', strip)
    assert '<span class="read-only">not yet: </span>' not in strip


def test_the_rows_of_the_day_line_speak_the_language_of_the_page(tmp_path):
    with house(tmp_path / "shift") as room:
        host = visitor(room, "host")
        french, english = (
            host.get(f"/wing?lang={one}").text.partition('id="day"')[2] for one in ("fr", "en")
        )
    assert "faisceau, mesures" in french and "beam and scans" not in french
    assert "beam and scans" in english
