"""The description of the JSON doors holds: whatever it allows is answered, and never by a fault of ours."""

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.core import NotSet
from web.houses import house, visitor

from edgeshift.actions.ask import ask
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.naming import naming_of
from edgeshift.web.api import DOORS
from edgeshift.web.api.description import description
from edgeshift.web.app import DOORS as EVERY
from edgeshift.wording.plain import as_json

OTHER_METHODS = ("405", "415")
"""What is answered to methods that no door has."""
SCHEMA = schemathesis.openapi.from_dict(description(DOORS))


@pytest.fixture(scope="module")
def host(tmp_path_factory):
    with house(tmp_path_factory.mktemp("api")) as made:
        made.limits.requests.most = made.limits.acts.most = 10**9
        yield visitor(made, "host")


@SCHEMA.parametrize()
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_request_however_odd_ends_in_a_fault(case, host):
    """What the description allows, and what it does not: each is answered with a status that it names."""
    reply = host.request(case.method, case.formatted_path, params=case.query or {}, **_body(case.body))
    told = SCHEMA.raw_schema["paths"][case.path].get(case.method.lower(), {"responses": ()})
    assert reply.status_code < 500, reply.text
    assert str(reply.status_code) in (*told["responses"], *OTHER_METHODS), reply.text


def _body(body) -> dict:
    if isinstance(body, NotSet):
        return {}
    return {"content": body} if isinstance(body, bytes) else {"json": body}


def test_every_json_door_is_described():
    described = {
        (method.upper(), path) for path, methods in SCHEMA.raw_schema["paths"].items() for method in methods
    }
    assert described >= {(d.method, d.path) for d in EVERY if d.kind == "json" and d.path != "/api/join"} - {
        ("GET", "/api/openapi.json")
    }


def test_the_description_is_served_to_guests(host):
    told = host.get("/api/openapi.json").json()
    assert told["openapi"] == "3.1.0"
    assert "/api/judge" in told["paths"]


def test_an_answer_over_http_is_the_answer_of_the_command_line(tmp_path):
    with house(tmp_path) as made:
        over_http = visitor(made, "guest").get("/api/answers", params={"question": "trust"}).text
    desk = steady_desk()
    naming = naming_of(desk.load(tmp_path / "shift").state)
    assert over_http == as_json(ask(tmp_path / "shift", "trust", desk=desk), naming)
