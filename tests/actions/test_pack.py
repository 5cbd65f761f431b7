"""An envelope holds everything, the same each time, and a stranger can get its numbers without us."""

import json
import re
import zipfile
from io import BytesIO

import h5py
import numpy as np
import pytest
from acted import NOTED, SAID, WHY_ASIDE, acted
from formats.test_ro_crate import check
from practised import begun, files

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.new import new
from edgeshift.actions.pack import contents, pack
from edgeshift.actions.session import Session
from edgeshift.actions.showing import draw_curtain
from edgeshift.errors import EnvelopeRefused, FolderRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.formats import event_lines, ro_crate, xdi
from edgeshift.formats.archive import MANIFEST, opened
from edgeshift.records.identity import sha256_of


@pytest.fixture(scope="module")
def shift(tmp_path_factory):
    place = tmp_path_factory.mktemp("pack") / "riverbank"
    acted(place).close()
    return place


@pytest.fixture(scope="module")
def packed(shift):
    return pack(shift, desk=steady_desk())


@pytest.fixture(scope="module")
def held(packed):
    """Every file of the envelope, as any tool for zips gives it."""
    plain = zipfile.ZipFile(packed.path)
    return {one: plain.read(one) for one in plain.namelist()}


def test_it_lies_under_the_name_of_its_folder(packed, shift, held):
    assert packed.path == shift / "envelope" / "riverbank.zip"
    assert (packed.files, packed.size) == (len(held), packed.path.stat().st_size)


def test_the_same_experiment_gives_the_same_bytes_wherever_it_lies(packed, shift, tmp_path):
    before = packed.path.read_bytes()
    assert pack(shift, desk=steady_desk("2030-01-01T00:00:00Z")).path.read_bytes() == before
    acted(tmp_path / "riverbank").close()
    assert pack(tmp_path / "riverbank", desk=steady_desk()).path.read_bytes() == before


def test_raw_bytes_are_those_that_were_taken(held):
    assert {name: data for name, data in held.items() if name.startswith("raw/")} == {
        f"raw/{name}": data for name, data in files("KL") + files("TiL")
    }


def test_the_book_is_there_line_by_line(held, shift):
    lines = held["book.jsonl"].decode().splitlines()
    with ExperimentFolder.open(shift) as folder:
        assert tuple(event_lines.load(line) for line in lines) == folder.events()
        assert held["experiment.yaml"].decode() == folder.experiment_text()


def test_the_list_of_hashes_names_every_other_file(held):
    listed = dict(reversed(line.split("  ", 1)) for line in held[MANIFEST].decode().splitlines())
    assert listed == {name: sha256_of(data) for name, data in held.items() if name != MANIFEST}


def test_its_description_holds_to_the_standard_and_names_every_file(held):
    described = set(held) - {MANIFEST, ro_crate.NAME}
    check(json.loads(held[ro_crate.NAME]), described)


def test_its_answers_are_those_that_are_given(held, shift):
    with ExperimentFolder.open(shift) as folder:
        given = answer(Session(folder), "real")
    told = json.loads(held["answers/real.json"])
    assert [(a["edge"], a["verdict"], a["identity"]) for a in told] == [
        (a.edge, a.verdict, a.identity) for a in given
    ]


def test_every_curve_passes_the_rules_of_xdi(held):
    curves = [name for name in held if name.endswith(".xdi")]
    assert len(curves) == 11 + 11, "twelve scans of a spot each, and one set aside"
    for name in curves:
        (table,) = xdi.read(name, held[name])
        assert table.complaints == (), name
        assert table.header["element.symbol"] in ("K", "Ti") and table.header["element.edge"] == "L"
        assert table.columns[0].name == "energy" and table.columns[0].unit == "eV"


NXXAS = ("definition", "element/symbol", "edge/name", "is_experimental", "energy", "intensity", "sample/name")
"""Required by the contributed definition NXxas of NeXus."""


@pytest.mark.parametrize("edge", ["K_L", "Ti_L"])
def test_a_set_holds_the_required_fields_of_nxxas_and_a_plot(held, edge):
    with h5py.File(BytesIO(held[f"sets/{edge}.nxs"])) as root:
        assert root.attrs["default"] in root
        for entry in root.values():
            assert entry.attrs["NX_class"] == "NXentry"
            assert all(field in entry for field in NXXAS)
            assert entry["definition"][()] == b"NXxas"
            assert entry["energy"].attrs["units"] == "eV"
            assert entry["energy"].shape == entry["intensity"].shape
            plot = entry["plot"]
            assert plot.attrs["NX_class"] == "NXdata"
            assert {plot.attrs["signal"], plot.attrs["axes"], "intensity_errors"} <= set(plot)


def test_a_set_says_the_same_as_the_curves(held):
    (curve,) = xdi.read("x", held["spectra/Ti_L-RAW-A-s1.xdi"])
    with h5py.File(BytesIO(held["sets/Ti_L.nxs"])) as root:
        (entry,) = (one for one in root.values() if one["sample/name"][()] == b"RAW-A")
        for name, column in (("energy", "energy"), ("intensity", "absorption"), ("flags", "flags")):
            np.testing.assert_array_equal(entry[name][()], curve.column(column).values)


def test_the_numbers_of_every_picture_stand_beside_it(held):
    pictures = {name[:-4] for name in held if name.startswith("figures/") and name.endswith(".svg")}
    assert pictures == {name[:-4] for name in held if name.startswith("figures/") and name.endswith(".csv")}
    curves = held["figures/real-Ti_L-fired.csv"].decode().splitlines()
    assert curves[0] == "# curves"
    assert curves[1].startswith('"energy, eV",raw clay,"raw clay, low"')


