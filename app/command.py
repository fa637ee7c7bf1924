"""The command line: one verb, one answer. `--json` prints one JSON object, else a table for a person.

Exit 0; 1 with one plain sentence on standard error; 2 for misuse.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from annotate.errors import Trouble
from app.places import usual_barn
from app.verbs import (
    agree,
    barn,
    clips,
    compare,
    demo,
    ground,
    highlights,
    keeping,
    numbers,
    programme,
    suggest,
    tags,
    window,
)

Verb = Callable[[argparse.Namespace], None]


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command; the exit code."""
    asked = _parser().parse_args(arguments)
    asked.barn = Path(asked.barn) if asked.barn else usual_barn()
    verb: Verb = asked.does
    try:
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


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="railside",
        description="Review recorded sessions of young horses: tag, count, decide, show. "
        "Without a verb the window opens. SESSION is a number, HORSE/DATE or HORSE/DATE/N.",
    )
    parser.add_argument("--barn", metavar="FILE", help="the barn to use (default: your own)")
    parser.set_defaults(does=window.open_window)
    verbs = parser.add_subparsers(metavar="VERB", title="verbs")
    for room in (
        demo,
        clips,
        barn,
        keeping,
        tags,
        numbers,
        compare,
        ground,
        programme,
        highlights,
        agree,
        suggest,
    ):
        room.add_verbs(verbs)
    return parser
