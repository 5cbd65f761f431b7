"""Looking says what is in a file, and doubts aloud."""

import pytest

from edgeshift.actions.look import look
from edgeshift.errors import UnreadableFile
from edgeshift.formats.experiment_text import load


def scan(columns: str, row) -> bytes:
    lines = [f"# {columns}"] + [" ".join(f"{value:.6g}" for value in row(n)) for n in range(60)]
    return ("\n".join(lines) + "\n").encode()


def clear(n: int) -> tuple[float, ...]:
    return (1550 + n, 1e5 + 37 * (n % 7), 2e4 + 400 * n + 3 * (n % 5))


def test_columns_come_with_range_and_guess():
    (seen,) = look("clay.dat", scan("energy i0 tey", clear))
    assert [(c.name, c.guess.split()[0]) for c in seen.columns] == [
        ("energy", "energy"),
        ("i0", "i0"),
        ("tey", "electron-yield"),
    ]
    assert (seen.columns[0].low, seen.columns[0].high, seen.rows) == (1550.0, 1609.0, 60)
    assert seen.certain


def test_a_dead_column_is_doubted_aloud():
    (seen,) = look("clay.dat", scan("energy i0 tey", lambda n: (*clear(n)[:2], 0.0)))
    assert not seen.certain
    assert any("tey" in doubt and "zeros" in doubt for doubt in seen.doubts)


def test_the_proposal_can_be_pasted_into_the_experiment_text():
    (seen,) = look("clay.dat", scan("energy i0 tey", clear))
    assert load(seen.profile_text, "pasted").beamline.energy.column == "energy"


def test_a_table_that_is_no_scan_is_shown_and_says_why():
    (seen,) = look("stage.dat", scan("x_mm y_mm", lambda n: (-n, n % 3)))
    assert seen.not_a_scan.startswith("Needed a column of energies between 30 and 30000 eV")
    assert [column.guess for column in seen.columns] == [None, None]


def test_a_column_without_a_number_has_no_range():
    (seen,) = look("clay.dat", scan("energy i0 tey bad", lambda n: (*clear(n), float("nan"))))
    assert (seen.columns[3].low, seen.columns[3].high, seen.columns[3].missing) == (None, None, 60)


def test_a_file_that_is_no_table_is_refused():
    with pytest.raises(UnreadableFile, match="empty.dat: needed a table of numbers, found an empty file"):
        look("empty.dat", b"")


def test_an_angle_without_spacing_leaves_a_line_to_fill_in():
    rows = "".join(f"{20 - k * 0.01:.3f} {1000 + k} {k * k}\n" for k in range(40))
    (seen,) = look("angle.dat", ("# angle i0 fluo\n" + rows).encode())
    assert "{column: angle, unit: deg, d_spacing_angstrom: }  # type the crystal spacing" in seen.profile_text
    filled = seen.profile_text.replace("d_spacing_angstrom: }", "d_spacing_angstrom: 3.1356}")
    assert load(filled, "experiment.yaml").beamline.energy.d_spacing_angstrom == 3.1356
    assert load(seen.profile_text, "experiment.yaml").beamline.energy.d_spacing_angstrom is None


def test_a_spacing_behind_the_name_of_the_crystal_is_read():
    rows = "".join(f"{20 - k * 0.01:.3f} {1000 + k} {k * k}\n" for k in range(40))
    (seen,) = look("angle.dat", ("# Si(111) d = 3.1356 A\n# angle i0 fluo\n" + rows).encode())
    assert "d_spacing_angstrom: 3.1356" in seen.profile_text
