"""A rehearsal goes the way of every practice shift, in the group's own words and files."""

import pytest
from practised import PLAN

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.practise import How, practice_scenario, practise
from edgeshift.actions.rehearse import rehearsal
from edgeshift.actions.score import score
from edgeshift.errors import TextRefused
from edgeshift.folder.experiment_folder import ExperimentFolder

TEXT = PLAN + "plan: {spots_per_unit: 2, scans_per_spot: 2}\n"
OWN = """\
beamline:
  name: ours
  energy: {column: Mono Energy, unit: keV}
  channels:
    - {role: i0, columns: [I0], unit: counts}
    - {role: electron-yield, columns: [drain], unit: V, offset: 0.1, gain: 2.0}
  signal: electron-yield
  dwell_column: t
  edge_key: edge
  place: {file_name: "^(?P<specimen>[^_]+)_(?P<spot>[^_]+)_"}
"""


@pytest.mark.parametrize("text", [TEXT, TEXT + OWN], ids=["no beamline yet", "own beamline"])
def test_a_plan_is_rehearsed_taken_and_scored(tmp_path, text):
    place = tmp_path / "rehearsed"
    done = practise(place, 3, desk=steady_desk(), how=How(plan=text, traps="T1,T10"))
    assert done.taken == 9  # two specimens, two spots, two rounds, and a copy
    with ExperimentFolder.open(place) as folder:
        assert folder.experiment_text().startswith(text.rstrip())
        assert {event.kind for event in folder.events()} == {"experiment", "arrival", "duplicate", "pressure"}
    judged = next(each for each in done.answers if each.question == "trust").detail["scans"]
    assert len(judged) == 9
    assert {told["edge"] for told in judged.values()} == {"K L"}
    found = score(place, desk=steady_desk("2026-03-02T08:00:00.000Z"))
    assert {call.trap: call.outcome for call in found.calls if call.trap} == {"T1": "hit", "T10": "hit"}


def test_half_a_beamline_is_refused():
    library = practice_scenario("riverbank-3")
    with pytest.raises(TextRefused, match="needed its energy column and its channels, found a part of them"):
        rehearsal(TEXT + "beamline: {name: ours}\n", 1, library)


def test_a_text_that_does_not_hold_is_refused_as_everywhere():
    with pytest.raises(TextRefused, match="experiment.yaml"):
        rehearsal("arms: {", 1, practice_scenario("riverbank-3"))


def test_a_plan_with_a_blank_and_a_standard_is_not_wrecked(tmp_path):
    """The club's own text lists a blank and two standards: nothing but the mount itself is like the mount."""
    text = practice_scenario("riverbank").experiment_text
    done = practise(tmp_path / "rehearsed", 2, desk=steady_desk(), how=How(plan=text))
    (judged,) = [each.detail["scans"] for each in done.answers if each.question == "trust"]
    codes = [reason["code"] for told in judged.values() for reason in told["reasons"]]
    assert "off-specimen" not in codes
    edges: dict[str, list[str]] = {}
    for edge, specimen in done.truth.places.values():
        edges.setdefault(specimen, []).append(edge)
    assert (edges["GOETHITE"], edges["FELDSPAR"]) == (["Fe L"], ["K L"])
    assert edges["INDIUM"] == ["Al K", "Fe L", "K L", "Ti L", "Si K"]
    clay = [told for file, told in judged.items() if done.truth.places[file][1] != "INDIUM"]
    assert sum(told["verdict"] == "set-aside" for told in clay) <= len(clay) / 20
