"""Each verb prints what its action returns, in words or as JSON."""

import json

import pytest
from typer.testing import CliRunner

from edgeshift.cli.application import app
from edgeshift.errors import FolderRefused, NoteRefused, QuestionRefused, TextRefused, UnclearColumns
from edgeshift.folder.experiment_folder import ExperimentFolder

TEXT = """\
question: does the fire change the clay?
arms: [{name: raw, control: true}, {name: fired}]
units: [{name: A, arm: raw}]
specimens: [{name: A-raw, unit: A}]
"""


def rows(seed: int = 0) -> str:
    return (
        "\n".join(f"{1550 + n} {100000 + n % 7 + seed} {20000 + 400 * n + n % 5}" for n in range(60)) + "\n"
    )


@pytest.fixture
def say():
    """Run one verb; a refusal comes through as itself."""

    def run(*words, said=None):
        result = CliRunner().invoke(app, [str(word) for word in words], input=said)
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return run


@pytest.fixture
def shift(tmp_path, say):
    (tmp_path / "mine.yaml").write_text(TEXT, encoding="utf-8")
    say("new", tmp_path / "shift", "--from", tmp_path / "mine.yaml")
    return tmp_path / "shift"


@pytest.fixture
def raw(tmp_path):
    folder = tmp_path / "instrument"
    folder.mkdir()
    for number in (1, 2):
        (folder / f"river-{number}.dat").write_text("# energy i0 tey\n" + rows(number), encoding="utf-8")
    (folder / ".hidden").write_text("no scan", encoding="utf-8")
    return folder


def test_new_interviews_and_asks_again_where_an_answer_makes_no_sense(tmp_path, say):
    said = [
        "does firing change more than digging?",
        "raw",
        "raw, fired",
        "fired",
        "A",
        "B",
        "no",
        "made",
        "",
        "yes",
        "no",
        "none",
        "",
        "",
        "Al K",
        "",
        "Al, O",
        "K L",
        "no",
        "kaolinite",
        "bare tape",
        "turn",
        "",
        "",
    ]
    result = say("new", tmp_path / "shift", said="\n".join(said) + "\n")
    assert "needed at least 2, with commas between, found 'raw'" in result.stderr
    assert "cannot test the treatment" in result.stdout
    assert "Next: edgeshift take" in result.stdout
    with ExperimentFolder.open(tmp_path / "shift") as folder:
        assert '{name: "fired", control: true}' in folder.experiment_text()


def test_an_interview_that_breaks_off_is_refused_and_makes_nothing(tmp_path, say):
    with pytest.raises(
        TextRefused, match="needed an answer to every question, found its end. Copy your answers"
    ):
        say("new", tmp_path / "shift", said="does firing change more than digging?\n")
    assert not (tmp_path / "shift").exists()


def test_what_was_answered_before_an_interview_broke_off_is_a_file_to_go_on_from(tmp_path, say):
    broken = ["new", str(tmp_path / "shift")]
    shown = CliRunner().invoke(app, broken, input="does fire do more than digging?\nraw, fired\nraw\n").stdout
    assert "Your answers so far, as a file for --from:" in shown
    rest = "units of raw: A\nunits of fired: B\npairs: no\nedges: Al K\n"
    (tmp_path / "answers.yaml").write_text(shown.partition("--from:\n")[2] + rest, encoding="utf-8")
    told = say("new", tmp_path / "shift", "--from", tmp_path / "answers.yaml", "--try").stdout
    assert '"question": "does fire do more than digging?"' in told and "one unit of 'fired' counts" in told


def test_new_as_json_names_folder_and_text(tmp_path, say):
    (tmp_path / "mine.yaml").write_text(TEXT, encoding="utf-8")
    result = say("new", tmp_path / "shift", "--from", tmp_path / "mine.yaml", "--json")
    assert json.loads(result.stdout) == [{"folder": str(tmp_path / "shift"), "experiment": TEXT}]


ANSWERS = """\
question: does firing change more than digging?
arms: raw, fired
control: raw
units of raw: A, B, C
units of fired: D, E, F
pairs: no
together in fired: all
apart instead of fired: 2
edges: Al K
"""


def test_new_tries_a_design_and_makes_nothing(tmp_path, say):
    (tmp_path / "answers.yaml").write_text(ANSWERS, encoding="utf-8")
    told = say("new", tmp_path / "shift", "--from", tmp_path / "answers.yaml", "--try").stdout
    assert "D+E+F shared one run: 3 units count as 1" in told
    assert "Treat those of 'fired' apart that still can be: then 3 units count." in told
    assert not (tmp_path / "shift").exists()


