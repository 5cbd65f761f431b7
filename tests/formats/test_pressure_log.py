"""A gauge's log in any layout: a time and a pressure a line, the unit never guessed."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.errors import UnreadableFile
from edgeshift.formats import pressure_log
from edgeshift.formats.pressure_log import MBAR, read


def test_minutes_and_millibar_are_read():
    log = read("p.txt", b"# minutes  mbar\n1.0 2.0e-5\n2.0 1.0e-5\n")
    assert log == ((1.0, 2.0), (2e-5, 1e-5), None, ())


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
    assert log[:3] == ((1.0, 4.0), (2e-5, 9e-6), None)
    assert log.complaints == ("3 lines with a pressure of zero, less or none: left out.",)


def test_times_that_run_back_and_lines_of_words_are_said():
    log = read("p.csv", b"minutes,mbar\n3,1e-5\nx,y\n5,8e-6\n4,9e-6\n7,6e-6\n8,\n9,5e-6\n")
    assert log.minutes == (3.0, 4.0, 5.0, 7.0, 9.0)
    assert log.complaints == (
        "2 lines without a time and a pressure: left out.",
        "1 line with a time before the line above: put in order.",
    )


@pytest.mark.parametrize("head", ["mbar,minutes", "pressure [mbar], time [min]", "p/mbar,t/min"])
def test_columns_are_read_by_their_heading(head):
    text = f"{head}\n1.0e-5,2\n7.2e-6,3\n5.2e-6,4\n"
    assert read("p.csv", text.encode())[:2] == ((2.0, 3.0, 4.0), (1.0e-5, 7.2e-6, 5.2e-6))


def test_columns_the_wrong_way_round_without_a_heading_are_refused():
    with pytest.raises(UnreadableFile, match="needed times that rise, found times that run back at 2 of 3"):
        read("p.csv", b"# mbar\n1.0e-5,2\n7.2e-6,3\n5.2e-6,4\n")


def test_a_comma_that_could_mean_two_things_is_refused():
    with pytest.raises(UnreadableFile, match="needed one time and one pressure a line, found 3 columns"):
        read("p.csv", b"time,mbar\n22:01:00,2,8e-5\n22:02:00,1,4e-5\n")


FIRST = datetime(2026, 11, 25, 22, 1)
TIMES = {
    "%Y-%m-%dT%H:%M:%S": True, "%Y-%m-%d %H:%M:%S": True, "%Y-%m-%dT%H:%M:%SZ": True, "%H:%M:%S": True,
    "%H:%M": True, "%Y-%m-%dT%H:%M": True, "%H:%M:%S.125": True, "%H:%M:%S,125": True, "minutes": False,
}  # fmt: skip
"""How a logger may write its times, and whether that is a clock."""


@given(
    st.sampled_from(sorted(TIMES)),
    st.sampled_from([",", ", ", ";", "; ", "\t", " ", "   "]),
    st.sampled_from([".", ","]),
    st.sampled_from(["{:.3e}", "{:.1e}", "{:.0e}", "{:.7f}", "{:g}"]),
    st.sampled_from(["mbar", "Torr", "Pa"]),
    st.lists(st.integers(10, 99999), min_size=2, max_size=6),
)
def test_however_a_log_is_written_its_readings_are_these_or_it_is_refused(
    clock, separator, decimal, form, unit, counts
):
    """Never other numbers, and no reading left out in silence."""
    minutes = [0.0 + n for n in range(len(counts))]
    values = [float(form.format(count * 1e-7)) for count in counts]
    lines = [f"time{separator}{unit}"]
    for at, value in zip(minutes, values, strict=True):
        when = (FIRST + timedelta(minutes=at)).strftime(clock) if TIMES[clock] else f"{at:.1f}"
        written = (
            when if TIMES[clock] else when.replace(".", decimal),
            form.format(value).replace(".", decimal),
        )
        lines.append(separator.join(written))
    text = "\n".join(lines) + "\n"
    try:
        log = read("gauge.csv", text.encode())
    except UnreadableFile:
        assert separator.strip() == decimal == ",", text
        return
    assert log.minutes == pytest.approx(minutes)
    assert log.mbar == pytest.approx([value * MBAR[unit.lower()] for value in values], rel=1e-9)
    assert not log.complaints


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
