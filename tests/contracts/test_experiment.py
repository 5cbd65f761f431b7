"""Whatever was mounted and whatever the files hold: an answer or a refusal, never a number from nothing."""

from __future__ import annotations

import json
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from invented import EDGE, ENERGY, curve, edge_set, experiment
from mounted import BEAMLINE, FEATURE, raw, text, written
from practised import begun

from edgeshift.actions import note
from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.errors import Refusal, TextRefused
from edgeshift.formats.experiment_text import load
from edgeshift.questions import real
from edgeshift.records.answer import VERDICTS
from edgeshift.records.comparison import Comparison
from edgeshift.records.scan import Place
from edgeshift.wording.plain import as_json


def answers(place: Path, units: dict[str, str], files: list[bytes], **more):
    """What is answered of an experiment with these files: on trust, then on every difference."""
    named = [(f"{n:03d}.dat", data) for n, data in enumerate(files, 1)]
    with begun(place / "shift", named, text(units, **more)) as folder:
        session = Session(folder)
        return answer(session, "trust")[0], answer(session, "real")


PAIRS = {"A": "raw", "B": "raw", "C": "raw", "D": "fired", "E": "fired", "F": "fired"}
BY_PAIR = {"A": "1", "D": "1", "B": "2", "E": "2", "C": "3", "F": "3"}


def scans(units: dict[str, str], effect: float = 0.5, scatter: float = 0.03, repeats: int = 2) -> list[bytes]:
    """Repeats on one spot of each unit's first specimen; treated units have a higher line."""
    rng = np.random.default_rng(7)
    lines = {u: 1.0 + effect * (arm != "raw") + scatter * rng.standard_normal() for u, arm in units.items()}
    return [
        raw(f"{u}-1", "s", line, seed=10 * n + k)
        for n, (u, line) in enumerate(lines.items())
        for k in range(repeats)
    ]


def test_three_pairs_are_compared_in_pairs(tmp_path):
    _, (found, _) = answers(tmp_path, PAIRS, scans(PAIRS), pairs=BY_PAIR)
    assert (found.verdict, found.detail["paired"]) == ("units", True)
    assert found.detail["feature"]["difference"] == pytest.approx(0.47, abs=0.1)


def test_a_pair_with_one_half_unmeasured_leaves_the_test_and_is_counted_so(tmp_path):
    measured = {u: arm for u, arm in PAIRS.items() if u != "F"}
    _, (found, _) = answers(tmp_path, PAIRS, scans(measured), pairs=BY_PAIR)
    assert found.detail["paired"]
    assert found.detail["units"] == {"raw": 2, "fired": 2}
    assert {dot["unit"] for dot in found.detail["dots"]} == {"A", "B", "D", "E"}
    assert found.detail["smallest_p"] == pytest.approx(0.5)


def test_one_unit_without_a_pair_makes_all_unpaired(tmp_path):
    pairs = {u: p for u, p in BY_PAIR.items() if u != "F"}
    _, (found, _) = answers(tmp_path, PAIRS, scans(PAIRS), pairs=pairs)
    assert not found.detail["paired"]
    assert found.detail["units"] == {"raw": 3, "fired": 3}
    assert found.detail["smallest_p"] == pytest.approx(0.1)


def test_one_complete_pair_is_no_test_of_the_treatment(tmp_path):
    measured = {u: PAIRS[u] for u in "AD"}
    _, (found, _) = answers(tmp_path, PAIRS, scans(measured), pairs=BY_PAIR)
    assert (found.detail["rungs"]["units"], found.detail["chance"]) == ("cannot-test", None)
    assert found.sentence == "These two differ. One unit each cannot tell us why."


def test_unequal_numbers_of_units_are_compared_unpaired(tmp_path):
    units = {**{f"R{n}": "raw" for n in range(2)}, **{f"F{n}": "fired" for n in range(5)}}
    _, (found, _) = answers(tmp_path, units, scans(units))
    assert found.detail["units"] == {"raw": 2, "fired": 5}
    assert found.detail["rungs"]["units"] != "cannot-test"
    assert found.detail["smallest_p"] == pytest.approx(1 / 21 * (1 if 2 != 5 else 2))


