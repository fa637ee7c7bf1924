"""`python3 -m tests`: makes the machine ready if need be, then lint, types, import rules and all tests.

Words after the command go to pytest: `python3 -m tests -k work_line`.
"""

import os
import subprocess
import sys

from app.ready import QT_NEEDS, ROOT, SCREEN_FOR_TESTS, SERVER_FOR_TESTS, get_ready

_IMPORT_RULES = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"


def main() -> int:
    """Runs everything; 0 if all of it passed."""
    get_ready("tests", extra="tests", system=(*QT_NEEDS, *SCREEN_FOR_TESTS), wished=SERVER_FOR_TESTS)
    python = [sys.executable, "-m"]
    rooms = ["app", "annotate", "store", "tests", "sample_media"]
    steps = [
        ("lint", [*python, "ruff", "check", *rooms]),
        ("types", [*python, "mypy"]),
        ("import rules", [sys.executable, "-c", _IMPORT_RULES]),
        ("tests", [*python, "pytest", "-q", "-n", "2", "--dist", "loadgroup", *sys.argv[1:]]),
    ]
    failed = [name for name, command in steps if not _passes(name, command)]
    if failed:
        sys.stderr.write(f"Failed: {', '.join(failed)}\n")
    return 1 if failed else 0


def _passes(name: str, command: list[str]) -> bool:
    sys.stdout.write(f"== {name}\n")
    sys.stdout.flush()
    environment = {**os.environ, "PYTHONWARNINGS": "default"}
    return subprocess.run(command, cwd=ROOT, env=environment).returncode == 0


if __name__ == "__main__":
    raise SystemExit(main())
