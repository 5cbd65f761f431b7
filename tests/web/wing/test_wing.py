"""What stands in the Wing, and what may not."""

from __future__ import annotations

import json
import re

import pytest

from edgeshift.folder import watch
from edgeshift.records.answer import Answer

CARDS = [
    {
        "title": "one more pot",
        "minutes": 24,
        "settles": "the pots",
        "cannot_fix": "the fire",
        "predicted_ratio": 0.7,
    },
    {"title": "stop and write", "minutes": 30},
]
PAGES = (
    "/wing",
    "/wing/look?question=trust",
    "/wing/look?question=real",
    "/wing/scan?scan=scan-003",
    "/wing/cards",
)


@pytest.mark.parametrize("address", PAGES)
def test_a_page_has_one_heading_one_main_and_a_name_for_everything_that_is_typed(host, address):
    page = host.look(address)
    assert page.count("<h1") == 1 and page.count("<main") == 1
    ids = re.findall(r' id="([^"]+)"', re.sub(r"<svg.*?</svg>", "", page, flags=re.DOTALL))
    assert len(ids) == len(set(ids))
    named = set(re.findall(r'<label[^>]* for="([^"]+)"', page))
    typed = re.findall(r"<(?:input|select|textarea)[^>]*>", page)
    for field in (each for each in typed if 'type="hidden"' not in each and 'type="radio"' not in each):
        assert re.search(r'id="([^"]+)"', field)[1] in named, field


@pytest.mark.parametrize("address", PAGES)
def test_a_page_holds_no_style_and_no_script_of_its_own(host, address):
    page = host.look(address)
    assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]* src=)", page)


@pytest.mark.parametrize("address", PAGES)
def test_only_the_host_comes_in(host, address):
    host.page.cookies.clear()
    assert host.page.get(address).status_code == 401


@pytest.mark.parametrize("address", PAGES)
def test_behind_the_curtain_no_page_names_an_arm(host, address):
    host.act("write", text=f"the {host.world.arms[1]} pot glows")
    host.act("judge", scan="scan-004", verdict="set-aside", reason=f"{host.world.words[1]} fell off")
    host.room.refuse(f"{host.world.specimen(1, 0)}_9.dat", f"{host.world.specimen(1, 0)} holds no numbers.")
    assert any(secret in host.look() for secret in host.world.secrets)
    host.act("curtain", drawn=True)
    page = host.look(address)
    told = sorted(s for s in host.world.secrets if re.search(rf"(?<!\w){re.escape(s)}(?!\w)", page))
    assert told == []


def test_a_worry_that_is_accepted_goes_and_can_be_worried_about_again(host):
    worries = host.part("worries")
    key = re.search(r'name="worry" value="([^"]+)"', worries)[1]
    host.act("accept", worry=key, reason="we know why")
    open_ones, _, accepted = host.part("worries").partition('id="accepted"')
    assert f'value="{key}"' not in open_ones and f'value="{key}"' in accepted and "we know why" in accepted
    host.act("accept", worry=key, reason="it came back", undo=True)
    assert f'value="{key}"' in host.part("worries").partition('id="accepted"')[0]


def test_a_worry_that_there_is_not_is_not_accepted(host):
    before = host.room.revision
    said = {"worry": "scan-999/spike", "reason": "we know why"}
    reply = host.page.post("/api/accept", json=said, headers={"origin": "http://127.0.0.1:8620"})
    assert reply.status_code == 422 and "needed one that there is now" in reply.json()["refused"]
    assert host.room.revision == before


def test_deciding_on_the_act_of_a_worry_says_when_it_was_decided(host):
    name, data = host.world.files[0]
    lines = data.splitlines(keepends=True)
    host.room.take(f"short_{name}", b"".join(lines[: int(0.45 * len(lines))]))
    form = re.search(r'name="card" value="([^"]+)".*?name="minutes" data-kind="json" value="([^"]+)"',
                     host.part("worries"), re.DOTALL)  # fmt: skip
    assert "decided at" not in host.part("worries")
    host.act("decide", card=form[1], minutes=float(form[2]), reason="it worries us")
    assert "decided at" in host.part("worries")


def test_a_scan_set_aside_stands_on_the_shelf_and_comes_back_with_a_reason(host):
    assert "Scan" not in host.part("shelf") and "scan 4" not in host.part("shelf")
    host.act("judge", scan="scan-004", verdict="set-aside", reason="it fell off its mount")
    shelf = host.part("shelf")
    assert "scan 4" in shelf and "it fell off its mount" in shelf
    assert "with them" in shelf and "without" in shelf
    host.act("judge", scan="scan-004", verdict="keep", reason="it did not")
    assert "scan 4" not in host.part("shelf")