def test_two_specimens_of_one_unit_are_one_unit(tmp_path):
    files = [*scans(PAIRS), raw("A-2", "s", 1.1, seed=901), raw("A-2", "s", 1.1, seed=902)]
    _, (found, _) = answers(tmp_path, PAIRS, files, pairs=BY_PAIR, twins=("A",))
    first = next(dot for dot in found.detail["dots"] if dot["unit"] == "A")
    assert found.detail["units"] == {"raw": 3, "fired": 3}
    assert {spot["specimen"] for spot in first["spots"]} == {"A-1", "A-2"}
    assert first["value"] == pytest.approx(np.mean([spot["value"] for spot in first["spots"]]))


def test_specimens_weigh_alike_however_many_spots_they_have(tmp_path):
    files = [*scans(PAIRS), *(raw("A-2", f"s{n}", 2.0, seed=900 + n) for n in range(3))]
    _, (found, _) = answers(tmp_path, PAIRS, files, pairs=BY_PAIR, twins=("A",))
    first = next(dot for dot in found.detail["dots"] if dot["unit"] == "A")
    by_specimen = {}
    for spot in first["spots"]:
        by_specimen.setdefault(spot["specimen"], []).append(spot["value"])
    assert first["value"] == pytest.approx(np.mean([np.mean(v) for v in by_specimen.values()]))


def test_several_treated_arms_each_answer_against_the_one_control_and_pay_for_it(tmp_path):
    units = {"A": "raw", "B": "raw", "C": "fired", "D": "fired", "E": "smoked", "F": "smoked"}
    _, found = answers(tmp_path, units, scans(units))
    edges = [a for a in found if a.edge]
    assert [(a.detail["control"], a.detail["treated"]) for a in edges] == [
        ("raw", ["fired"]),
        ("raw", ["smoked"]),
    ]
    assert all(a.detail["levels"]["units"] <= 0.05 / 2 for a in edges)


def test_a_control_without_scans_leaves_nothing_to_compare(tmp_path):
    treated = {u: arm for u, arm in PAIRS.items() if arm == "fired"}
    _, (found, summed) = answers(tmp_path, PAIRS, scans(treated), pairs=BY_PAIR)
    assert (found.verdict, summed.verdict) == ("cannot-tell", "cannot-tell")
    assert found.sentence == "Only one arm has kept scans at Al K, so nothing can be compared."


def test_a_specimen_that_nobody_listed_is_told_and_compared_with_nothing(tmp_path):
    files = scans(PAIRS)
    _, (without, _) = answers(tmp_path, PAIRS, files, pairs=BY_PAIR)
    strange = [*files, raw("tape", "s", 9.0, seed=77), raw(None, None, 9.0, seed=78)]
    trusted, (found, _) = answers(tmp_path / "more", PAIRS, strange, pairs=BY_PAIR)
    codes = {file: [r["code"] for r in s["reasons"]] for file, s in trusted.detail["scans"].items()}
    assert "unlisted" in codes["013.dat"]
    assert "no-specimen" in codes["014.dat"]
    assert found.detail["dots"] == without.detail["dots"]
    assert found.detail["feature"]["difference"] == pytest.approx(
        without.detail["feature"]["difference"], abs=1e-3
    )


def test_a_unit_whose_scans_are_all_set_aside_is_no_unit(tmp_path):
    files = scans(PAIRS)
    cut = [raw("A-1", "s", 1.0, seed=n, upto=80) for n in (1, 2)]
    trusted, (found, _) = answers(tmp_path, PAIRS, [*cut, *files[2:]], pairs=BY_PAIR)
    assert [s["verdict"] for s in trusted.detail["scans"].values()][:2] == ["set-aside", "set-aside"]
    assert found.detail["units"] == {"raw": 2, "fired": 2}
    assert "A" not in {dot["unit"] for dot in found.detail["dots"]}


def test_a_person_who_keeps_a_scan_brings_its_unit_back(tmp_path):
    cut = [raw("A-1", "s", 1.0, seed=n, upto=90) for n in (1, 2)]
    files = [(f"{n:03d}.dat", data) for n, data in enumerate([*cut, *scans(PAIRS)[2:]], 1)]
    with begun(tmp_path / "shift", files, text(PAIRS, BY_PAIR)) as folder:
        session, desk = Session(folder), steady_desk()
        assert answer(session, "real")[0].detail["units"] == {"raw": 2, "fired": 2}
        note.judge(folder, desk, Who("host", "the line is whole"), "1", "keep")
        assert answer(session, "real")[0].detail["units"] == {"raw": 3, "fired": 3}


