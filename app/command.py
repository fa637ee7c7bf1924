"""The command line: one verb, one answer. `--json` prints one JSON object, else a table for a person.

Exit 0; 1 with one plain sentence on standard error; 2 for misuse. Only the room of the verb that is named is
loaded, and none for the window: what all of them need takes longer to load than the window to come up.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from importlib import import_module

from annotate.errors import Trouble
from app.misuse import PlainParser
from app.places import usual_barn
from app.verbs import window
from store.address import place_of

Verb = Callable[[argparse.Namespace], None]

ROOMS = {
    "demo": ("demo",),
    "clips": ("look", "still"),
    "barn": ("add", "barn", "backup", "restore", "check"),
    "keeping": ("backups", "find", "view", "hand-over", "take-in"),
    "tags": ("tags",),
    "numbers": ("numbers",),
    "compare": ("compare",),
    "ground": ("ground", "limits"),
    "programme": ("programme", "today"),
    "highlights": ("highlights",),
    "agree": ("agree",),
    "suggest": ("suggest",),
}
"""Which verbs each module of `app.verbs` adds; the help lists them in this order."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command; the exit code."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    asked = _parser(_rooms_for(given)).parse_args(given)
    verb: Verb = asked.does
    try:
        asked.barn = place_of(asked.barn) if asked.barn else usual_barn()
        verb(asked)
        sys.stdout.flush()
    except Trouble as trouble:
        sys.stderr.write(f"{trouble}\n")
        return 1
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except KeyboardInterrupt:
        sys.stderr.write("Stopped.\n")
        return 1
    except OSError as error:
        sys.stderr.write(f"{error.filename or 'The system'}: {error.strerror or error}.\n")
        return 1
    return 0


def _rooms_for(given: Sequence[str]) -> list[str]:
    """The rooms of the verbs that are named; none for the window alone, all where nothing is recognised."""
    named = [room for room, verbs in ROOMS.items() if not set(verbs).isdisjoint(given)]
    if named:
        return named
    window_alone = argparse.ArgumentParser(add_help=False, exit_on_error=False)
    window_alone.add_argument("--barn")
    try:
        _, rest = window_alone.parse_known_args(given)
    except argparse.ArgumentError:
        return list(ROOMS)
    return list(ROOMS) if rest else []


def _parser(rooms: Iterable[str]) -> argparse.ArgumentParser:
    parser = PlainParser(
        prog="railside",
        description="Review recorded sessions of young horses: tag, count, decide, show. "
        "Without a verb the window opens. SESSION is a number, HORSE/DATE or HORSE/DATE/N.",
    )
    parser.add_argument("--barn", metavar="FILE|URL", help="the barn to use (default: your own)")
    parser.set_defaults(does=window.open_window)
    verbs = parser.add_subparsers(metavar="VERB", title="verbs")
    for room in rooms:
        import_module(f"app.verbs.{room}").add_verbs(verbs)
    return parser
