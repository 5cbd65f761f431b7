"""A stack from its file to an answer with pictures."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import h5py
import numpy as np
import pytest
from invented_iron import ENERGY, FERRIC, FERROUS, iron, standard, write_references

from edgeshift.actions import shelf as shelf_acts
from edgeshift.actions.map_shares import Asked, map_shares
from edgeshift.errors import QuestionRefused
from edgeshift.folder.shelf import Shelf
from edgeshift.records.standard import EnergyTie
from edgeshift.wording.numbers import earned

INSIDE = slice(5, 206)
"""The stack is a little narrower than its references."""
TIE = EnergyTie(0.0, 0.04, "the same foil", "2026-03-01T08:00:00.000Z")


def asked(place: Path, pixels: tuple[int, ...], **more) -> Asked:
    """A stack, ferrous iron on its left and ferric on its right, over a level; and its references."""
    rng = np.random.default_rng(2)
    right = np.linspace(0.0, 1.0, pixels[-1])
    amounts = np.broadcast_to(np.stack([1 - right, right], axis=-1), (*pixels, 2))
    values = 0.3 + amounts @ np.array([iron(FERROUS), iron(FERRIC)])[:, INSIDE]
    values += 0.01 * rng.standard_normal(values.shape)
    with h5py.File(place / "stack.h5", "w") as file:
        file["od"], file["energy"] = values.astype("f4"), ENERGY[INSIDE]
    return Asked(place / "stack.h5", write_references(place), place / "out", "Fe L", **more)


def test_a_map_is_answered_for_its_mean_and_pictured_whole(tmp_path):
    said = asked(tmp_path, (12, 16))
    found = map_shares(said, Shelf(tmp_path / "shelf"))
    assert found.question == "here" and found.figure.kind == "shares"
    for share in found.detail["shares"].values():
        assert share["low"] < 0.5 < share["high"]
    fields = found.detail["map"]["fields"]
    assert np.array(fields["ferric"]).shape == (12, 16)
    assert np.mean(fields["ferric"], axis=0)[-1] == pytest.approx(1.0, abs=0.05)
    assert np.mean(fields["ferrous"], axis=0)[-1] == pytest.approx(0.0, abs=0.05)
    assert {path.name for path in said.out.iterdir()} >= {
        "shares.h5",
        "shares.json",
        "shares.svg",
        "shares.png",
    }
    (told,) = json.loads((said.out / "shares.json").read_text())
    assert told["detail"]["map"]["count"] == 192
    assert any("is formal" in caution for caution in found.cautions)
    assert any("nobody said how they are tied" in caution for caution in found.cautions)


@pytest.mark.parametrize("order", ["pixels", "energies"])
def test_curves_that_say_nothing_are_left_out_and_counted_with_their_reasons(tmp_path, order):
    said = asked(tmp_path, (30,), order=order)
    with h5py.File(said.stack, "r+") as file:
        curves = file["od"][()]
        curves[3], curves[4, 20], curves[5, 7], curves[6], curves[7] = np.nan, np.inf, np.nan, 0.0, 0.7
        del file["od"]
        file["od"] = curves if order == "pixels" else curves.T.copy()
    found = map_shares(said, Shelf(tmp_path / "shelf"))
    told = found.detail["map"]
    assert (told["gaps"], told["flat"]) == (3, 2)
    assert found.cautions[0] == (
        "5 of 30 curves were left out: 3 with a value that is missing or infinite,"
        " 2 the same at every energy."
    )
    with h5py.File(said.out / "shares.h5") as file:
        for name in ("shares", "shares_errors"):
            assert np.isnan(file[f"shares/data/{name}"][:, 3:8]).all()
            assert np.isfinite(file[f"shares/data/{name}"][:, 8:]).all()
        assert np.isfinite(file["shares/data/mean_curve"][()]).all()


def test_the_picture_and_the_text_tell_the_same_formal_share(tmp_path):
    found = map_shares(asked(tmp_path, (40, 50)), Shelf(tmp_path / "shelf"))
    (fact,) = [each for each in found.because if each.code == "formal-share" and "ferric" in each.what]
    half = earned(fact.uncertainty, fact.uncertainty)
    assert fact.uncertainty < 0.5
    assert (
        f"formal {earned(fact.value, fact.uncertainty)} ± {half} %"
        in (tmp_path / "out" / "shares.svg").read_text()
    )


def test_a_series_is_drawn_along_itself(tmp_path):
    found = map_shares(asked(tmp_path, (30,)), Shelf(tmp_path / "shelf"))
    ferric = found.detail["map"]["series"]["ferric"]
    assert ferric["value"][0] < 0.1 and ferric["value"][-1] > 0.9
    assert ferric["low"][15] < ferric["value"][15] < ferric["high"][15]
    assert found.detail["map"]["along"][0] == 1


def test_the_same_stack_gives_the_same_bytes(tmp_path):
    said = asked(tmp_path, (6, 8))
    map_shares(said, Shelf(tmp_path / "shelf"))
    map_shares(replace(said, out=tmp_path / "again"), Shelf(tmp_path / "shelf"))
    for name in ("shares.json", "shares.svg", "shares.png"):
        assert (said.out / name).read_bytes() == (tmp_path / "again" / name).read_bytes()


def test_a_standard_from_the_shelf_comes_only_onto_a_tied_axis(tmp_path):
    shelf = Shelf(tmp_path / "shelf")
    shelf_acts.add(shelf, standard("lent"))
    said = asked(tmp_path, (6, 8))
    said = replace(said, references=["lent", said.references[1]])
    with pytest.raises(QuestionRefused, match="the standard lent: needed its energies on the stack's axis"):
        map_shares(said, shelf)
    with pytest.raises(QuestionRefused, match="found the standard is not tied. Tie it"):
        map_shares(replace(said, axis="the same foil"), shelf)
    shelf_acts.tie(shelf, "lent", None, TIE)
    found = map_shares(replace(said, axis="the same foil"), shelf)
    assert found.detail["shares"]["lent"]["slide_ev"] == 0.04
    assert any("the same foil" in caution for caution in found.cautions)


def test_references_that_end_too_early_or_are_one_thing_twice_are_refused(tmp_path):
    said = asked(tmp_path, (6, 8))
    twice = tmp_path / "twice.xdi"
    twice.write_bytes(Path(said.references[0]).read_bytes())
    with pytest.raises(QuestionRefused, match="the references: needed others, found .* two alike"):
        map_shares(replace(said, references=[said.references[0], str(twice)]), Shelf(tmp_path / "shelf"))
    with h5py.File(said.stack, "a") as file:
        file["energy"][...] = ENERGY[INSIDE] + 5
    with pytest.raises(QuestionRefused, match="needed 704.0 to 744.0 eV, found 698.0 to 740.0 eV"):
        map_shares(said, Shelf(tmp_path / "shelf"))