def test_a_stranger_gets_the_number_of_the_readme_with_a_pencil(held):
    """Nothing of ours is used: the README says what to do, the files are text."""
    told = " ".join(held["README.txt"].decode().split())
    edge, first, second, value = re.search(
        r"At (\S+ \S+) the number compared is .*? from (\S+ to \S+) eV, over that from (\S+ to \S+) eV"
        r".* gives (\S+), give or take",
        told,
    ).groups()
    ranges = [tuple(map(float, each.split(" to "))) for each in (first, second)]
    by_arm = {"RAW": {}, "PIT750": {}}
    for name, data in held.items():
        if name.startswith(f"spectra/{edge.replace(' ', '_')}-"):
            rows = [line.split() for line in data.decode().splitlines() if not line.startswith("#")]
            points = [(float(row[0]), float(row[1])) for row in rows]
            _, arm, pair, _ = name.split("-")
            by_arm[arm][pair] = level(points, *ranges[0]) / level(points, *ranges[1])
    whole = set.intersection(*map(set, by_arm.values()))
    assert len(whole) == 2 and "of those whose pair is whole" in told
    arms = {arm: sum(units[pair] for pair in whole) / len(whole) for arm, units in by_arm.items()}
    assert arms["PIT750"] - arms["RAW"] == pytest.approx(float(value), rel=1e-3)


def level(points, low, high):
    """The area under straight lines between the points, over the width."""

    def at(energy):
        pair = next((a, b) for a, b in zip(points, points[1:], strict=False) if a[0] <= energy <= b[0])
        (x, a), (y, b) = pair
        return a + (b - a) * (energy - x) / (y - x)

    inside = [(low, at(low)), *(p for p in points if low < p[0] < high), (high, at(high))]
    return sum((y - x) * (a + b) / 2 for (x, a), (y, b) in zip(inside, inside[1:], strict=False)) / (
        high - low
    )


def test_the_readme_says_what_everything_is_and_how_to_check_it(held):
    told = held["README.txt"].decode()
    for name in held:
        assert f"{name.partition('/')[0]}{'/' if '/' in name else ''} " in told, name
    assert "a file\n" not in told, "something has no words"
    assert "sha256sum -c manifest-sha256.txt" in told
    assert max(map(len, told.splitlines())) <= 104


def test_free_words_are_counted_and_cautioned_about(packed, held):
    (caution,) = packed.cautions
    assert "holds one note and one claim and" in caution and "Read them for names" in caution
    assert caution in " ".join(held["README.txt"].decode().split())
    book = held["book.jsonl"].decode()
    assert SAID in book and NOTED in book and WHY_ASIDE in book


def test_no_field_asks_for_a_name(held):
    asked = re.compile(r'"(?:name|author|creator|operator|user|email|affiliation)":')
    assert not asked.search(held["book.jsonl"].decode())
    assert not re.search(r"(?i)author|creator|affiliation", held[ro_crate.NAME].decode())


def test_a_drawn_curtain_is_cautioned_about(tmp_path):
    desk = steady_desk()
    with acted(tmp_path / "shift", desk) as folder:
        draw_curtain(folder, desk, Who("host", "we guess first"))
    assert any("curtain is still drawn" in each for each in pack(tmp_path / "shift", desk=desk).cautions)


def test_a_document_hangs_on_at_one_place_and_is_described_and_hashed(shift):
    def slides(material):
        first = material.answers[0].sentence
        assert any("pit-fired clay" in said.text for said in material.design)
        return {"slides.txt": f"{material.question.text} {first.text}".encode()}

    with ExperimentFolder.open(shift) as folder:
        made = contents(Session(folder), [slides])
    assert made["documents/slides.txt"].startswith(b"Does our pit fire")
    assert b"documents/slides.txt" in made[ro_crate.NAME]
    assert b"documents/ " in made["README.txt"]


def test_an_empty_experiment_is_refused(tmp_path):
    new(tmp_path / "shift", "question: nothing yet?\n", steady_desk()).close()
    with pytest.raises(
        EnvelopeRefused, match="needed a scan to be packed, found none yet. Take a file first"
    ):
        pack(tmp_path / "shift", desk=steady_desk())


def test_a_raw_file_that_was_changed_is_not_packed(tmp_path):
    acted(tmp_path / "shift").close()
    raw = next((tmp_path / "shift" / "raw").iterdir())
    raw.chmod(0o644)
    raw.write_bytes(raw.read_bytes() + b"\n")
    with pytest.raises(FolderRefused, match="needed the bytes that were taken, found other bytes"):
        pack(tmp_path / "shift", desk=steady_desk())


def test_a_shift_without_arms_is_packed_too(tmp_path):
    desk = steady_desk()
    text = begun(tmp_path / "whole", files("KL")[:1], desk=desk)
    text.close()
    beamline = (tmp_path / "whole" / "experiment.yaml").read_text("utf-8").partition("beamline:\n")
    begun(tmp_path / "shift", files("KL"), "".join(("question: what is it?\n", *beamline[1:])), desk).close()
    found = opened(pack(tmp_path / "shift", desk=desk).path.read_bytes())
    assert "answers/trust.json" in found.files and "answers/real.json" not in found.files
    assert b"No feature with a simple recipe was declared" in found.files["README.txt"]
