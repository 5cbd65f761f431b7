"""kill -9 and a full disk: whatever was acknowledged is there, and the rest can be taken again."""

import os
import random
import subprocess
import sys

import pytest
from benchmark_modules import benchmark

from edgeshift.actions.desk import Desk
from edgeshift.actions.new import new
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.shift_state import replay

posix_only = pytest.mark.skipif(
    os.name != "posix", reason="limits of a process are a matter of POSIX systems"
)


@pytest.fixture
def kill_take():
    """The benchmark as a module: the same kills, a tenth as many."""
    return benchmark("kill_take")


def test_ten_kills_at_random_instants_lose_nothing_acknowledged(kill_take, tmp_path):
    outcomes = kill_take.many(10, random.SystemRandom().randrange(10**6), tmp_path)
    assert [outcome.losses for outcome in outcomes] == [()] * 10
    assert any(0 < outcome.acknowledged < kill_take.FILES for outcome in outcomes)


def test_the_check_would_notice_a_loss(kill_take, tmp_path):
    files = kill_take.source_files(tmp_path / "instrument")
    new(tmp_path / "shift", "question: what is lost?\n", Desk()).close()
    (tmp_path / "shift" / "raw" / "stranger.dat").write_bytes(b"x")
    found = kill_take.losses(tmp_path / "shift", files, ["river-00.dat"])
    assert found == [
        "river-00.dat was acknowledged and is gone",
        f"raw/ holds {len(files) + 1} files instead of {len(files)}",
    ]


FULL = """\
import resource, sys
from edgeshift.cli import main
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv.pop(1)),) * 2)
main()
"""


@posix_only
@pytest.mark.parametrize("limit_bytes", [4_000, 40_000])
def test_a_disk_with_no_room_left_is_refused_kindly_and_loses_nothing(kill_take, tmp_path, limit_bytes):
    """A limit on the size of a file answers as a full disk does: at the copy, or at the book."""
    files = kill_take.source_files(tmp_path / "instrument")
    shift = tmp_path / "shift"
    new(shift, "question: what is lost?\n", Desk()).close()
    run = subprocess.run(
        [sys.executable, "-c", FULL, str(limit_bytes), "take", str(shift), str(tmp_path / "instrument")],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert run.returncode == 2
    assert "Traceback" not in run.stderr
    assert "needed room on the disk, found none left. Free some room and do it again" in run.stderr
    told = [line.split(": ")[0] for line in run.stdout.splitlines() if kill_take.ACKNOWLEDGED in line]
    with ExperimentFolder.open(shift) as folder:
        assert sorted(a.file for a in replay(folder.events()).arrivals.values()) == sorted(told)
    assert kill_take.losses(shift, files, told) == []
