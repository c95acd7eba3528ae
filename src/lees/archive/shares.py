"""Tells whether a folder lies on a network share, where SQLite must not live.

SQLite's write-ahead log needs memory shared between the programs that use it, and locks that hold:
neither is there across a network (SQLite documentation, "Write-Ahead Logging", section 1, and "How
To Corrupt An SQLite Database File", section 2.1).
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

_KINDS = """
    nfs nfs4 cifs smb smb2 smb3 smbfs afs afpfs ncpfs 9p ceph glusterfs lustre gpfs ocfs2 davfs
    fuse.sshfs fuse.rclone fuse.s3fs fuse.davfs2 fuse.glusterfs fuse.ceph fuse.gvfsd-fuse
    fuse.smbnetfs webdav sshfs macfuse osxfuse prl_fs vboxsf vmhgfs fuse.vmhgfs-fuse
"""
NETWORK_KINDS = frozenset(_KINDS.split())


def network_share(folder: Path) -> str | None:
    """Return the kind of network share a folder lies on, or nothing where it is on a disk."""
    place = folder.resolve()
    if sys.platform == "win32":
        return _windows_share(place)
    table = Path("/proc/self/mountinfo")
    if table.exists():
        return kind_of_share(place, linux_mounts(table.read_text(errors="replace")))
    try:
        listed = subprocess.run(["/sbin/mount"], capture_output=True, text=True, timeout=10).stdout
    except (OSError, subprocess.TimeoutExpired):
        return None
    return kind_of_share(place, other_mounts(listed))


def kind_of_share(place: Path, mounts: dict[str, str]) -> str | None:
    """Return the kind of file system nearest above a place, where it is a network's."""
    for parent in (place, *place.parents):
        if kind := mounts.get(str(parent)):
            return kind if kind in NETWORK_KINDS else None
    return None


def linux_mounts(mountinfo: str) -> dict[str, str]:
    r"""Return mount points and kinds from the text of `/proc/self/mountinfo` (proc(5)).

    >>> linux_mounts("36 35 0:3 / /srv/our\\040share rw,noatime shared:1 - nfs4 box:/x rw")
    {'/srv/our share': 'nfs4'}
    """
    mounts = {}
    for line in mountinfo.splitlines():
        before, _, after = line.partition(" - ")
        fields = before.split()
        if len(fields) > 4 and after.split():
            point = re.sub(r"\\([0-7]{3})", lambda code: chr(int(code[1], 8)), fields[4])
            mounts[point] = after.split()[0]
    return mounts


def other_mounts(listed: str) -> dict[str, str]:
    """Return mount points and kinds from what `mount` prints on BSD systems.

    >>> other_mounts("//club@box/x on /Volumes/our share (smbfs, nodev)")
    {'/Volumes/our share': 'smbfs'}
    """
    found = re.findall(r"^.+? on (.+) \(([\w.]+)[,)]", listed, flags=re.MULTILINE)
    return dict(found)


def _windows_share(place: Path) -> str | None:
    if str(place).startswith("\\\\"):
        return "a path of another machine"
    if sys.platform == "win32":
        import ctypes

        if ctypes.windll.kernel32.GetDriveTypeW(place.anchor) == 4:
            return "a network drive"
    return None
