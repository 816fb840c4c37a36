"""Which kind of drive a journal would lie on: promises hold on the computer's own disks, not on shared ones."""

from collections.abc import Sequence
from pathlib import Path

from guide import system

_SHARED = ("nfs", "cifs", "smb", "fuse.", "9p", "ceph", "afs", "ncpfs", "glusterfs", "webdav", "network")
_LOCAL_FUSE = frozenset({"fuse.fuseblk", "fuse.lxcfs"})


def shared_drive(path: Path | str, mounts: Sequence[tuple[str, str]] | None = None) -> str | None:
    """Give the kind of network or synced drive a path is on; None for an own disk or when it is not known.

    mounts: where drives hang in and what kind each is (default: this system's).
    """
    at = Path(path).absolute()
    best, kind = -1, ""
    for where, what in system.mounts(at) if mounts is None else mounts:
        root = Path(where)
        if at.is_relative_to(root) and len(root.parts) >= best:  # of two on one place, the later one lies on top
            best, kind = len(root.parts), what
    return kind if kind.startswith(_SHARED) and kind not in _LOCAL_FUSE else None
