"""Sees whether the machine is ready, with the standard library alone.

The two commands `python3 -m app` and `python3 -m tests` come here before they import anything else. What is
missing is installed where that is allowed, by `app.installing`, and the command starts over inside `.venv`. A
stamp in `.venv` remembers what was installed, so that a second run starts at once.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
OLDEST_PYTHON = (3, 11)


class SystemPart(NamedTuple):
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
        return _lies_where_usual(self.name) or _loads(self.name)


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


def _lies_where_usual(library: str) -> bool:
    """Quicker to see than whether it loads, and true on most systems."""
    folders = (f"/usr/lib/{os.uname().machine}-linux-gnu", "/usr/lib64")
    return any(os.path.exists(f"{folder}/{library}") for folder in folders)  # noqa: PTH110


def _loads(library: str) -> bool:
    import ctypes

    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def get_ready(
    module: str, extra: str = "", system: Sequence[SystemPart] = (), wished: Sequence[SystemPart] = ()
) -> None:
    """Returns once this process runs inside a complete environment; until then installs and starts over.

    `module` is started over with the same arguments; `extra` is the optional dependency group it wants.
    Ends the process with one plain sentence where something is missing that may not be installed here; what is
    only `wished` for is then named, and gone without.
    """
    if sys.version_info < OLDEST_PYTHON:
        sys.stderr.write(
            f"Python {'.'.join(map(str, OLDEST_PYTHON))} or newer is needed; this is {sys.version.split()[0]}.\n"
        )
        raise SystemExit(1)
    if sys.platform.startswith("linux"):
        missing = [part for part in system if not part.is_here()]
        missed = [part for part in wished if not part.is_here()]
        if missing or missed:
            from app.installing import install_system_parts, try_to_install

            install_system_parts(missing)
            try_to_install(missed)
    venv = ROOT / ".venv"
    stamps = {venv / "installed-app", venv / f"installed-{extra or 'app'}"}
    # A changed pyproject.toml installs anew.
    wanted = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    if not all(stamp.exists() and stamp.read_text(encoding="utf-8") == wanted for stamp in stamps):
        from app.installing import install_environment

        install_environment(ROOT, extra)
        for stamp in stamps:
            stamp.write_text(wanted, encoding="utf-8")
    if Path(sys.prefix).resolve() != venv.resolve():
        _start_over(python_of(venv), module)


def python_of(venv: Path) -> Path:
    """The interpreter of an environment."""
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def _start_over(python: Path, module: str) -> None:
    command = [str(python), "-m", module, *sys.argv[1:]]
    if os.name == "nt":
        import subprocess

        raise SystemExit(subprocess.run(command).returncode)
    sys.stdout.flush()
    os.execv(command[0], command)
