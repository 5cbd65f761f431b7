"""The seam for troubles: a trap changes what it means to and nothing else."""

from dataclasses import replace

from edgeshift.practice import RawFile, Trap, shift


class LeavesOut(Trap):
    """The third scan is never made."""

    def plan(self, scans, rng):
        return scans[:2] + scans[3:]


class Dims(Trap):
    """One scan's mesh reads half."""

    def reading(self, reading, rng):
        if reading.scan.number != 5:
            return reading
        return replace(reading, mesh_volt=0.5 * reading.mesh_volt)


class SavesTwice(Trap):
    """One file, chosen by lot, lands again under another name."""

    def files(self, files, rng):
        again = files[rng.integers(len(files))]
        return (*files, RawFile("copy_of_" + again.name, again.data, again.at_s + 60.0))


def test_a_trap_that_does_nothing_changes_nothing(riverbank, made):
    assert shift(riverbank, 7, (Trap(),)).files == made.files


def test_a_trap_may_change_the_plan(riverbank, made):
    files = shift(riverbank, 7, (LeavesOut(),)).files
    assert files == made.files[:2] + made.files[3:]


def test_a_trap_may_change_one_reading(riverbank, made):
    files = shift(riverbank, 7, (Dims(),)).files
    changed = [a.name for a, b in zip(files, made.files, strict=True) if a != b]
    assert changed == ["0005_AlK.dat"]


def test_a_trap_may_change_what_lands_and_keeps_its_lot(riverbank, made):
    first, second = (shift(riverbank, 7, (Dims(), SavesTwice())).files for _ in range(2))
    assert first == second
    assert len(first) == len(made.files) + 1
    assert first[-1].data in {file.data for file in first[:-1]}
