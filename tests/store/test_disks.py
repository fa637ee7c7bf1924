from __future__ import annotations

from pathlib import Path

import pytest

from store.disks import network_share

# In the form that proc(5) gives for /proc/pid/mountinfo.
MOUNTS = r"""22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
40 22 0:50 / /srv/barns rw shared:2 - nfs4 stable:/barns rw,vers=4.2
41 22 0:51 / /srv/tack\040room rw - cifs //stable/tack rw
42 40 8:2 / /srv/barns/disk rw shared:3 master:1 - xfs /dev/sdb1 rw
43 22 0:52 / /srv/twice rw - nfs stable:/twice rw
44 22 8:3 / /srv/twice rw - ext4 /dev/sdc1 rw
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/home/sam/my.barn", None),
        ("/srv/barns/my.barn", "nfs4"),
        ("/srv/tack room/my.barn", "cifs"),
        ("/srv/barns/disk/my.barn", None),
        ("/srv/barnsmore/my.barn", None),
        ("/srv/twice/my.barn", None),
    ],
)
def test_a_network_share_is_known_by_the_deepest_mount(tmp_path: Path, path: str, kind: str | None) -> None:
    (tmp_path / "mountinfo").write_text(MOUNTS, encoding="utf-8")
    assert network_share(Path(path), tmp_path / "mountinfo") == kind


def test_where_mounts_cannot_be_told_no_share_is_claimed(tmp_path: Path) -> None:
    assert network_share(Path("/srv/my.barn"), tmp_path / "gone") is None
