"""The design interview on the page: one question at a time, every answer kept in the address, host only."""

from __future__ import annotations

import json

import pytest
from starlette.testclient import TestClient
from web.houses import HERE, KEY, OWN, house, visitor

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.interview import walk
from edgeshift.errors import FolderRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.web.access import COOKIE
from edgeshift.web.anteroom import DOORS, anteroom
from edgeshift.web.app import application

ANSWERS = {
    "question": "Does firing change clay more than digging elsewhere does?",
    "arms": "raw, fired",
    "control": "raw",
    "units of raw": "A, B, C",
    "units of fired": "D, E, F",
    "pairs": "no",
    "together in fired": "all",
    "edges": "Al K",
}


def whole(answers=ANSWERS) -> dict[str, str]:
    """The answers with every question left blank that they do not name."""
    answers = dict(answers)
    step = walk(answers)
    while step.question is not None:
        answers[step.question.key] = ""
        step = walk(answers)
    return {question.key: text for question, text in step.asked}


@pytest.fixture
def before(tmp_path):
    return anteroom(tmp_path / "ours", "host", steady_desk(), KEY, HERE)


def browser(house, rank="host") -> TestClient:
    client = TestClient(
        application(house, ["127.0.0.1"], DOORS), HERE, client=OWN, headers={"origin": HERE},
        follow_redirects=False,
    )  # fmt: skip
    if rank != "stranger":
        client.cookies.set(COOKIE, house.doors.ticket(rank))
    return client


def asked(client, said=None, **more) -> str:
    reply = client.get("/design", params={"said": json.dumps(said or {}), **more})
    assert reply.status_code == 200, reply.text
    return reply.text


def test_the_host_comes_in_by_the_word_and_others_do_not(before):
    client = browser(before, "stranger")
    assert client.get("/design").status_code == 401
    assert client.get("/host/wrong").status_code == 403
    reply = client.get(f"/host/{before.doors.host_word}")
    assert reply.headers["location"] == "/design"
    assert client.get("/design").status_code == 200
    assert browser(before, "guest").get("/design").status_code == 403
    assert browser(before, "guest").post("/api/begin", json={"answers": {}}).status_code == 403


def test_an_answer_leads_to_the_next_question_and_stands_below_it(before):
    page = asked(browser(before), {"question": "more than?"}, key="arms", answer="raw, fired")
    assert "Which arm is the control" in page and 'type="radio" name="answer" value="fired"' in page
    assert "<em>raw, fired</em>" in page


def test_an_answer_without_sense_is_refused_beside_its_field_and_kept_there(before):
    page = asked(browser(before), {"question": "more than?"}, key="arms", answer="raw")
    assert 'value="raw"' in page and 'role="alert"' in page
    assert "needed at least 2, with commas between, found &#39;raw&#39;" in page


def test_one_answer_can_be_changed_and_the_others_stay(before):
    client, answers = browser(before), whole()
    page = asked(client, answers, change="together in fired")
    assert "went through it together" in page and 'value="all"' in page
    again = {key: text for key, text in answers.items() if key != "together in fired"}
    page = asked(client, again, key="together in fired", answer="none")
    assert "units of &#39;fired&#39; that count, of 3 named" in page
    assert "shared one run" not in page


def test_a_finished_design_says_what_it_cannot_show_and_what_to_do(before):
    page = asked(browser(before), whole())
    assert "<b>cannot test the treatment</b>: one unit of &#39;fired&#39; counts." in page
    assert "D+E+F shared one run: 3 units count as 1." in page
    assert "a fire, jar, bath or field each of their own" in page
    assert "Not said: &#39;steps apart&#39;" in page


def test_the_page_runs_no_script_of_its_own(before):
    page = asked(browser(before), whole())
    assert page.count("<script") == 1 and "live.js" in page and "onclick" not in page


def test_what_is_typed_is_never_markup(before):
    page = asked(browser(before), key="question", answer="<script>than</script>")
    assert "<script>than" not in page and "&lt;script&gt;than" in page


def test_a_finished_design_becomes_a_folder_once(before):
    client, body = browser(before), {"answers": whole()}
    assert client.post("/api/begin", json=body).status_code == 200
    with ExperimentFolder.open(before.begins.folder) as folder:
        assert 'batch: "fired together 1"' in folder.experiment_text()
    assert "is ready" in asked(client, whole()) and before.begins.made
    again = client.post("/api/begin", json=body)
    assert again.status_code == 422 and "an experiment" in again.json()["found"]


def test_an_unfinished_design_becomes_nothing(before):
    reply = browser(before).post("/api/begin", json={"answers": {"question": "why than?"}})
    assert reply.status_code == 422
    assert reply.json()["refused"].startswith(
        "the interview: needed every question answered, found none to arms"
    )
    assert not before.begins.folder.exists()


@pytest.mark.parametrize("said", ["[]", "{", '{"arms": 3}', "null"])
def test_an_address_that_holds_no_answers_is_refused(before, said):
    reply = browser(before).get("/design", params={"said": said})
    assert reply.status_code == 422 and "Begin again." in reply.text


def test_answers_in_the_address_that_make_no_sense_are_asked_again(before):
    assert "Which arms do you compare" in asked(browser(before), {"question": "why than?", "arms": "raw"})


def test_an_experiment_that_stands_is_not_begun_again(tmp_path):
    with house(tmp_path), pytest.raises(FolderRefused, match="found an experiment"):
        anteroom(tmp_path / "shift", "host", steady_desk(), KEY, HERE)


def test_in_a_running_room_the_host_tries_a_design_and_nothing_is_made(tmp_path):
    with house(tmp_path) as there:
        client = visitor(there, "host")
        assert "edgeshift new FOLDER --from FILE" in asked(client, whole())
        assert client.post("/api/begin", json={"answers": whole()}).status_code == 404
        assert 'href="/design"' in client.get("/wing/experiment").text
        assert visitor(there, "guest").get("/design").status_code == 403