def test_new_as_json_tells_what_the_design_can_show_in_the_shape_of_every_answer(tmp_path, say):
    (tmp_path / "answers.yaml").write_text(ANSWERS, encoding="utf-8")
    (found,) = json.loads(
        say("new", tmp_path / "shift", "--from", tmp_path / "answers.yaml", "--json").stdout
    )
    assert found["design"]["question"] == "design" and found["design"]["verdict"] == "cannot-show"
    assert found["design"]["detail"]["units"]["fired"] == {"listed": 3, "counted": 1}
    assert 'batch: "fired together 1"' in found["experiment"]


@pytest.mark.parametrize("other", [("--try",), ("--from", "answers.yaml")])
def test_a_page_asks_from_its_first_question(tmp_path, say, other):
    with pytest.raises(QuestionRefused, match=f"--page: needed .* found {other[0]}. Leave {other[0]} out"):
        say("new", tmp_path / "shift", "--page", *other)


def test_an_experiment_is_no_design_to_try(tmp_path, say):
    (tmp_path / "mine.yaml").write_text(TEXT, encoding="utf-8")
    with pytest.raises(TextRefused, match="mine.yaml: needed answers to the interview, found an experiment"):
        say("new", tmp_path / "shift", "--from", tmp_path / "mine.yaml", "--try")


def test_new_refuses_a_text_by_its_line(tmp_path, say):
    (tmp_path / "mine.yaml").write_text("qestion: why\n", encoding="utf-8")
    with pytest.raises(TextRefused, match="mine.yaml:1: needed a field that is known here"):
        say("new", tmp_path / "shift", "--from", tmp_path / "mine.yaml")


def test_take_goes_through_a_folder_by_name_and_leaves_hidden_files(shift, raw, say):
    result = say("take", shift, raw)
    assert result.stdout.splitlines()[:2] == [
        "river-1.dat: taken as scan-001.",
        "river-2.dat: taken as scan-002.",
    ]
    assert result.exit_code == 0


def test_take_goes_on_behind_a_bad_file_and_ends_with_2(shift, raw, say):
    result = say("take", shift, raw / "nosuch.dat", raw / "river-1.dat")
    assert result.exit_code == 2
    assert "nosuch.dat: needed a file that can be read, found No such file" in result.stderr
    assert result.stdout.startswith("river-1.dat: taken as scan-001.\n")


def test_take_says_a_duplicate(shift, raw, say):
    say("take", shift, raw / "river-1.dat")
    result = say("take", shift, raw / "river-1.dat")
    assert result.exit_code == 0
    assert "the same bytes as river-1.dat (scan-001). It counts once." in result.stdout


def test_take_asks_and_hears_which_column_is_what(shift, raw, say):
    (raw / "odd.dat").write_text("# eins zwei drei\n" + rows(), encoding="utf-8")
    asked = say("take", shift, raw / "odd.dat")
    assert asked.exit_code == 2
    assert "Say it as --column energy=NAME" in asked.stderr
    columns = (
        "--column",
        "energy=eins",
        "--column",
        "i0=zwei:counts",
        "--column",
        "electron-yield=drei:counts",
    )
    assert say("take", shift, raw / "odd.dat", *columns).exit_code == 0
    with pytest.raises(UnclearColumns, match="--column: needed ROLE=NAME, found 'eins'"):
        say("take", shift, raw / "odd.dat", "--column", "eins")


def test_take_reads_by_a_profile(shift, raw, tmp_path, say):
    (raw / "odd.dat").write_text("# eins zwei drei\n" + rows(), encoding="utf-8")
    profile = tmp_path / "profile.yaml"
    profile.write_text(
        "energy: {column: eins}\nchannels: [{role: electron-yield, columns: [drei], unit: V}]\n"
    )
    assert say("take", shift, raw / "odd.dat", "--profile", profile).exit_code == 0
    profile.write_text("enrgy: {column: eins}\n")
    with pytest.raises(
        TextRefused,
        match="profile.yaml:1: needed a field that is known here, found 'enrgy'. Did you mean 'energy'",
    ):
        say("take", shift, raw / "odd.dat", "--profile", profile)


def test_a_broken_text_is_a_caution_and_files_are_still_taken(shift, raw, say):
    (shift / "experiment.yaml").write_text(TEXT + "armss: 1\n", encoding="utf-8")
    result = say("take", shift, raw)
    assert result.exit_code == 0
    assert "experiment.yaml:5: needed a field that is known here, found 'armss'" in result.stderr
    assert "the last accepted text stays in force" in result.stderr
    assert "taken as scan-002" in result.stdout


def test_take_refuses_a_place_that_is_no_experiment(tmp_path, raw, say):
    with pytest.raises(FolderRefused, match="Begin one with: edgeshift new"):
        say("take", tmp_path / "nowhere", raw)


