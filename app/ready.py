"""Makes a fresh machine ready, with the standard library alone.

The two commands `python3 -m app` and `python3 -m tests` come here before they import anything else. What is
needed is checked, what is missing is installed where that is allowed, and the command starts over inside
`.venv`. A stamp in `.venv` remembers what was installed, so that a second run starts at once.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OLDEST_PYTHON = (3, 11)


@dataclass(frozen=True)
class SystemPart:
    """Something the system must have: a library to load or a program to find, and Debian's package of it."""

    name: str
    package: str

    def is_here(self) -> bool:
        """Whether the system has it."""
        if self.name == "fonts":
            folders = (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"))
            return any(next(folder.rglob("*.[to]tf"), None) for folder in folders if folder.is_dir())
        if self.name == "postgres" and any(Path("/usr/lib/postgresql").glob("*/bin/postgres")):
            return True
        if ".so" not in self.name:
            return shutil.which(self.name) is not None
        try:
            ctypes.CDLL(self.name)
        except OSError:
            return False
        return True


QT_NEEDS = (
    SystemPart("libEGL.so.1", "libegl1"),
    SystemPart("libGL.so.1", "libgl1"),
    SystemPart("libglib-2.0.so.0", "libglib2.0-0"),
    SystemPart("libdbus-1.so.3", "libdbus-1-3"),
    SystemPart("libfontconfig.so.1", "libfontconfig1"),
    SystemPart("libpulse.so.0", "libpulse0"),
    SystemPart("libxkbcommon.so.0", "libxkbcommon0"),
    SystemPart("libxkbcommon-x11.so.0", "libxkbcommon-x11-0"),
    SystemPart("libX11-xcb.so.1", "libx11-xcb1"),
    SystemPart("libxcb-cursor.so.0", "libxcb-cursor0"),
    SystemPart("libxcb-icccm.so.4", "libxcb-icccm4"),
    SystemPart("libxcb-image.so.0", "libxcb-image0"),
    SystemPart("libxcb-keysyms.so.1", "libxcb-keysyms1"),
    SystemPart("libxcb-randr.so.0", "libxcb-randr0"),
    SystemPart("libxcb-render-util.so.0", "libxcb-render-util0"),
    SystemPart("libxcb-shape.so.0", "libxcb-shape0"),
    SystemPart("libxcb-sync.so.1", "libxcb-sync1"),
    SystemPart("libxcb-xfixes.so.0", "libxcb-xfixes0"),
    SystemPart("libxcb-xkb.so.1", "libxcb-xkb1"),
    SystemPart("fonts", "fonts-dejavu-core"),
)
SCREEN_FOR_TESTS = (
    SystemPart("Xvfb", "xvfb"),
    SystemPart("openbox", "openbox"),
    SystemPart("chromium", "chromium"),
    SystemPart("pdftoppm", "poppler-utils"),
)

SERVER_FOR_TESTS = (SystemPart("postgres", "postgresql"),)


def get_ready(
    module: str, extra: str = "", system: Sequence[SystemPart] = (), wished: Sequence[SystemPart] = ()
) -> None:
    """Returns once this process runs inside a complete environment; until then installs and starts over.

    `module` is started over with the same arguments; `extra` is the optional dependency group it wants.
    Ends the process with one plain sentence where something is missing that may not be installed here; what is
    only `wished` for is then named, and gone without.
    """
    if sys.version_info < OLDEST_PYTHON:
        _stop(
            f"Python {'.'.join(map(str, OLDEST_PYTHON))} or newer is needed; "
            f"this is {sys.version.split()[0]}."
        )
    if sys.platform.startswith("linux"):
        _install_system_parts([part for part in system if not part.is_here()])
        _try_to_install([part for part in wished if not part.is_here()])
    venv = ROOT / ".venv"
    stamps = {venv / "ready-app", venv / f"ready-{extra or 'app'}"}
    if not all(stamp.exists() and stamp.read_text() == _wanted() for stamp in stamps):
        _install_environment(venv, extra)
        for stamp in stamps:
            stamp.write_text(_wanted())
    if Path(sys.prefix).resolve() != venv.resolve():
        _start_over(venv, module)


def _wanted() -> str:
    """What the environment was installed from: a changed pyproject.toml installs anew."""
    return hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()


def _say(words: str) -> None:
    sys.stderr.write(words + "\n")
    sys.stderr.flush()


def _stop(words: str) -> None:
    _say(words)
    raise SystemExit(1)


def _install_system_parts(missing: Sequence[SystemPart]) -> None:
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
    quiet = {"stdin": subprocess.DEVNULL, "capture_output": True, "text": True}
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    subprocess.run([*sudo, "apt-get", "update"], env=environment, **quiet)  # type: ignore[call-overload]
    done = subprocess.run([*sudo, *install], env=environment, **quiet)  # type: ignore[call-overload]
    still = [part.name for part in missing if not part.is_here()]
    if done.returncode or still:
        reason = (done.stderr.strip().splitlines() or [f"still missing: {', '.join(still)}"])[-1]
        _stop(f"The system libraries could not be installed ({reason}). Run: sudo {' '.join(install)}")


def _try_to_install(missing: Sequence[SystemPart]) -> None:
    try:
        _install_system_parts(missing)
    except SystemExit:
        _say(f"Going on without {', '.join(part.name for part in missing)}: what needs it is not tried.")


def _python_of(venv: Path) -> Path:
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def _install_environment(venv: Path, extra: str) -> None:
    python = _python_of(venv)
    has_pip = importlib.util.find_spec("ensurepip") is not None
    if not _runs(python):
        _say(f"Making an environment in {venv}")
        making = [sys.executable, "-m", "venv", "--clear", *([] if has_pip else ["--without-pip"]), str(venv)]
        _run(making, "The environment could not be made")
    what = f"{ROOT}[{extra}]" if extra else str(ROOT)
    _say(f"Installing the project and its libraries into {venv}. This takes a minute or two.")
    pip = [str(python), "-m", "pip"]
    if not _runs(python, "-m", "pip", "--version"):
        pip = [sys.executable, "-m", "pip", "--python", str(python)]
    flags = ["--disable-pip-version-check", "--quiet", "--no-input"]
    _run([*pip, "install", *flags, "--editable", what], "The libraries could not be installed")
    rooms = [str(ROOT / room) for room in ("app", "annotate", "store")]
    _run([str(python), "-m", "compileall", "-q", *rooms], "The program could not be compiled")


def _runs(python: Path, *arguments: str) -> bool:
    if not python.exists():
        return False
    command = [str(python), *(arguments or ("-c", "pass"))]
    return subprocess.run(command, capture_output=True).returncode == 0


def _run(command: Sequence[str], trouble: str) -> None:
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, cwd=ROOT)
    if done.returncode:
        lines = [line for line in (done.stderr + done.stdout).splitlines() if line.strip()]
        errors = [line for line in lines if line.lower().startswith("error")]
        reason = (errors or lines or ["no reason given"])[-1].strip()
        _stop(f"{trouble}: {reason}\nThe command was: {' '.join(command)}")


def _start_over(venv: Path, module: str) -> None:
    command = [str(_python_of(venv)), "-m", module, *sys.argv[1:]]
    if os.name == "nt":
        raise SystemExit(subprocess.run(command).returncode)
    sys.stdout.flush()
    os.execv(command[0], command)
