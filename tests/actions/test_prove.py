"""An envelope is proved link by link: what differs is named, and where the chain breaks."""

import io
import json
import random
import zipfile

import pytest
from acted import acted

from edgeshift import __version__
from edgeshift.actions import prove as proving
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.pack import pack
from edgeshift.actions.prove import prove, prove_or_refuse
from edgeshift.errors import EnvelopeRefused
from edgeshift.formats.archive import MANIFEST, opened, sealed
from edgeshift.records.identity import sha256_of
from edgeshift.records.proof import LINKS

CHANGES, ELSEWHERE = 200, 50


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    place = tmp_path_factory.mktemp("prove") / "riverbank"
    acted(place).close()
    return pack(place, desk=steady_desk()).path.read_bytes()


@pytest.fixture(scope="module")
def held(data):
    return dict(opened(data).files)


def proved(data):
    return prove(data, "riverbank.zip", desk=steady_desk())


def states(proof):
    return {link.code: link.state for link in proof.links}


def differing(proof, code):
    (link,) = (link for link in proof.links if link.code == code)
    return [(one.file, one.where) for one in link.differences]


def forged(held, **changes):
    """The files with some changed and every hash of the archive made to fit again."""
    return sealed({**held, **changes})


def test_an_envelope_as_it_was_packed_holds(data):
    proof = proved(data)
    assert proof.holds and proof.broken is None
    assert tuple(states(proof)) == LINKS
    assert set(states(proof).values()) == {"holds"}
    assert (proof.version, proof.here) == (__version__, __version__)
    prove_or_refuse(proof)


# --- bytes -------------------------------------------------------------------------------------------------


def places(data):
    """Where each byte of each file lies, and every other place."""
    inside = {}
    for one in zipfile.ZipFile(io.BytesIO(data)).infolist():
        start = one.header_offset + 30 + len(one.filename.encode())
        inside |= dict.fromkeys(range(start, start + one.file_size), one.filename)
    return inside, sorted(set(range(len(data))) - set(inside))


def test_of_two_hundred_changed_bytes_every_one_is_found_and_its_file_named(data):
    draw, (inside, _) = random.Random(8), places(data)
    for place in draw.sample(sorted(inside), CHANGES):
        hurt = bytearray(data)
        hurt[place] ^= draw.randint(1, 255)
        found = opened(bytes(hurt))
        assert found.changed == (inside[place],) and found.whole, place


def test_of_fifty_bytes_changed_between_the_files_every_one_is_noticed(data):
    draw, (_, elsewhere) = random.Random(9), places(data)
    for place in draw.sample(elsewhere, ELSEWHERE):
        hurt = bytearray(data)
        hurt[place] ^= draw.randint(1, 255)
        try:
            found = opened(bytes(hurt))
        except EnvelopeRefused as refusal:
            assert "damaged" in str(refusal)
            continue
        assert not found.whole and found.changed == (), place


@pytest.mark.parametrize("file", ["figures/real-Ti_L-fired.svg", "answers/real.json", "README.txt", MANIFEST])
def test_a_changed_byte_breaks_the_link_of_files_and_the_file_is_named(data, file):
    start = next(place for place, name in places(data)[0].items() if name == file)
    proof = proved(data[:start] + b"\1" + data[start + 1 :])
    assert states(proof)["archive"] == "holds" and proof.broken.code == "files"
    assert differing(proof, "files") == [(file, "bytes")]
    with pytest.raises(
        EnvelopeRefused, match=f"riverbank.zip: needed {file} as it was packed, found other bytes"
    ):
        prove_or_refuse(proof)


def test_damage_between_the_files_is_told_and_everything_is_computed_all_the_same(data):
    proof = proved(data + b"x")
    assert {code for code, state in states(proof).items() if state != "holds"} == {"archive"}
    with pytest.raises(EnvelopeRefused, match="needed every byte as it was packed, found archive damaged"):
        prove_or_refuse(proof)


# --- a forger who makes every hash of the archive fit ------------------------------------------------------


def test_a_forged_raw_file_is_not_the_one_that_the_book_took(held):
    name = sorted(name for name in held if name.startswith("raw/"))[0]
    proof = proved(forged(held, **{name: held[name].replace(b"1", b"2", 1)}))
    assert states(proof)["files"] == "holds" and proof.broken.code == "book"
    (file, line) = differing(proof, "book")[0]
    assert file == name and line.startswith("book.jsonl:")
    assert states(proof)["answers"] == "not-reached"


def test_a_forger_who_mends_the_book_too_is_betrayed_by_the_answers(held):
    name = sorted(name for name in held if name.startswith("raw/"))[0]
    lines = held[name].decode().splitlines()
    row = next(n for n, line in enumerate(lines) if not line.startswith("#") and n > 40)
    cells = lines[row].split()
    lines[row] = lines[row].replace(cells[2], f"{float(cells[2]) * 3:.6g}")
    raw = ("\n".join(lines) + "\n").encode()
    book = held["book.jsonl"].replace(sha256_of(held[name]).encode(), sha256_of(raw).encode())
    proof = proved(forged(held, **{name: raw, "book.jsonl": book}))
    assert states(proof)["book"] == "holds" and proof.broken.code == "answers"
    assert any(".identity" in where for _, where in differing(proof, "answers"))
    assert differing(proof, "curves")