def test_a_judgement_without_a_reason_is_refused_in_words(host):
    reply = host.page.post("/api/judge", json={"scan": "scan-004", "verdict": "keep"},
                           headers={"origin": "http://127.0.0.1:8620"})  # fmt: skip
    assert reply.status_code == 422 and "a reason" in reply.json()["refused"]


def test_cards_lie_face_down_then_nobody_sees_the_count_then_the_result_is_there(host):
    assert "Face down" in host.part("cards")
    host.act("invite-votes", cards=CARDS, about="what now?")
    host.act("vote", card="one more pot")
    cards = host.part("cards")
    assert "One voted. Nobody sees the count yet, nor do you." in cards and "for it" not in cards
    assert "one more pot" in cards and "70 %" not in cards
    host.act("round", round="vote-1", state="closed")
    cards = host.part("cards")
    assert "one for it" in cards and "no for it" in cards and "70 %" in cards
    host.act("decide", round="vote-1", card="one more pot", reason="the pots matter most")
    assert "the pots matter most" in host.part("cards")


def test_a_picture_touched_on_the_stage_keeps_cards_face_down_even_for_the_host(host):
    asked = re.search(r'data-asked="([^"]+)"', host.look("/stage?question=minutes"))[1]
    (on_the_stage,) = host.page.get(f"/api/tables?{asked}").json()
    assert {row[0] for row in on_the_stage["rows"]} == {"face down"}
    asked = asked.replace("&down=1", "")
    (own,) = host.page.get(f"/api/tables?{asked}").json()
    assert "Stop and write" in {row[0] for row in own["rows"]}


def test_what_comes_next_is_told_and_can_be_shown_by_its_key(host):
    host.act(
        "show", now={"question": "trust"}, next=[{"question": "real", "edge": "Al K"}, {"question": "say"}]
    )
    moves = host.part("moves")
    assert "Is the difference real? Al K" in moves and 'id="go-next"' in moves
    assert '"next" data-kind="json" value="[{"question": "say"}]"' in moves


def test_a_note_stands_with_its_time_and_a_shy_question_waits_until_it_was_heard(host):
    host.act("write", text="who has not spoken yet?")
    assert re.search(r'<span class="time">\d+:\d\d</span> <em>who has not spoken yet\?', host.part("note"))
    number = host.act("shy", text="is it dangerous?")["number"]
    assert "is it dangerous?" in host.part("shy")
    host.act("hear", number=number)
    assert "is it dangerous?" not in host.part("shy")


def test_the_groups_words_stand_in_their_slot_beside_a_caution_and_are_taken_back(host):
    number = host.act("words", slot="what-we-see", text="the first peak grew")["number"]
    home = host.part("home")
    assert "<em>the first peak grew</em>" in home
    assert "write no names of people" in home and "write no names of people" in host.part("note")
    host.act("undo-words", number=number)
    assert "<em>" not in host.part("home")


def test_a_file_that_could_not_be_taken_is_named_with_its_reason_and_worries(host):
    host.room.refuse("odd.txt", "odd.txt holds no numbers.")
    assert "odd.txt holds no numbers." in host.part("files")
    assert "One file could not be taken." in host.part("worries")


def test_the_code_and_its_picture_are_there_only_where_others_may_come_in(host):
    code = host.house.doors.join_code
    assert code not in host.look()
    host.house.lan, host.house.addresses = True, (*host.house.addresses, "http://192.168.7.9:8620")
    join = host.part("join")
    assert code in join and "http://192.168.7.9:8620" in join and "<svg" in join


def test_the_mirror_is_the_stage_itself_and_no_key_leads_into_it(host):
    frame = re.search(r"<iframe[^>]*>", host.look())[0]
    assert 'src="/stage' in frame and 'tabindex="-1"' in frame and "inert" in frame


def test_an_opened_scan_tells_its_place_its_reasons_and_both_verdicts(host):
    host.act("judge", scan="scan-003", verdict="set-aside", reason="the beam was off")
    page = host.look("/wing/scan?scan=scan-003")
    assert "the beam was off" in page and "The tool says: keep" in page
    assert host.world.specimen(0, 1) in page and "undo the last judgement" in page


def test_a_scan_that_is_not_there_is_refused_in_words(host):
    reply = host.page.get("/wing/scan?scan=scan-999")
    assert reply.status_code == 422 and "scan-999" in reply.text


