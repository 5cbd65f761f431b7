"""A network share is known by its entry in the mount table."""

from pathlib import Path

import pytest

from edgeshift.folder.shares import on_network_share

TABLE = """\
/dev/sda1 / ext4 rw 0 0
server:/shift /mnt/shift nfs4 rw 0 0
/dev/sdb1 /mnt/shift/local ext4 rw 0 0
//box/pots /mnt/pots\\040here cifs rw 0 0
me@box: /mnt/ssh fuse.sshfs rw 0 0
"""


@pytest.mark.parametrize(
    ("folder", "expected"),
    [
        ("/home/clay", False),
        ("/mnt/shift", True),
        ("/mnt/shift/day-1", True),
        ("/mnt/shifted", False),
        ("/mnt/shift/local/day-1", False),
        ("/mnt/pots here/a", True),
        ("/mnt/ssh/a", True),
    ],
)
def test_the_longest_mount_that_holds_the_folder_decides(folder, expected):
    assert on_network_share(Path(folder), TABLE) is expected


def test_without_a_mount_table_nobody_can_say():
    assert on_network_share(Path("/home/clay"), "") is False
