from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from store.barn import Barn
from store.presence import present
from store.safety import backup, restore

HOLD = (
    "import sys; from store.barn import Barn; "
    "barn = Barn.open(sys.argv[1]); print('open', flush=True); input()"
)


ADD = (
    "import sys; from store.barn import Barn; barn = Barn.open(sys.argv[1]); "
    "barn.add_horse('Juniper'); print(barn.other_windows, flush=True); input(); barn.close()"
)


def test_a_second_window_of_this_machine_is_noticed_and_works(barn: Barn) -> None:
    assert barn.other_windows == 0
    command = [sys.executable, "-c", ADD, str(barn.path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as window:
        assert window.stdout is not None
        assert window.stdout.readline() == b"1\n"
        assert barn.other_windows == 1
        window.communicate(b"\n")
    assert barn.other_windows == 0
    assert [horse.name for horse in barn.horses()] == ["Juniper"]


def test_a_window_of_another_machine_is_refused_and_named(barn_path: Path) -> None:
    file = barn_path.with_name(".my.barn.0011.open")
    said = {"machine": "tack-room", "process": 7, "since": "2026-05-04 09:30 UTC"}
    file.write_text(json.dumps(said), encoding="utf-8")
    before = barn_path.read_bytes()
    with pytest.raises(BarnTrouble, match=r"open on the machine tack-room since 2026-05-04 09:30 UTC"):
        Barn.open(barn_path)
    backup(barn_path, barn_path.with_name("saved.barn"))
    with pytest.raises(BarnTrouble, match="open on the machine tack-room"):
        restore(barn_path.with_name("saved.barn"), barn_path)
    assert barn_path.read_bytes() == before
    file.unlink()
    Barn.open(barn_path).close()


@pytest.mark.skipif(os.name == "nt", reason="kills as POSIX does")
def test_a_window_that_was_killed_is_not_taken_for_a_living_one(barn_path: Path) -> None:
    command = [sys.executable, "-c", HOLD, str(barn_path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as window:
        assert window.stdout is not None
        assert window.stdout.readline() == b"open\n"
        assert [one.process for one in present(barn_path)] == [window.pid]
        window.send_signal(signal.SIGKILL)
    assert len(list(barn_path.parent.glob(".my.barn.*.open"))) == 1
    assert present(barn_path) == []
    assert list(barn_path.parent.glob(".my.barn.*.open")) == []


@pytest.mark.parametrize("content", [b"", b"[]", b"{", b"null", b"\xff", b'{"machine": 3}'])
def test_a_file_that_says_nonsense_is_survived(barn_path: Path, content: bytes) -> None:
    barn_path.with_name(".my.barn.0011.open").write_bytes(content)
    if b"machine" in content:
        with pytest.raises(BarnTrouble, match="open on the machine 3"):
            Barn.open(barn_path)
    else:
        with Barn.open(barn_path) as barn:
            assert barn.other_windows == 0
