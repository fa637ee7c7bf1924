"""Making a machine ready: what is run, what is said, and that a second run does nothing.

Only the edge is faked: no process is started, and the start over is caught.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from app import ready
from app.ready import SystemPart, get_ready

on_debian = pytest.mark.skipif(not Path("/etc/debian_version").exists(), reason="apt-get is Debian's")


class StartedOver(Exception):
    """The process would now be another one."""


class Machine:
    """A checkout without an environment, on a system with the programs that are put into `bin`."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.venv = root / ".venv"
        self.bin = root / "bin"
        self.bin.mkdir()
        self.commands: list[list[str]] = []
        self.fails: dict[str, str] = {}
        self.apt_brings: str = ""
        (root / "pyproject.toml").write_text("[project]\n")

    def has(self, program: str) -> None:
        """Puts a program on the path."""
        (self.bin / program).write_text("#!/bin/sh\n")
        (self.bin / program).chmod(0o755)

    def run(self, command: Sequence[str], **_: object) -> subprocess.CompletedProcess[str]:
        """In place of `subprocess.run`."""
        words = [str(word) for word in command]
        self.commands.append(words)
        for part, error in self.fails.items():
            if part in words:
                return subprocess.CompletedProcess(words, 1, "", error)
        if words[1:3] == ["-m", "venv"]:
            python = self.venv / "bin" / "python"
            python.parent.mkdir(parents=True)
            python.touch()
        if "apt-get" in words and "install" in words and self.apt_brings:
            self.has(self.apt_brings)
        return subprocess.CompletedProcess(words, 0, "", "")

    def ran(self, *part: str) -> list[list[str]]:
        """The commands that hold these words."""
        return [command for command in self.commands if set(part) <= set(command)]


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Machine:
    made = Machine(tmp_path)
    started = StartedOver

    def start_over(path: str, command: list[str]) -> None:
        raise started([path, *command])

    monkeypatch.setattr(ready, "ROOT", tmp_path)
    monkeypatch.setattr(subprocess, "run", made.run)
    monkeypatch.setattr(os, "execv", start_over)
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(sys, "argv", ["__main__.py", "demo", "--json"])
    monkeypatch.setenv("PATH", str(made.bin))
    return made


def start(extra: str = "", system: Sequence[SystemPart] = ()) -> None:
    """One run of the command, up to where it would start over."""
    with pytest.raises(StartedOver):
        get_ready("app", extra=extra, system=system)


def stopped(capsys: pytest.CaptureFixture[str], system: Sequence[SystemPart] = ()) -> str:
    """What is said by a run that ends with exit code 1."""
    with pytest.raises(SystemExit) as ended:
        get_ready("app", system=system)
    assert ended.value.code == 1
    return capsys.readouterr().err


def test_a_fresh_machine_gets_an_environment_and_the_command_starts_over_in_it(machine: Machine) -> None:
    with pytest.raises(StartedOver) as caught:
        get_ready("app")
    python = str(machine.venv / "bin" / "python")
    assert machine.ran("venv", "--clear")
    assert machine.ran(python, "pip", "install", "--editable", str(machine.root))
    assert caught.value.args[0] == [python, python, "-m", "app", "demo", "--json"]


def test_a_second_run_installs_nothing(machine: Machine, capsys: pytest.CaptureFixture[str]) -> None:
    start()
    machine.commands.clear()
    capsys.readouterr()
    start()
    assert machine.commands == []
    assert capsys.readouterr().err == ""


