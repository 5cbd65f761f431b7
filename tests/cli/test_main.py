"""The command line: exit codes, sentences on standard error, and a quick start."""

import json
import subprocess
import sys

import pytest
import typer

from edgeshift import cli
from edgeshift.cli import application
from edgeshift.errors import Refusal


def run(*words: str, **more) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, *words], capture_output=True, text=True, timeout=60, check=False, **more
    )


def edgeshift(*words: str, **more) -> subprocess.CompletedProcess:
    return run("-m", "edgeshift.cli", *map(str, words), **more)


def outcome(monkeypatch, capsys, fault: Exception) -> tuple[int, str]:
    """Exit code and standard error of a run in which the application raises."""

    def app():
        raise fault

    monkeypatch.setattr(application, "app", app)
    with pytest.raises(SystemExit, match="[12]") as ended:
        cli.main()
    return ended.value.code, capsys.readouterr().err


def test_a_refusal_is_its_sentence_and_exit_code_2(monkeypatch, capsys):
    monkeypatch.delenv("EDGESHIFT_DEBUG", raising=False)
    code, err = outcome(monkeypatch, capsys, Refusal("pot A", "two units", "one", "Measure another."))
    assert (code, err) == (2, "pot A: needed two units, found one. Measure another.\n")


def test_a_fault_of_ours_is_exit_code_1_without_a_traceback(monkeypatch, capsys):
    monkeypatch.delenv("EDGESHIFT_DEBUG", raising=False)
    code, err = outcome(monkeypatch, capsys, ZeroDivisionError("division by zero"))
    assert code == 1
    assert err.startswith("This is a fault of ours (ZeroDivisionError: division by zero).\n")
    assert "Traceback" not in err


def test_help_imports_nothing_scientific():
    heavy = ("numpy", "scipy", "h5py", "pydantic", "ruamel", "typst", "sqlite3", "rich")
    code = (
        "import sys; sys.argv = ['edgeshift', '--help']\n"
        "from edgeshift.cli import main\n"
        "try: main()\n"
        f"except SystemExit: print([name for name in {heavy!r} if name in sys.modules], file=sys.stderr)\n"
    )
    result = run("-c", code)
    assert result.stderr.strip() == "[]"
    assert "practice" in result.stdout


def test_every_verb_and_option_has_help():
    def commands(group, path=()):
        for name, command in getattr(group, "commands", {}).items():
            yield (*path, name), command
            yield from commands(command, (*path, name))

    found = dict(commands(typer.main.get_command(application.app)))
    verbs = {"practice", "new", "take", "look", "plan", "ask", "stage", "note", "shelf", "map"}
    verbs |= {"story", "report", "pack", "prove"}
    assert {path[0] for path in found} == verbs
    for path, command in found.items():
        assert command.help, path
        assert all(getattr(p, "help", None) for p in command.params), path
        if not getattr(command, "commands", None) and path != ("stage",):  # it serves, and prints no answer
            assert "--json" in {opt for p in command.params for opt in p.opts}, path


def test_a_verb_that_is_not_there_is_refused_with_exit_code_2():
    result = edgeshift("tkae")
    assert result.returncode == 2
    assert "tkae" in result.stderr


def test_a_session_from_new_to_note(tmp_path):
    shift, raw = tmp_path / "shift", tmp_path / "river.dat"
    (tmp_path / "mine.yaml").write_text("question: does the fire change the clay?\n", encoding="utf-8")
    rows = "\n".join(f"{1550 + n} {100000 + n % 7} {20000 + 400 * n + n % 5}" for n in range(60))
    raw.write_text("# energy i0 tey\n" + rows + "\n", encoding="utf-8")

    assert "shift is ready" in edgeshift("new", shift, "--from", tmp_path / "mine.yaml").stdout
    (taken,) = json.loads(edgeshift("take", shift, raw, "--json").stdout)
    assert (taken["outcome"], taken["scans"]) == ("taken", ["scan-001"])

    judged = edgeshift(
        "note", shift, "judge", "1", "set-aside", "--role", "student", "--reason", "odd", "--json"
    )
    (event,) = json.loads(judged.stdout)
    assert (event["kind"], event["role"], event["payload"]["scan"]) == ("judge", "student", "scan-001")

    refused = edgeshift("note", shift, "judge", "9", "keep", "--reason", "why")
    assert refused.returncode == 2
    assert refused.stderr == (
        "'9': needed a scan in this experiment, found 1 of other names. Name it by its file or its number.\n"
    )
