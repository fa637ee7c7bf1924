"""`python3 -m app`: makes the machine ready if need be, then does what the command line asks."""

import sys

from app.ready import QT_NEEDS, get_ready

CLIP_AND_NUMBER_VERBS = frozenset(
    [
        *("add", "look", "still", "barn", "tags", "numbers", "compare", "agree", "highlights"),
        *("programme", "today", "suggest"),
        *("backup", "restore", "check"),
    ]
)


def main() -> int:
    """Runs the command line; the exit code."""
    needs_window = not CLIP_AND_NUMBER_VERBS & set(sys.argv[1:])
    on_server = any("postgresql" in word for word in sys.argv[1:])
    get_ready("app", extra="centre" if on_server else "", system=QT_NEEDS if needs_window else ())
    from app.command import main as run_command

    return run_command(sys.argv[1:])


if __name__ == "__main__":
    raise SystemExit(main())
