"""Which kind of drive a journal would lie on: promises hold on the computer's own disks, not on shared ones."""

from pathlib import Path

_MOUNTS = Path("/proc/self/mountinfo")
_SHARED = ("nfs", "cifs", "smb", "fuse.", "9p", "ceph", "afs", "ncpfs", "glusterfs")
_LOCAL_FUSE = frozenset({"fuse.fuseblk", "fuse.lxcfs"})


def shared_drive(path: Path | str, mounts: str | None = None) -> str | None:
    """Give the kind of network or synced drive a path is on; None for an own disk or when it is not known.

    mounts: the text of /proc/self/mountinfo (default: this system's; other systems have none).
    """
    if mounts is None:
        try:
            mounts = _MOUNTS.read_text(encoding="utf-8", errors="surrogateescape")
        except OSError:
            return None
    at = Path(path).absolute()
    best, kind = -1, ""
    for line in mounts.splitlines():
        before, _, after = line.partition(" - ")
        fields, last = before.split(), after.split()
        if len(fields) < 5 or not last:
            continue
        root = Path(_plain(fields[4]))
        if at.is_relative_to(root) and len(root.parts) >= best:  # of two on one place, the later one lies on top
            best, kind = len(root.parts), last[0]
    return kind if kind.startswith(_SHARED) and kind not in _LOCAL_FUSE else None


def _plain(text: str) -> str:
    """Undo the octal escapes of spaces, tabs, newlines and backslashes."""
    for code, char in (("\\040", " "), ("\\011", "\t"), ("\\012", "\n"), ("\\134", "\\")):
        text = text.replace(code, char)
    return text
