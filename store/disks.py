"""Whether a file lies on a network share, where writing ahead is not safe: its readers must share memory."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

MOUNTS: Final = Path("/proc/self/mountinfo")
_SHARES: Final = re.compile(r"nfs4?|cifs|smb[23]?|smbfs|afs|9p|ceph|davfs|fuse\.(sshfs|davfs2?|rclone)")


def network_share(path: Path, mounts: Path = MOUNTS) -> str | None:
    """The kind of share that holds `path`: 'nfs', 'cifs' ...; None for a disk, or where it cannot be told."""
    if path.drive.startswith("\\\\"):
        return "cifs"
    try:
        lines = mounts.read_text(encoding="utf-8", errors="surrogateescape").splitlines()
    except OSError:
        return None
    path = path.resolve()
    holding = [mount for mount in map(_mount, lines) if path.is_relative_to(mount[0])]
    # The deepest mount holds it; of two at one place, the later hides the earlier.
    kind = max(reversed(holding), key=lambda mount: len(mount[0].parts), default=(path, ""))[1]
    return kind if _SHARES.fullmatch(kind) else None


def _mount(line: str) -> tuple[Path, str]:
    """(where, kind of file system) of a line as proc(5) describes mountinfo."""
    before, _, after = line.partition(" - ")
    where = re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), before.split(" ")[4])
    return Path(where), after.split(" ")[0]