def test_two_units_of_one_arm_in_one_pair_are_refused_and_none_counts_twice():
    pairs = {"A": "1", "B": "1", "C": "2", "D": "1", "E": "2", "F": "3"}
    with pytest.raises(TextRefused, match="units 'A' and 'B' of the arm 'raw' share the pair '1'"):
        load(text(PAIRS, pairs), "experiment.yaml")


def test_scans_without_one_usable_point_are_set_aside_and_the_others_answered(tmp_path):
    """A ceiling that was typed wrongly, in the profile that one pair of files was taken with."""
    low = load(BEAMLINE.replace("unit: V}, {", "unit: V, ceiling: 0.001}, {"), "experiment.yaml").beamline
    named = [(f"{n:03d}.dat", data) for n, data in enumerate(scans(PAIRS), 1)]
    desk = steady_desk()
    with begun(tmp_path / "shift", [], text(PAIRS, BY_PAIR), desk) as folder:
        take(folder, named[:2], desk, low)
        take(folder, named[2:], desk)
        session = Session(folder)
        (trusted,), (found, _) = answer(session, "trust"), answer(session, "real")
    verdicts = [scan["verdict"] for scan in trusted.detail["scans"].values()]
    assert verdicts[:2] == ["set-aside", "set-aside"]
    assert "set-aside" not in verdicts[2:]
    assert found.detail["units"] == {"raw": 2, "fired": 2}


def test_scans_too_weak_to_be_scaled_alone_are_still_compared_by_their_spots():
    units = {"raw": [("A", "1"), ("B", "2")], "fired": [("C", "1"), ("D", "2")]}
    spots = [
        (Place(u, "s", u, arm), [curve(1.0 + 0.01 * n) for n in range(2)])
        for arm, listed in units.items()
        for u, _ in listed
    ]
    whole = edge_set(spots)
    weak = replace(whole, scans={k: v for k, v in whole.scans.items() if v.place.unit != "A"})
    found = real.answers({EDGE: weak}, experiment(units), {EDGE: Comparison(EDGE)})
    assert found[0].detail["dots"][0]["spots"][0]["scans"] == []
    assert set(found[0].detail["rungs"]) == {"scans", "spots", "units"}


DAMAGES = ("none", "nan", "zero", "negative", "huge", "tiny", "constant", "noise", "spikes", "no-beam")
ORDERS = ("up", "down", "jitter", "doubled", "shuffled", "short", "fine")
MET: Counter = Counter()
"""What the examples have led to, so that a fuzz that reaches nothing is noticed."""


class Odd(NamedTuple):
    """One scan to be made: its place, and what is odd about its energies and its readings."""

    specimen: str | None
    spot: str | None
    order: str
    damage: str
    line: float
    noise: float
    factor: float
    seed: int

    def written(self) -> bytes:
        """The file."""
        rng = np.random.default_rng(self.seed)
        energy = _energies(self.order, rng)
        beam = 2.0 + 0.1 * np.sin(energy / 9)
        value = beam * (0.5 + 0.3 * curve(self.line, energy=energy))
        value *= 1 + self.noise * rng.standard_normal(energy.size)
        beam, value = _damaged(self.damage, beam, value, rng)
        return written(self.specimen, self.spot, energy, beam, self.factor * value)


def odd_scans(units: str) -> st.SearchStrategy[Odd]:
    """Scans of these units and of things that nobody listed; about half have nothing odd about them."""
    mounted = [f"{unit}-{number}" for unit in units for number in (1, 1, 2)]
    return st.builds(
        Odd,
        st.sampled_from([*mounted * 3, None, "tape"]),
        st.sampled_from((None, "s", "t")),
        st.sampled_from(("up",) * len(ORDERS) + ORDERS),
        st.sampled_from(("none",) * len(DAMAGES) + DAMAGES),
        st.floats(0, 3),
        st.sampled_from((0.003, 0.003, 0.003, 0.0, 0.2)),
        st.sampled_from((1.0,) * 9 + (1e30, 1e-300, -1.0)),
        st.integers(0, 2**16),
    )


