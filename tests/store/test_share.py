"""A barn on a file share that is really mounted: two mounts of one folder, as two machines would have it.

The share is served on loopback by OpenSSH's sftp-server and mounted by sshfs. Where they are not installed, or
where nothing may be mounted, these tests are left out.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from store.barn import Barn
from store.checking import check
from store.disks import network_share
from store.presence import present
from tests.store.made_barns import MAY_4, event, put

SERVER = Path("/usr/lib/openssh/sftp-server")
TEN_MINUTES = 600_000_000_000

pytestmark = pytest.mark.skipif(
    not (sys.platform == "linux" and SERVER.exists() and shutil.which("sshfs") and Path("/dev/fuse").exists()),
    reason="needs Debian's sshfs and openssh-sftp-server, and a machine that may mount",
)


class Share:
    """A folder of the server's disk, mounted in two places; `lose` is what a pulled network cable does."""

    def __init__(self, folder: Path) -> None:
        self.disk, self.one, self.two = (folder / name for name in ("disk", "one", "two"))
        self._servers: list[subprocess.Popen[bytes]] = []
        for place in (self.disk, self.one, self.two):
            place.mkdir()

    def mount(self, place: Path) -> None:
        """Mounts the share; the test is left out where that may not be done."""
        with socket.create_server(("127.0.0.1", 0)) as listening:
            how = ["-o", f"directport={listening.getsockname()[1]}", f"localhost:{self.disk}", str(place)]
            mounting = subprocess.Popen(["sshfs", *how], stderr=subprocess.PIPE)
            listening.settimeout(10)
            connection, _ = listening.accept()
            with connection:
                self._servers.append(subprocess.Popen([SERVER], stdin=connection, stdout=connection))
            _, said = mounting.communicate(timeout=20)
        if mounting.returncode:
            self.end()
            pytest.skip(f"nothing can be mounted here: {said.decode().strip()}")

    def lose(self) -> None:
        """The server is gone; what was mounted stays mounted and answers nothing."""
        for server in self._servers:
            server.kill()
            server.wait()
        self._servers.clear()

    def end(self) -> None:
        """Takes the mounts away."""
        for place in (self.one, self.two):
            if os.path.ismount(place) or network_share(place):
                subprocess.run(["umount", "-l", str(place)], check=False, capture_output=True)
        self.lose()


@pytest.fixture
def share(tmp_path: Path, made_barn: Path) -> Iterator[Share]:
    """An empty barn lies on it."""
    made = Share(tmp_path)
    shutil.copy(made_barn, made.disk / "my.barn")
    made.mount(made.one)
    made.mount(made.two)
    yield made
    made.end()


def on_another_machine(barn: Path, does: str) -> str:
    """What a program on another machine prints; what makes it another one is its mark."""
    program = f"""
        import sys
        from store import presence
        presence._mark_of_machine = lambda: "another machine"
        from annotate.errors import BarnTrouble
        from store.barn import Barn
        from tests.store.made_barns import event, put
        try:
            with Barn.open({str(barn)!r}) as barn:
                {does}
        except BarnTrouble as trouble:
            print("refused:", trouble)
    """
    command = [sys.executable, "-c", textwrap.dedent(program)]
    done = subprocess.run(command, check=True, capture_output=True, text=True, timeout=60)
    return done.stdout.strip()


def made_on(place: Path) -> Barn:
    barn = Barn.open(place / "my.barn")
    barn.add_session("Juniper", MAY_4, length_ns=TEN_MINUTES)
    return barn


def test_a_barn_on_a_share_is_known_as_one(share: Share) -> None:
    made_on(share.one).close()
    assert network_share(share.one / "my.barn") == "fuse.sshfs"
    assert network_share(share.disk / "my.barn") is None
    assert any("lies on a network share" in finding.words for finding in check(share.one / "my.barn"))


def test_tags_kept_on_a_share_are_on_the_servers_disk(share: Share) -> None:
    with made_on(share.one) as barn:
        put(barn, 1, event("spook", 1), event("calm", 2))
    with Barn.open(share.disk / "my.barn") as beneath:
        assert [tag.what for tag in beneath.tags(1)] == ["spook", "calm"]


def test_a_second_machine_is_refused_while_the_first_has_the_barn_open(share: Share) -> None:
    with made_on(share.one) as barn:
        put(barn, 1, event("spook", 1))
        said = on_another_machine(share.two / "my.barn", "print(barn.sessions())")
        assert said.startswith("refused: my.barn is open on the machine ")
        assert "two machines cannot use it at once" in said
        assert len(present(barn.path)) == 1
        put(barn, 1, event("calm", 2))
        assert [tag.what for tag in barn.tags(1)] == ["spook", "calm"]


def test_machines_that_take_turns_see_each_others_tags(share: Share) -> None:
    with made_on(share.one) as barn:
        put(barn, 1, event("spook", 1))
    does = 'put(barn, 1, event("calm", 2)); print([tag.what for tag in barn.tags(1)])'
    assert on_another_machine(share.two / "my.barn", does) == "['spook', 'calm']"
    with Barn.open(share.one / "my.barn") as again:
        assert [tag.what for tag in again.tags(1)] == ["spook", "calm"]


def test_a_share_that_is_lost_is_said_and_no_acknowledged_tag_goes(share: Share) -> None:
    barn = made_on(share.one)
    put(barn, 1, event("spook", 1))
    share.lose()
    for second in (2, 3):
        with pytest.raises(BarnTrouble, match=r"disk failed|cannot be opened"):
            put(barn, 1, event("buck", second))
    with suppress(BarnTrouble):
        assert [tag.what for tag in barn.tags(1)] == ["spook"]
    barn.close()
    with Barn.open(share.disk / "my.barn") as beneath:
        assert [tag.what for tag in beneath.tags(1)] == ["spook"]
    assert check(share.disk / "my.barn") == []
