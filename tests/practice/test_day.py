"""A whole shift: what lands, and what must not land with it."""

import io
from collections import Counter
from dataclasses import replace

import numpy as np

from edgeshift.practice import shift


def test_one_seed_gives_one_set_of_bytes(riverbank, made):
    again = shift(riverbank, 7)
    assert again.files == made.files
    assert again.experiment_text == made.experiment_text
    assert again.truth.scans == made.truth.scans


def test_another_seed_gives_other_bytes(riverbank, made):
    other = shift(riverbank, 8)
    assert [f.name for f in other.files] == [f.name for f in made.files]
    assert not {f.data for f in other.files} & {f.data for f in made.files}


def test_a_shift_holds_the_scans_that_fit_a_real_one(made):
    counts = Counter(file.name.split("_")[1] for file in made.files)
    assert counts == {"AlK.dat": 18, "FeL.dat": 12, "KL.dat": 6, "TiL.dat": 6, "SiK.dat": 4}
    landed = [file.at_s for file in made.files]
    assert landed == sorted(landed)
    assert 3.0 < landed[-1] / 3600 < 6.0


def test_every_file_is_a_plain_table_of_numbers(made):
    for file in made.files:
        rows = np.loadtxt(io.BytesIO(file.data))
        assert rows.shape[1] == 6
        assert np.isfinite(rows).all()
        assert (np.diff(rows[:, 0]) > 0).all()
        assert (rows[:, 1] > 0).all()
        assert (rows[:, 2] < 0).all()


def test_no_truth_stands_in_what_lands(riverbank):
    words = {"truth", "true", "share", "blip", "spike", "drift", "noise"}
    words |= {name for edge in riverbank.edges.values() for name in edge.components if len(name) > 1}
    for seed in range(5):
        made = shift(riverbank, seed)
        texts = [file.data.decode("ascii") for file in made.files]
        header = "\n".join(line for text in texts for line in text.splitlines() if line.startswith("#"))
        typed = made.experiment_text.replace("control: true", "")
        found = {word for word in words if word in header.lower() or word in typed.lower()}
        assert not found


def test_every_scan_has_its_truth_apart_from_the_files(made):
    assert set(made.truth.scans) == {file.name for file in made.files}
    assert not set(vars(made.files[0])) & {"truth", "scans", "edges"}


def test_a_shorter_day_leaves_what_is_mounted_alone(riverbank, made):
    shorter = shift(replace(riverbank, schedule=riverbank.schedule[:1]), 7)
    assert shorter.truth.edges["Al K"].units == made.truth.edges["Al K"].units
    assert shorter.files == made.files[:18]