def test_a_prettier_number_is_named_with_its_place(held):
    answers = json.loads(held["answers/real.json"])
    answers[0]["detail"]["feature"]["difference"] = 9.9
    answers[0]["sentence"] = "They differ, and that is proved."
    pretty = json.dumps(answers, ensure_ascii=False, sort_keys=True).encode()
    proof = proved(forged(held, **{"answers/real.json": pretty}))
    assert proof.broken.code == "answers"
    assert {where for _, where in differing(proof, "answers")} == {
        f"[{answers[0]['edge']}].detail.feature.difference", f"[{answers[0]['edge']}].sentence",
    }  # fmt: skip
    assert states(proof)["curves"] == states(proof)["figures"] == "holds"


@pytest.mark.parametrize(
    ("code", "file", "old", "new"),
    [
        ("figures", "figures/real-Ti_L-fired.svg", b"raw clay", b"red clay"),
        ("figures", "figures/real-Ti_L-fired.csv", b"# curves", b"# curls"),
        ("curves", "spectra/Ti_L-RAW-A-s1.xdi", b"RAW-A", b"RAW-B"),
        ("answers", "story.txt", b"set aside", b"kept"),
        ("description", "README.txt", b"edgeshift prove", b"edgeshift trust"),
    ],
)
def test_what_was_made_and_then_forged_breaks_its_own_link(held, code, file, old, new):
    assert old in held[file]
    proof = proved(forged(held, **{file: held[file].replace(old, new, 1)}))
    assert file in [name for name, _ in differing(proof, code)]
    assert not proof.holds


def test_a_judgement_taken_out_of_the_book_is_a_line_that_is_missing(held):
    lines = held["book.jsonl"].splitlines(keepends=True)
    gone = next(n for n, line in enumerate(lines) if b'"judge"' in line)
    proof = proved(forged(held, **{"book.jsonl": b"".join(lines[:gone] + lines[gone + 1 :])}))
    assert differing(proof, "book") == [("book.jsonl", f"line {gone + 1}")]


def test_another_experiment_text_is_not_the_accepted_one(held):
    text = held["experiment.yaml"] + b"# a new thought\n"
    assert differing(proved(forged(held, **{"experiment.yaml": text})), "book") == [
        ("experiment.yaml", "text")
    ]


def test_a_book_that_cannot_be_read_ends_the_chain(held):
    proof = proved(forged(held, **{"book.jsonl": b"not a line\n"}))
    assert proof.broken.code == "book"
    assert {state for code, state in states(proof).items() if code in ("answers", "curves")} == {
        "not-reached"
    }


def test_a_file_that_was_left_out_and_one_that_was_slipped_in_are_named(held):
    files = {**held, "figures/new.svg": b"<svg/>"}
    del files["answers/real.json"]
    proof = proved(sealed(files))
    assert ("answers/real.json", "file") in differing(proof, "answers")
    assert ("figures/new.svg", "file") in differing(proof, "figures")


def test_a_raw_name_that_leads_out_is_refused(held):
    book = held["book.jsonl"].replace(b'"0031_KL.dat"', b'"a/0031_KL.dat"')
    files = {**held, "raw/a/0031_KL.dat": held["raw/0031_KL.dat"], "book.jsonl": book}
    (failed,) = (link for link in proved(sealed(files)).links if link.code == "answers")
    assert failed.state == "breaks" and "raw files by plain names" in failed.differences[0].found


# --- another version ---------------------------------------------------------------------------------------


def test_another_version_need_not_agree_on_identities(data, monkeypatch):
    for module in ("edgeshift.actions.prove", "edgeshift.actions.pack", "edgeshift.actions.session"):
        monkeypatch.setattr(f"{module}.__version__", "9.9")
    proof = proved(data)
    assert (proof.version, proof.here) == (__version__, "9.9")
    assert proof.holds
    assert states(proof)["answers"] == "to-the-digits" and states(proof)["curves"] == "holds"


def test_another_machine_may_differ_in_the_last_bits_and_says_so(held):
    name = "spectra/Ti_L-RAW-A-s1.xdi"
    lines = held[name].decode().splitlines()
    energy, value, *rest = lines[-1].split()
    lines[-1] = "  ".join([energy, repr(float(value) * (1 + 1e-9)), *rest])
    other = ("\n".join(lines) + "\n").encode()
    crate = held["ro-crate-metadata.json"].replace(sha256_of(held[name]).encode(), sha256_of(other).encode())
    proof = proved(forged(held, **{name: other, "ro-crate-metadata.json": crate}))
    assert states(proof)["curves"] == "to-the-digits"
    assert proof.holds


def test_an_envelope_of_a_later_layout_is_refused(held):
    later = json.dumps({"envelope": 99, "made_by": "edgeshift", "version": "9"}).encode()
    with pytest.raises(EnvelopeRefused, match="needed an envelope of layout 1 or older, found layout 99"):
        proved(forged(held, **{"envelope.json": later}))


def test_nothing_is_left_behind(data, tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    assert proved(data).holds
    assert list(tmp_path.iterdir()) == []


def test_the_files_are_proved_with_the_code_that_packed_them():
    assert proving.contents is pack.__globals__["contents"]
