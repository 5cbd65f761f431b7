"""A file is acknowledged once it is copied, hashed, recognised and in the book, and never before."""

import errno
import os
import threading

import pytest

from edgeshift.actions import take as module
from edgeshift.actions.desk import Desk, steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.formats.experiment_text import load_profile
from edgeshift.records.identity import sha256_of
from edgeshift.records.shift_state import replay

TEXT = "question: does the fire change the clay?\n"
BEAMLINE = """\
beamline:
  energy: {column: E}
  channels: [{role: i0, columns: [mesh]}, {role: electron-yield, columns: [plate], unit: V}]
"""


def scan(columns: str = "energy i0 tey", seed: int = 0) -> bytes:
    rows = [(1550 + n, 1e5 + 37 * (n % 7) + seed, 2e4 + 400 * n + 3 * (n % 5)) for n in range(60)]
    return "\n".join([f"# {columns}", *(" ".join(f"{x:.8g}" for x in row) for row in rows), ""]).encode()


UNCLEAR = scan("eins zwei drei")
TWO_BLOCKS = scan() + scan(seed=9)


@pytest.fixture
def folder(tmp_path):
    with new(tmp_path / "shift", TEXT, steady_desk()) as folder:
        yield folder


def state(folder):
    return replay(folder.events())


def test_a_clear_file_is_taken_whole(folder):
    (taken,) = take(folder, [("river.dat", scan())], steady_desk())
    assert (taken.outcome, taken.sentence) == ("taken", "river.dat: taken as scan-001.")
    arrival = state(folder).arrivals["scan-001"]
    assert arrival.sha256 == taken.sha256 == sha256_of(scan())
    assert folder.raw_bytes(arrival.sha256) == scan()
    event = folder.events()[-1]
    assert (event.kind, event.role, event.payload["bytes"]) == ("arrival", "tool", len(scan()))


def test_the_mapping_that_was_used_is_in_the_book(folder):
    take(folder, [("river.dat", scan())], steady_desk())
    payload = folder.events()[-1].payload
    assert payload["mapping"] == "proposal"
    assert payload["profile"]["energy"] == {"column": "energy"}
    assert [channel["role"] for channel in payload["profile"]["channels"]] == ["i0", "electron-yield"]


def test_scans_are_numbered_in_order_and_stay_so(folder):
    take(folder, [("b.dat", scan(seed=1)), ("a.dat", scan(seed=2))], steady_desk())
    take(folder, [("c.dat", scan(seed=3))], steady_desk())
    assert [(k, a.file) for k, a in state(folder).arrivals.items()] == [
        ("scan-001", "b.dat"),
        ("scan-002", "a.dat"),
        ("scan-003", "c.dat"),
    ]


def test_the_same_bytes_count_once_and_say_so(folder):
    _, again = take(folder, [("river.dat", scan()), ("copy.dat", scan())], steady_desk())
    assert again.outcome == "duplicate"
    assert again.sentence == "copy.dat: the same bytes as river.dat (scan-001). It counts once."
    assert state(folder).arrivals["scan-001"].copies == ("copy.dat",)
    assert [p.name for p in (folder.path / "raw").iterdir()] == ["river.dat"]


def test_taking_everything_again_adds_no_line(folder):
    files = [("a.dat", scan(seed=1)), ("b.dat", scan(seed=2)), ("copy.dat", scan(seed=1))]
    take(folder, files, steady_desk())
    before = folder.events()
    again = take(folder, files, steady_desk())
    assert [taken.outcome for taken in again] == ["duplicate"] * 3
    assert folder.events() == before


def test_other_bytes_under_the_same_name_are_another_scan(folder):
    take(folder, [("a.dat", scan(seed=1)), ("a.dat", scan(seed=2))], steady_desk())
    second = state(folder).arrivals["scan-002"]
    assert (second.file, second.given) == ("a~2.dat", "a.dat")
    assert folder.raw_bytes(second.sha256) == scan(seed=2)


def test_unclear_columns_are_asked_about_and_nothing_is_kept(folder):
    (asked,) = take(folder, [("river.dat", UNCLEAR)], steady_desk())
    assert asked.outcome == "asked"
    assert "Say it as --column energy=NAME --column i0=NAME" in asked.sentence
    assert any("which column is the energy" in doubt for doubt in asked.doubts)
    assert state(folder).arrivals == {}
    assert list((folder.path / "raw").iterdir()) == []


def test_a_ready_made_absorption_is_what_the_question_suggests(folder):
    data = "# energy intensity\n" + "".join(f"{1550 + k} {0.1 + k * k / 900}\n" for k in range(60))
    (asked,) = take(folder, [("mu.dat", data.encode())], steady_desk())
    assert "--column energy=energy:eV --column absorption=intensity:none." in asked.sentence


def test_the_same_name_with_other_bytes_is_said(folder):
    first, second = take(folder, [("a.dat", scan()), ("a.dat", scan(seed=2))], steady_desk())
    assert first.doubts == ()
    words = "A file of that name with other bytes is here already as scan-001; this one is kept as a~2.dat."
    assert second.doubts == (words,)