def _energies(order: str, rng: np.random.Generator) -> np.ndarray:
    energy = ENERGY.copy()
    if order == "down":
        return energy[::-1]
    if order == "jitter":
        return energy + 0.2 * rng.standard_normal(energy.size)
    if order == "doubled":
        return np.repeat(energy[::2], 2)
    if order == "shuffled":
        return rng.permutation(energy)
    return {"short": energy[: rng.integers(5, 120)], "fine": np.linspace(1550, 1612, 700)}.get(order, energy)


def _damaged(kind: str, beam: np.ndarray, value: np.ndarray, rng: np.random.Generator) -> tuple:
    where = rng.random(value.size) < rng.choice([0.02, 0.3, 0.9])
    wrong = {"nan": math.nan, "zero": 0.0, "negative": -1.0, "huge": 1e30, "tiny": 1e-300, "constant": 0.7}
    if kind in wrong:
        value = np.where(where, wrong[kind], value)
    elif kind == "noise":
        value = rng.standard_normal(value.size)
    elif kind == "spikes":
        value = np.where(where, 3 * value, value)
    elif kind == "no-beam":
        beam = np.where(where, rng.choice([0.0, 1e-9, -0.1]), beam)
    return beam, value


@st.composite
def odd_shift(draw: st.DrawFn) -> tuple[str, list[Odd]]:
    """An experiment text of one to four arms, and two to ten odd scans."""
    arms = ("raw", "fired", "smoked", "slow")[: draw(st.integers(1, 4))]
    mounted = "ABCDEF"[: draw(st.integers(1, 6))]
    units = {unit: arms[number % len(arms)] for number, unit in enumerate(mounted)}
    pairs = (
        {unit: str(number // len(arms)) for number, unit in enumerate(mounted)}
        if draw(st.booleans())
        else None
    )
    words = text(units, pairs, twins=tuple(units))
    if draw(st.booleans()):
        words = words.replace(FEATURE, "")
    return words, draw(st.lists(odd_scans(mounted), min_size=2, max_size=9))


@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],  # shrinking whole shifts takes minutes and tells little
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(odd_shift())
def answered_or_refused(made) -> None:
    """One odd shift, taken and asked both questions."""
    words, odd = made
    named = [(f"{n:03d}.dat", scan.written()) for n, scan in enumerate(odd, 1)]
    with TemporaryDirectory() as place, begun(Path(place) / "shift", named, words) as folder:
        session = Session(folder)
        taken = session.known().state.arrivals
        MET.update(taken=len(taken), left=len(odd) - len(taken))
        for question in ("trust", "real"):
            try:
                found = answer(session, question)
            except Refusal as refusal:
                MET[f"refused {question}"] += 1
                assert len(str(refusal)) < 400
                continue
            for one in found:
                check(one)
            json.loads(as_json(found), parse_constant=lambda word: pytest.fail(f"{word} in the JSON"))


def check(one) -> None:
    """No verdict from nothing."""
    MET[f"{one.question} {one.verdict}"] += 1
    assert one.verdict in VERDICTS[one.question]
    assert len(one.sentence.split()) <= 20
    told = " ".join([one.sentence, *(fact.what for fact in one.because), *one.cautions]).lower()
    assert "nan" not in told.split() and "inf" not in told.split()
    if one.question != "real" or "units" not in one.detail:
        return
    fewest = min(one.detail["units"].values())
    if fewest < 2:
        MET["one unit in an arm"] += 1
        assert (one.detail["rungs"]["units"], one.detail["chance"]) == ("cannot-test", None)
        assert "chance" not in told and one.verdict != "units"
    if one.detail["chance"] is not None:
        assert 0 <= one.detail["chance"] <= 1
    for size in one.detail["would_have_shown"].values():
        assert size > 0 and not math.isnan(size)


def test_whatever_is_measured_is_answered_or_refused():
    """And the odd shifts reach what they were made for: taken, refused, judged and compared."""
    MET.clear()
    answered_or_refused()
    for what in (
        "taken",
        "left",
        "trust some-set-aside",
        "real cannot-tell",
        "real scans",
        "one unit in an arm",
    ):
        assert MET[what] > 10, MET
