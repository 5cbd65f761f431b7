"""A gauge's log in any layout: a time and a pressure a line, the unit never guessed."""

import pytest

from edgeshift.errors import UnreadableFile
from edgeshift.formats import pressure_log
from edgeshift.formats.pressure_log import read


def test_minutes_and_millibar_are_read():
    log = read("p.txt", b"# minutes  mbar\n1.0 2.0e-5\n2.0 1.0e-5\n")
    assert log == ((1.0, 2.0), (2e-5, 1e-5), None)


@pytest.mark.parametrize(
    ("text", "mbar"),
    [
        (b"t/s,p/Pa\n60,2e-3\n120,1e-3\n", (2e-5, 1e-5)),
        (b"min;Torr\n1;1,5e-5\n2;7,5e-6\n", (1.5e-5 * 1.333224, 7.5e-6 * 1.333224)),
        (b"\xef\xbb\xbfmin\thPa\n1\t2e-5\n2\t1e-5\n", (2e-5, 1e-5)),
        (b"s, Pa\n60, 2e-3\n120, 1e-3\n", (2e-5, 1e-5)),
        (b"min p\n1 2e-5 mbar\n2 1e-5 mbar\n# mbar\n", (2e-5, 1e-5)),
    ],
)
def test_units_delimiters_and_decimal_commas_are_understood(text, mbar):
    log = read("p.csv", text)
    assert log.minutes == (1.0, 2.0)
    assert log.mbar == pytest.approx(mbar)


def test_clock_times_count_from_the_first_reading_over_midnight():
    log = read("p.txt", b"time mbar\n23:58:00 2e-5\n23:59:30 1.5e-5\n0:01:00 1e-5\n")
    assert log.minutes == pytest.approx((0.0, 1.5, 3.0))
    assert log.zero == "23:58:00"


@pytest.mark.parametrize("row", ["10:4{};{}", "10:4{} {}", "10:4{},{}", "10:4{}\t{}"])
def test_a_clock_may_stand_before_any_mark(row):
    text = "mbar\n" + "".join(row.format(*each) + "\n" for each in ((1, "2e-5"), (2, "1e-5")))
    assert read("p.txt", text.encode()).mbar == (2e-5, 1e-5)


def test_a_decimal_comma_behind_a_clock_is_no_separator():
    assert read("p.txt", b"mbar\n10:42 2,5e-5\n10:43 1,5e-5\n").mbar == (2.5e-5, 1.5e-5)


def test_dates_and_zones_are_kept():
    log = read("p.txt", b"mbar\n2026-03-01T10:00:00+01:00 2e-5\n2026-03-01T10:02:00+01:00 1e-5\n")
    assert log.zero == "2026-03-01T10:00:00+01:00" and log.minutes == (0.0, 2.0)


def test_a_half_written_last_line_waits():
    assert read("p.txt", b"# mbar\n1 2e-5\n2 1e-5\n3 9e-").minutes == (1.0, 2.0)


def test_what_is_no_pressure_is_left_out_and_the_later_word_counts():
    log = read("p.txt", b"# mbar\n1 2e-5\n2 0\n2.5 nan\n3 -1e-5\n4 1e-5\n4 9e-6\n")
    assert log == ((1.0, 4.0), (2e-5, 9e-6), None)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"1 2e-5\n2 1e-5\n", "p.txt: needed the unit of its pressures, found no unit. Say it: --unit mbar."),
        (b"# Pa Torr\n1 2e-5\n2 1e-5\n", "found pa and torr"),
        (b"# mbar\n1 2e-5 3e-5\n2 1e-5 2e-5\n", "needed one time and one pressure a line, found 3 columns"),
        (b"hello\nworld\n", "needed lines of a time and a pressure, found 0 such lines"),
        (b"\x00\x01\x02", "found binary bytes"),
        (b"", "found an empty file"),
    ],
)
def test_what_is_no_log_is_refused(text, words):
    with pytest.raises(UnreadableFile, match=words):
        read("p.txt", text)


def test_a_unit_that_was_said_counts_and_an_unknown_one_is_refused():
    assert read("p.txt", b"1 2e-3\n2 1e-3\n", "Pa").mbar == pytest.approx((2e-5, 1e-5))
    with pytest.raises(UnreadableFile, match="needed a unit of mbar, hPa, Pa, Torr or bar, found 'psi'"):
        read("p.txt", b"1 2e-3\n2 1e-3\n", "psi")


@pytest.mark.parametrize(
    ("text", "is_log"),
    [
        (b"# minutes  mbar\n1 2e-5\n2 1e-5\n", True),
        (b"t/s,p/Pa\n60,2e-3\n120,1e-3\n", True),
        (b"mbar\n10:41 2e-5\n10:42 1e-5\n", True),
        (b"# pressure: 2e-8 mbar, 1 s a point\n# energy drain\n1550 1e-10\n1551 2e-10\n", False),
        (b"# eV  s  mbar\n1550 1 1e-10\n1551 1 2e-10\n", False),
        (b"\x00\x01 no table", False),
        (b"", False),
    ],
)
def test_only_what_is_surely_a_log_is_told_from_a_scan(text, is_log):
    assert pressure_log.is_one("p.txt", text) is is_log
