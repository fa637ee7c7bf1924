"""Installs what the machine lacks: system libraries, `.venv`, what goes into it. With the standard library alone."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from app.ready import SystemPart, python_of


def _say(words: str) -> None:
    sys.stderr.write(words + "\n")
    sys.stderr.flush()


def _stop(words: str) -> None:
    _say(words)
    raise SystemExit(1)


def install_system_parts(missing: Sequence[SystemPart]) -> None:
    """Installs what is missing; ends the process with a sentence where that is not allowed or fails."""
    if not missing:
        return
    packages = sorted({part.package for part in missing})
    install = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    if not (Path("/etc/debian_version").exists() and shutil.which("apt-get")):
        names = ", ".join(part.name for part in missing)
        _stop(f"This system lacks {names}. Install them with its package manager, then run this again.")
    sudo = [] if os.geteuid() == 0 else ["sudo", "-n"]
    if sudo and (not shutil.which("sudo") or subprocess.run([*sudo, "true"], capture_output=True).returncode):
        _stop(
            "Some system libraries are missing and may not be installed from here. "
            "Run this, then try again:\n"
            f"sudo {' '.join(install)}"
        )
    _say(f"Installing system libraries: {' '.join(packages)}")
    _quietly([*sudo, "apt-get", "update"])
    done = _quietly([*sudo, *install])
    still = [part.name for part in missing if not part.is_here()]
    if done.returncode or still:
        reason = (done.stderr.strip().splitlines() or [f"still missing: {', '.join(still)}"])[-1]
        _stop(f"The system libraries could not be installed ({reason}). Run: sudo {' '.join(install)}")


def _quietly(command: Sequence[str]) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    return subprocess.run(command, env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True)


def try_to_install(missing: Sequence[SystemPart]) -> None:
    """Installs what is missing; where that fails, says what is gone without."""
    try:
        install_system_parts(missing)
    except SystemExit:
        _say(f"Going on without {', '.join(part.name for part in missing)}: what needs it is not tried.")


def install_environment(root: Path, extra: str) -> None:
    """Makes `.venv` if need be, and installs the project with an optional group into it."""
    venv = root / ".venv"
    python = python_of(venv)
    has_pip = importlib.util.find_spec("ensurepip") is not None
    if not _runs(python):
        _say(f"Making an environment in {venv}")
        making = [sys.executable, "-m", "venv", "--clear", *([] if has_pip else ["--without-pip"]), str(venv)]
        _run(making, "The environment could not be made", root)
    what = f"{root}[{extra}]" if extra else str(root)
    _say(f"Installing the project and its libraries into {venv}. This takes a minute or two.")
    pip = [str(python), "-m", "pip"]
    if not _runs(python, "-m", "pip", "--version"):
        pip = [sys.executable, "-m", "pip", "--python", str(python)]
    flags = ["--disable-pip-version-check", "--quiet", "--no-input"]
    _run([*pip, "install", *flags, "--editable", what], "The libraries could not be installed", root)
    rooms = [str(root / room) for room in ("app", "annotate", "store")]
    _run([str(python), "-m", "compileall", "-q", *rooms], "The program could not be compiled", root)


def _runs(python: Path, *arguments: str) -> bool:
    if not python.exists():
        return False
    command = [str(python), *(arguments or ("-c", "pass"))]
    return subprocess.run(command, capture_output=True).returncode == 0


def _run(command: Sequence[str], trouble: str, root: Path) -> None:
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, cwd=root)
    if done.returncode:
        lines = [line for line in (done.stderr + done.stdout).splitlines() if line.strip()]
        errors = [line for line in lines if line.lower().startswith("error")]
        reason = (errors or lines or ["no reason given"])[-1].strip()
        _stop(f"{trouble}: {reason}\nThe command was: {' '.join(command)}")