def test_inside_a_complete_environment_it_just_returns(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    start()
    machine.commands.clear()
    monkeypatch.setattr(sys, "prefix", str(machine.venv))
    get_ready("app")
    assert machine.commands == []


def test_a_changed_list_of_libraries_installs_anew_into_the_same_environment(machine: Machine) -> None:
    start()
    machine.commands.clear()
    (machine.root / "pyproject.toml").write_text('[project]\nname = "other"\n')
    start()
    assert machine.ran("install")
    assert not machine.ran("venv")


def test_the_tests_bring_their_own_libraries_and_the_windows(machine: Machine) -> None:
    start()
    machine.commands.clear()
    start(extra="tests")
    assert machine.ran("install", f"{machine.root}[tests]")
    machine.commands.clear()
    start()
    start(extra="tests")
    assert machine.commands == []


def test_libraries_that_cannot_be_installed_are_said_in_a_sentence_with_the_command(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.fails["install"] = "Looking in indexes\nERROR: No matching distribution found for av\n"
    words = stopped(capsys).splitlines()
    assert words[-2] == ("The libraries could not be installed: ERROR: No matching distribution found for av")
    assert words[-1].startswith(f"The command was: {machine.venv / 'bin' / 'python'} -m pip install")


def test_a_failed_installation_is_tried_again_by_the_next_run(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.fails["install"] = "ERROR: no network\n"
    stopped(capsys)
    machine.fails.clear()
    machine.commands.clear()
    start()
    assert machine.ran("install")


def test_where_python_came_without_pip_the_one_that_runs_lends_its_own(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    machine.fails["--version"] = "No module named pip"
    start()
    assert machine.ran("venv", "--without-pip")
    assert machine.ran(sys.executable, "pip", "--python", "install")


def test_an_old_python_is_named(
    machine: Machine, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ready, "OLDEST_PYTHON", (9, 1))
    assert stopped(capsys).startswith("Python 9.1 or newer is needed; this is 3.")
    assert machine.commands == []


LACKING = SystemPart("stable-door", "stable-door-dev")


def test_a_part_that_the_system_has_is_not_installed(machine: Machine) -> None:
    machine.has("stable-door")
    start(system=[LACKING])
    assert not machine.ran("apt-get")


@on_debian
def test_as_root_what_the_system_lacks_is_installed(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.has("apt-get")
    machine.apt_brings = "stable-door"
    start(system=[LACKING])
    assert machine.ran("apt-get", "install", "-y", "stable-door-dev")
    assert "Installing system libraries: stable-door-dev" in capsys.readouterr().err


@on_debian
def test_with_sudo_that_asks_for_no_password_it_is_used(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    machine.has("apt-get")
    machine.has("sudo")
    machine.apt_brings = "stable-door"
    start(system=[LACKING])
    assert machine.ran("sudo", "-n", "apt-get", "install", "stable-door-dev")


@on_debian
def test_without_the_right_to_install_the_exact_line_to_run_is_said(
    machine: Machine, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    machine.has("apt-get")
    words = stopped(capsys, [LACKING, SystemPart("libtack.so.9", "libtack9")]).splitlines()
    assert words[-1] == "sudo apt-get install -y --no-install-recommends libtack9 stable-door-dev"
    assert machine.commands == []


@on_debian
def test_a_system_library_that_is_still_missing_afterwards_is_named(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.has("apt-get")
    words = stopped(capsys, [LACKING])
    assert "still missing: stable-door" in words
    assert not machine.ran("pip")


def test_on_another_system_the_missing_parts_are_named(
    machine: Machine, capsys: pytest.CaptureFixture[str]
) -> None:
    words = stopped(capsys, [LACKING, SystemPart("libtack.so.9", "libtack9")])
    assert words.startswith("This system lacks stable-door, libtack.so.9.")


@on_debian
def test_what_is_only_wished_for_is_gone_without_where_it_may_not_be_installed(
    machine: Machine, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    machine.has("apt-get")
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(StartedOver):
        get_ready("app", wished=[LACKING])
    said = capsys.readouterr().err
    assert "sudo apt-get install -y --no-install-recommends stable-door-dev" in said
    assert "Going on without stable-door: what needs it is not tried." in said


@on_debian
def test_what_is_wished_for_is_installed_where_it_may_be(machine: Machine) -> None:
    machine.has("apt-get")
    machine.apt_brings = "stable-door"
    with pytest.raises(StartedOver):
        get_ready("app", wished=[LACKING])
    assert machine.ran("apt-get", "stable-door-dev")


def test_a_library_that_can_be_loaded_is_here_and_another_is_not() -> None:
    assert SystemPart("libc.so.6", "libc6").is_here()
    assert not SystemPart("libtack.so.9", "libtack9").is_here()


def test_only_the_verbs_that_open_a_window_ask_for_its_libraries(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    import app.__main__ as command

    asked: list[Sequence[SystemPart]] = []

    def note(module: str, extra: str = "", system: Sequence[SystemPart] = ()) -> None:
        asked.append(system)
        raise StartedOver

    monkeypatch.setattr(command, "get_ready", note)
    for arguments in (["numbers", "1"], ["demo"], []):
        monkeypatch.setattr(sys, "argv", ["app", *arguments])
        with pytest.raises(StartedOver):
            command.main()
    assert [bool(system) for system in asked] == [False, True, True]