def test_behind_the_curtain_no_place_is_typed_over_a_name_that_nobody_sees(host):
    address = "/wing/scan?scan=scan-003"
    assert 'data-act="/api/place"' in host.look(address)
    host.act("curtain", drawn=True)
    assert 'data-act="/api/place"' not in host.look(address)


def test_a_text_that_does_not_hold_worries_until_somebody_mends_it(host, monkeypatch):
    monkeypatch.setattr(watch, "EDITED_S", 0.0)
    path = host.room.folder.path / "experiment.yaml"
    sound = path.read_text(encoding="utf-8")
    path.write_text("arms: [", encoding="utf-8")
    host.room.refresh()
    assert "What was typed by hand is not in force." in host.part("worries")
    path.write_text(f"{sound}# mended\n", encoding="utf-8")
    host.room.refresh()
    assert "What was typed by hand is not in force." not in host.part("worries")


def test_a_text_edited_by_hand_is_in_the_history_with_its_difference_and_its_undo(host, monkeypatch):
    monkeypatch.setattr(watch, "EDITED_S", 0.0)
    path = host.room.folder.path / "experiment.yaml"
    before = path.read_text(encoding="utf-8")
    path.write_text(before + "recipe: {flag: {spike_sigmas: 5}}\n", encoding="utf-8")
    host.room.refresh()
    page = host.look("/wing/experiment")
    assert "changed by hand" in page and "Flag, spike sigmas: 6 became 5 standard deviations." in page
    host.act("undo-edit", number=host.room.known().state.experiment_number, reason="too strict")
    assert path.read_text(encoding="utf-8") == before


def test_behind_the_curtain_a_refused_text_names_no_arm(host, monkeypatch):
    monkeypatch.setattr(watch, "EDITED_S", 0.0)
    host.act("curtain", drawn=True)
    path = host.room.folder.path / "experiment.yaml"
    sound = path.read_text(encoding="utf-8")
    for broken in (sound.replace('"arm": "fired"', '"arm": "fred"'), sound.replace('"raw"', '"plain"')):
        assert broken != sound and host.room.known().state.experiment_text == sound
        path.write_text(broken, encoding="utf-8")
        host.room.refresh()
        worries = host.part("worries")
        assert "What was typed by hand is not in force." in worries and "in your own terminal" in worries
        assert not re.search(r"(?<!\w)(raw|fired|fred|plain)(?!\w)", worries)
        assert host.room.known().state.experiment_text == sound


@pytest.mark.parametrize("address", ["/wing", "/wing/cards"])
def test_the_ballots_on_paper_have_a_door(host, address):
    assert 'href="/print/ballots"' in host.look(address)
    host.act("invite-votes", cards=CARDS)
    assert 'href="/print/ballots"' in host.look(address)


def pointed_at(page: str) -> list[dict]:
    """Who could stand where, as a page carries it for a script."""
    return json.loads(re.search(r'data-suspects="(\[.*?\])">', page)[1])


def test_a_scan_carries_who_could_stand_where_and_the_curtain_takes_it_until_it_was_asked_anew(host):
    address, specimen = "/wing/scan?scan=scan-003", host.world.specimen(1, 0)
    suspect = {"kind": "blank", "what": f"{{specimen:{specimen}}}", "name": f"{{specimen:{specimen}}}",
               "status": "not-yet", "reason": "like-the-blank", "why": "alike", "numbers": {}}  # fmt: skip
    held, nowhere = {**suspect, "window_ev": [1558.0, 1612.5]}, {**suspect, "window_ev": None}
    element = {"asked": False, "at_ev": 1566.0, "verdict": "seen", "reason": "", "edge": "Al K", "amount": 1,
               "impostors": [held, nowhere]}  # fmt: skip
    answer = Answer("here", "answered", "", detail={"elements": {"Al": element}})
    assert pointed_at(host.look(address)) == []
    host.room.keep("here", host.room.session, host.room.seen(), [answer])
    (one,) = pointed_at(host.look(address))
    assert (one["low"], one["high"]) == (1558.0, 1612.5)
    assert specimen in one["words"]
    host.act("curtain", drawn=True)
    page = host.look(address)
    assert pointed_at(page) == [] and specimen not in page


def test_guests_cannot_push_the_tools_of_the_host_away_with_questions(host):
    for number in range(12):
        host.act("shy", text=f"question {number}")
    page = host.look()
    assert re.findall(r"question \d+", page) == [f"question {number}" for number in range(11, 6, -1)]
    assert "7 more wait" in page
    assert page.index('id="impostors"') < page.index('id="shy"') > page.index('id="files"')