def test_take_says_subfolders_and_empty_folders(shift, raw, say):
    (raw / "older").mkdir()
    result = say("take", shift, raw)
    assert "older: needed a file, found a folder inside a folder. Name it on the line" in result.stderr
    assert result.exit_code == 2
    empty = say("take", shift, raw / "older")
    assert "older: needed raw files in it, found none." in empty.stderr
    assert empty.exit_code == 2


def test_take_from_a_text_blames_that_text(tmp_path, raw, say):
    (tmp_path / "x.yaml").write_text("qestion: why\n", encoding="utf-8")
    with pytest.raises(TextRefused, match="^x.yaml:1: needed"):
        say("take", tmp_path / "new", raw, "--from", tmp_path / "x.yaml")


def test_practice_refuses_a_seed_below_zero(tmp_path, say):
    result = say("practice", tmp_path / "q", "--seed", "-3")
    assert result.exit_code == 2
    assert not (tmp_path / "q").exists()


def test_look_writes_plain_numbers(tmp_path, say):
    lines = "".join(f"{1_555_000 + 100 * k} {5_000_000 + k * k}\n" for k in range(40))
    (tmp_path / "big.dat").write_text("# x i0\n" + lines, encoding="utf-8")
    assert "1555000 to 1558900" in say("look", tmp_path / "big.dat").stdout


def test_look_prints_columns_guesses_and_doubts(raw, say):
    result = say("look", raw / "river-1.dat")
    assert "river-1.dat: text, 60 rows" in result.stdout
    assert "-> electron-yield" in result.stdout
    assert "take would accept this." in result.stdout


def test_look_proposes_lines_to_paste(raw, say):
    (raw / "odd.dat").write_text("# eins zwei drei\n" + rows(), encoding="utf-8")
    result = say("look", raw / "odd.dat")
    assert "doubt: No name says which column is the energy" in result.stdout
    assert "    beamline:\n      energy:" in result.stdout


def test_look_goes_on_behind_a_bad_file_and_ends_with_2(raw, say):
    (raw / "empty.dat").write_bytes(b"")
    (raw / "stage.dat").write_text("# x_mm y_mm\n" + "-1 2\n-2 2\n-3 1\n" * 5, encoding="utf-8")
    result = say("look", raw / "empty.dat", raw / "stage.dat", raw / "river-2.dat", "--json")
    assert result.exit_code == 2
    assert "empty.dat: needed a table of numbers, found an empty file" in result.stderr
    stage, river = json.loads(result.stdout)
    assert stage["not_a_scan"].startswith("Needed a column of energies")
    assert river["columns"][0] == {
        "name": "energy", "unit": None, "low": 1550.0, "high": 1609.0, "missing": 0, "guess": "energy in eV",
    }  # fmt: skip


def test_look_says_that_a_table_is_no_scan(raw, say):
    (raw / "stage.dat").write_text("# x_mm y_mm\n" + "-1 2\n-2 2\n-3 1\n" * 5, encoding="utf-8")
    assert "no scan: Needed a column of energies" in say("look", raw / "stage.dat").stdout


@pytest.mark.parametrize(
    ("words", "payload"),
    [
        (("judge", "1", "set-aside"), {"scan": "scan-001", "verdict": "set-aside"}),
        (("place", "1", "A-raw", "--spot", "2"), {"scan": "scan-001", "specimen": "A-raw", "spot": "2"}),
        (
            ("tie", "--shift-ev", "-0.5", "--sigma-ev", "0.05", "--source", "foil", "--edge", "Al K"),
            {"edge": "Al K", "scans": [], "shift_ev": -0.5, "sigma_ev": 0.05, "source": "foil"},
        ),
        (
            ("declare", "Al K", "height", "--window", "1566-1567", "--matters", "0.1"),
            {
                "edge": "Al K",
                "feature": {"kind": "height", "windows": [[1566.0, 1567.0]], "words": ""},
                "matters": 0.1,
            },
        ),
        (("write", "beam was back"), {"text": "beam was back"}),
    ],
)
def test_every_kind_of_note_enters_the_book(shift, raw, say, words, payload):
    say("take", shift, raw)
    result = say("note", shift, *words, "--role", "teacher", "--reason", "we looked", "--json")
    (event,) = json.loads(result.stdout)
    assert (event["kind"], event["role"], event["reason"]) == (words[0], "teacher", "we looked")
    assert event["payload"] == payload
    with ExperimentFolder.open(shift) as folder:
        assert folder.events()[-1].number == event["number"]


def test_a_note_says_its_line(shift, say):
    result = say("note", shift, "write", "the beam was back")
    assert result.stdout.startswith("Entered as line 2 of the book, by the host at 20")


def test_a_window_that_is_none_is_refused(shift, say):
    with pytest.raises(NoteRefused, match="the window: needed low-high in eV, found '1566'"):
        say("note", shift, "declare", "Al K", "height", "--window", "1566", "--reason", "why")