def test_a_scan_out_and_back_is_taken_with_a_doubt(folder):
    lines = scan().decode().splitlines()
    data = "\n".join([*lines, *lines[-2:0:-1], ""]).encode()
    answers = {"energy": "energy:eV", "i0": "i0:counts", "electron-yield": "tey"}
    (taken,) = take(folder, [("both.dat", data)], steady_desk(), answers=answers)
    assert "The energies turn round at 1609.00 eV. Split the file into one for each way." in taken.doubts


def test_an_answer_settles_the_columns(folder):
    answers = {"energy": "eins:eV", "i0": "zwei:counts", "electron-yield": "drei"}
    (taken,) = take(folder, [("river.dat", UNCLEAR)], steady_desk(), answers=answers)
    assert taken.outcome == "taken"
    payload = folder.events()[-1].payload
    assert payload["mapping"] == "answers"
    assert [(c["role"], c["columns"]) for c in payload["profile"]["channels"]] == [
        ("i0", ["zwei"]),
        ("electron-yield", ["drei"]),
    ]
    assert payload["profile"]["channels"][1]["unit"] == "V"


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"energy": "eins"}, "found energy alone"),
        ({"energy": "nope:eV"}, "needed a column called 'nope', found the columns eins, zwei, drei"),
        ({"i0": "zwei", "electron-yield": "drei"}, "found i0, electron-yield alone"),
        ({"energy": "eins", "tey": "drei"}, "--column tey=: needed energy, i0, electron-yield"),
        ({"energy": "eins", "i0": ""}, "--column: needed the name of a column"),
        ({"energy": "vier", "electron-yield": "drei"}, "vier"),
    ],
)
def test_an_answer_without_sense_is_asked_again(folder, answers, words):
    (asked,) = take(folder, [("river.dat", UNCLEAR)], steady_desk(), answers=answers)
    assert asked.outcome == "asked"
    assert words in asked.sentence


def test_the_experiments_own_beamline_is_used_and_not_repeated(tmp_path):
    with new(tmp_path / "own", TEXT + BEAMLINE, steady_desk()) as folder:
        (taken,) = take(folder, [("river.dat", scan("E mesh plate"))], steady_desk())
        assert taken.outcome == "taken"
        assert state(folder).arrivals["scan-001"].profile is None
        assert folder.events()[-1].payload["mapping"] == "experiment"


def test_a_file_that_the_beamline_does_not_fit_is_refused_by_name(tmp_path):
    with new(tmp_path / "own", TEXT + BEAMLINE, steady_desk()) as folder:
        (asked,) = take(folder, [("river.dat", scan())], steady_desk())
        assert asked.outcome == "asked"
        assert "river.dat" in asked.sentence
        assert "mesh" in asked.sentence or "'E'" in asked.sentence


def test_what_the_experiment_says_of_places_lies_over_a_proposal(tmp_path):
    text = TEXT + "beamline: {place: {file_name: '(?P<specimen>[A-Z]+)_'}}\n"
    with new(tmp_path / "own", text, steady_desk()) as folder:
        take(folder, [("RAW_1.dat", scan())], steady_desk())
        assert folder.events()[-1].payload["profile"]["place"]["file_name"] == "(?P<specimen>[A-Z]+)_"


def test_a_profile_that_is_given_goes_first(folder):
    profile = load_profile(
        "energy: {column: eins}\nchannels: [{role: electron-yield, columns: [drei], unit: V}]\n", "p"
    )
    (taken,) = take(folder, [("river.dat", UNCLEAR)], steady_desk(), profile=profile)
    assert taken.outcome == "taken"
    assert folder.events()[-1].payload["mapping"] == "given"


def test_one_bad_file_never_stops_the_next(folder):
    def gone() -> bytes:
        raise FileNotFoundError(errno.ENOENT, "No such file or directory")

    files = [
        ("empty.dat", b""),
        ("photo.dat", bytes(range(256)) * 4),
        ("stage.dat", b"# x_mm y_mm\n" + b"\n".join(b"-%d 2" % n for n in range(20))),
        ("gone.dat", gone),
        ("river.dat", scan()),
    ]
    taken = take(folder, files, steady_desk())
    assert [one.outcome for one in taken] == ["refused", "refused", "refused", "refused", "taken"]
    assert taken[3].sentence == (
        "gone.dat: needed a file that can be read, found No such file or directory. Check its name and place."
    )


def test_a_fault_of_ours_in_one_file_costs_that_file_only(folder, monkeypatch):
    def stumble(table, *rest):
        if table.file == "odd.dat":
            raise ZeroDivisionError
        return original(table, *rest)

    original = module.mapped
    monkeypatch.setattr(module, "mapped", stumble)
    odd, river = take(folder, [("odd.dat", scan(seed=1)), ("river.dat", scan())], steady_desk())
    assert (odd.outcome, river.outcome) == ("fault", "taken")
    assert odd.sentence == "odd.dat: we stumbled over it (ZeroDivisionError). It was not taken."


