"""Whether a folder lies on a network share, where several machines cannot share SQLite's memory file."""

from __future__ import annotations

from pathlib import Path

NETWORK_KINDS = frozenset(
    (
        "nfs",
        "nfs4",
        "cifs",
        "smb3",
        "smbfs",
        "afs",
        "9p",
        "ceph",
        "glusterfs",
        "lustre",
        "beegfs",
        "gpfs",
        "davfs",
    )
)
"""File systems that reach over a network, as Linux names them: common practice, no source."""


def on_network_share(folder: Path, mounts: str | None = None) -> bool:
    """True where `folder` is known to lie on a network share. Where nobody can say, False.

    `mounts` is the text of the mount table (Linux: /proc/self/mounts), read from there when None.
    """
    place = folder.resolve().as_posix()
    if place.startswith("//"):
        return True
    table = _mount_table() if mounts is None else mounts
    best, kind = "", ""
    for line in table.splitlines():
        words = line.split()
        if len(words) >= 3 and len(words[1]) >= len(best) and _holds(_spelt_out(words[1]), place):
            best, kind = words[1], words[2]
    return kind in NETWORK_KINDS or kind.startswith("fuse.ssh")


def _mount_table() -> str:
    try:
        return Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def _spelt_out(mount: str) -> str:
    return mount.replace("\\040", " ").replace("\\011", "\t")


def _holds(mount: str, place: str) -> bool:
    return mount == "/" or place == mount or place.startswith(mount.rstrip("/") + "/")