LOG = "minutes,mbar\n" + "".join(f"{t},{4.5e-5 / t:.3e}\n" for t in range(2, 26))


def test_note_pressure_reads_a_growing_log_and_ask_begin_forecasts(tmp_path, shift, say):
    (shift / "experiment.yaml").write_text(TEXT + "limits: {pressure_mbar: 1.0e-6}\n", encoding="utf-8")
    (tmp_path / "gauge.csv").write_text(LOG, encoding="utf-8")
    said = say("note", shift, "pressure", "--log", tmp_path / "gauge.csv", "--from-start")
    assert said.stdout.startswith("Entered as line ")
    (found,) = json.loads(say("ask", "begin", shift, "--json").stdout)
    assert found["verdict"] == "not-yet" and found["detail"]["cause"] == "normal-or-wet"
    assert found["detail"]["minutes"]["low"] < 20 < found["detail"]["minutes"]["high"]
    with pytest.raises(NoteRefused, match="readings that are new"):
        say("note", shift, "pressure", "--log", tmp_path / "gauge.csv")


def test_note_pressure_takes_one_reading_and_isolate_a_rise(shift, say):
    say(
        "note", shift, "pressure", "3.2e-6", "--began", "2026-03-01T10:00:00Z", "--at", "2026-03-01T10:31:00Z"
    )
    said = say("note", shift, "isolate", "0:3.2e-6", "60:9e-6", "--json")
    (event,) = json.loads(said.stdout)
    assert event["kind"] == "isolate" and event["payload"]["at_min"] == 31.0


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (("pressure",), "a reading, or --log FILE, found neither"),
        (("pressure", "3,2e-6"), "needed mbar as one number, found '3,2e-6'. Type it as 3.2e-6."),
        (("isolate", "0=1e-6"), "needed seconds:mbar, found '0=1e-6'"),
        (("decide", "write", "--minutes", "9"), "the decision: needed a reason, found none"),
        (("round", "vote"), "the vote: needed cards to choose from, found Cannot tell: nobody said how many"),
    ],
)
def test_what_is_typed_wrongly_is_refused_with_what_to_type(shift, say, words, refusal):
    with pytest.raises(NoteRefused, match=refusal):
        say("note", shift, *words)


def test_note_position_tells_the_next_begin_where_the_beam_lies(tmp_path, shift, say):
    signal = "\n".join(f"{x},{1.0 if 3 < x < 7 else 0.1}" for x in [0.25 * n for n in range(41)])
    (tmp_path / "across.csv").write_text(f"mm,signal\n{signal}\n", encoding="utf-8")
    say("note", shift, "position", "A-raw", tmp_path / "across.csv", "--at-mm", "5")
    (found,) = json.loads(say("ask", "begin", shift, "--json").stdout)
    assert found["detail"]["beam"][0]["verdict"] == "on"
    assert any("the beam lands on A-raw" in fact["what"] for fact in found["because"])


def test_ask_minutes_says_who_must_say_how_many_are_left(shift, say):
    assert "nobody said how many minutes are left" in say("ask", "minutes", shift).stdout
    assert "Nothing measured yet" in say("ask", "minutes", shift, "--left", "90").stdout


def test_plan_prints_the_day_and_the_lists_and_writes_the_sheets(shift, say):
    (shift / "experiment.yaml").write_text(TEXT + "edges: [{edge: Al K}]\n", encoding="utf-8")
    said = say("plan", shift).stdout
    assert said.startswith("Run sheet") and "Al K: " in said and "Sheets to print" in said
    (told,) = json.loads(say("plan", shift, "--left", "120", "--done", "Al K=0", "--json").stdout)
    assert told["day"]["stretches"][0]["start_min"] == 360.0 and told["lists"][0]["edge"] == "Al K"
    with pytest.raises(QuestionRefused, match="--done: needed EDGE=rounds, found 'Al K'"):
        say("plan", shift, "--left", "120", "--done", "Al K")


def test_plan_tells_of_a_material_alone_what_can_be_seen_and_asks_for_edges(shift, say):
    (shift / "experiment.yaml").write_text(TEXT + "matter: {formula: SiO2}\n", encoding="utf-8")
    said = say("plan", shift).stdout
    assert said.startswith("Name the edges") and "Within reach: O K, Si K." in said
    (told,) = json.loads(say("plan", shift, "--json").stdout)
    assert told["lists"] == [] and "Si K: " in told["feasibility"]


def test_a_tie_without_its_doubt_is_refused():
    result = CliRunner().invoke(app, ["note", "here", "tie", "--shift-ev", "0.1", "--source", "foil"])
    assert result.exit_code == 2
    assert "--sigma-ev" in result.stderr
