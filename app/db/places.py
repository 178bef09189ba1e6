"""Whether a folder is a place for a database: not one that a network or a syncing program stands behind.

There a lock is a promise nobody keeps, and a file may be put back half old and half new. Looked at is what the system
says it has mounted, and how folders are called that programs keep the same on several machines.
"""

import re
from collections.abc import Iterable
from pathlib import Path

MOUNTS = Path("/proc/self/mounts")
NETWORK = {
    "nfs",
    "nfs4",
    "cifs",
    "smb3",
    "smbfs",
    "ncpfs",
    "afs",
    "9p",
    "davfs",
    "ceph",
    "glusterfs",
    "lustre",
    "beegfs",
}
NETWORK |= {f"fuse.{name}" for name in ("davfs2", "sshfs", "rclone", "gvfsd-fuse", "glusterfs")}
# beginnings of folder names, lower case: as the programs that sync them call the folders they make (from memory)
SYNCED = ("dropbox", "onedrive", "google drive", "googledrive", "mobile documents", "icloud", "nextcloud", "owncloud")
MARKS = (".dropbox", ".stfolder", ".sync", ".owncloudsync.log", ".nextcloudsync.log")  # what they leave inside


def unsafe_place(folder: Path, *, mounts: Path = MOUNTS) -> str:
    """Why a folder is no place for the data, as a sentence; empty where nothing speaks against it."""
    where = folder.resolve()
    behind = _synced(where)
    if behind is not None:
        return (
            f"The data lies in {behind}, a folder that another program keeps the same on several machines. It may put "
            "back half of a save, and then work is lost. Move the data to a folder of this machine only, and make "
            "backups to that folder instead."
        )
    kind = _kind_of(where, mounts)
    if kind in NETWORK:
        return (
            f"The data lies on a disk of the network ({kind}), {where}. Two machines may write there at once without "
            "knowing of each other, and then work is lost. Move the data to a disk of this machine, and make backups "
            "to the network instead."
        )
    return ""


def _synced(where: Path) -> Path | None:
    for one in (where, *where.parents):
        named = one.name.lower().startswith(SYNCED)
        if named or any((one / mark).exists() for mark in MARKS):
            return one
    return None


def _kind_of(where: Path, mounts: Path) -> str:
    """The kind of file system a path lies on: that of the longest mount above it; empty where nobody tells."""
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    found = [(at, kind) for at, kind in _mounted(lines) if where == at or at in where.parents]
    return max(found, key=lambda one: len(one[0].parts))[1] if found else ""


def _mounted(lines: Iterable[str]) -> Iterable[tuple[Path, str]]:
    for line in lines:
        words = line.split(" ")
        if len(words) > 2:
            yield Path(re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), words[1])), words[2]