def test_one_of_several_entries_must_be_chosen(folder):
    (asked,) = take(folder, [("two.dat", TWO_BLOCKS)], steady_desk())
    assert asked.outcome == "asked"
    assert "found 2: block 1, block 2. Add --entry NAME, or --entry all for each." in asked.sentence
    (taken,) = take(folder, [("two.dat", TWO_BLOCKS)], steady_desk(), answers={"entry": "block 2"})
    assert taken.scans == ("scan-001",)
    assert state(folder).arrivals["scan-001"].entry == "block 2"


def test_another_entry_of_a_file_already_taken_is_another_scan(folder):
    files = [("two.dat", TWO_BLOCKS)]
    take(folder, files, steady_desk(), answers={"entry": "block 2"})
    (taken,) = take(folder, files, steady_desk(), answers={"entry": "all"})
    assert taken.outcome == "taken"
    assert [(k, a.entry) for k, a in state(folder).arrivals.items()] == [
        ("scan-001", "block 2"),
        ("scan-002", "block 1"),
    ]
    assert len(list((folder.path / "raw").iterdir())) == 1


def test_an_entry_that_is_not_there_is_asked_about(folder):
    (asked,) = take(folder, [("river.dat", scan())], steady_desk(), answers={"entry": "block 2"})
    assert asked.outcome == "asked"
    assert "Leave --entry away" in asked.sentence


def test_each_file_is_told_of_once_it_is_on_the_disk(folder):
    told = []

    def tell(taken):
        with ExperimentFolder.open(folder.path) as other:
            told.append(other.raw_bytes(taken.sha256) == scan(seed=len(told)))

    take(folder, [("a.dat", scan(seed=0)), ("b.dat", scan(seed=1))], steady_desk(), tell=tell)
    assert told == [True, True]


def test_a_copy_left_by_a_kill_is_used_and_not_doubled(folder):
    folder.keep_raw("river.dat", scan())  # the kill came between the copy and the line in the book
    (taken,) = take(folder, [("river.dat", scan())], steady_desk())
    assert taken.outcome == "taken"
    assert [p.name for p in (folder.path / "raw").iterdir()] == ["river.dat"]


def test_a_full_disk_refuses_kindly_and_the_next_file_is_taken(folder, monkeypatch):
    real, calls = os.fsync, []

    def full_once(handle):
        calls.append(handle)
        if len(calls) == 1:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full_once)
    first, second = take(folder, [("a.dat", scan(seed=1)), ("b.dat", scan(seed=2))], steady_desk())
    assert first.outcome == "refused"
    assert "found none left. Free some room and do it again" in first.sentence
    assert second.outcome == "taken"
    assert [a.file for a in state(folder).arrivals.values()] == ["b.dat"]
    assert [p.name for p in (folder.path / "raw").iterdir()] == ["b.dat"]


def test_two_takers_of_the_same_files_count_each_once(folder):
    files = [(f"{n}.dat", scan(seed=n)) for n in range(8)]

    def run():
        with ExperimentFolder.open(folder.path) as mine:
            take(mine, files, Desk())

    takers = [threading.Thread(target=run) for _ in range(3)]
    for taker in takers:
        taker.start()
    for taker in takers:
        taker.join()
    arrivals = state(folder).arrivals
    assert len(arrivals) == 8
    assert sorted(a.file for a in arrivals.values()) == sorted(name for name, _ in files)
    assert list(arrivals) == [f"scan-{n:03d}" for n in range(1, 9)]


def test_every_open_file_is_taken_or_answered_in_a_sentence(folder, open_data):
    files = [path for path in sorted(open_data.rglob("*")) if path.is_file()]
    results = take(folder, [(path.name, path.read_bytes()) for path in files], steady_desk())
    faults = [taken.sentence for taken in results if taken.outcome == "fault"]
    assert faults == []
    assert all("\n" not in taken.sentence for taken in results)
    held = {a.sha256 for a in state(folder).arrivals.values()}
    assert held == {taken.sha256 for taken in results if taken.outcome in ("taken", "duplicate")}


def test_a_time_that_is_none_is_complained_about_once(folder):
    head = "# XDI/1.0\n# Element.symbol: Fe\n# Element.edge: K\n# Column.1: energy eV\n# Column.2: i0\n"
    head += "# Column.3: itrans\n# Scan.start_time: 2001-Jun-26 22:27:31\n#----\n# energy i0 itrans\n"
    rows = "".join(f"{7100 + k} {50_000 + 31 * (k % 7)} {40_000 - 300 * k}\n" for k in range(60))
    (taken,) = take(folder, [("a.xdi", (head + rows).encode())], steady_desk())
    assert sum("is no ISO 8601 time" in doubt for doubt in taken.doubts) == 1
