"""The verb `demo`: a fresh demonstration barn, in the window, or in words where there is no screen."""

from __future__ import annotations

import argparse
from typing import Any

from annotate.clock import clock_text
from app.demonstration import make_demonstration
from app.figures import numbers_of
from app.places import demonstration_folder
from app.printing import print_line, print_table
from app.verbs.highlights import write_highlights
from app.verbs.numbers import print_numbers
from app.verbs.window import has_screen, show
from store.barn import Barn


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    demo = verbs.add_parser("demo", help="a fresh demonstration barn: drawn clips, invented horses")
    demo.set_defaults(does=_demo)


def _demo(asked: argparse.Namespace) -> None:
    folder = demonstration_folder()
    print_line("Making the demonstration barn from drawn clips; horses and places are invented.")
    made = make_demonstration(folder)
    if has_screen():
        print_line(f"It is in {made.barn}. The window opens.")
        show(made.barn, made.first_session)
        return
    with Barn.open(made.barn) as barn:
        session = barn.session(made.first_session)
        print_line(f"\n{session.name}, {clock_text(session.end_ns)} long")
        print_numbers(numbers_of(barn, made.first_session))
        written = write_highlights(barn, made.first_session, ("csv", "vtt"), folder / "highlights")
        print_line("\nThe highlight list:")
        print_table(
            [
                (i, clock_text(p.start_ns), clock_text(p.end_ns), p.caption)
                for i, p in enumerate(written.passages, 1)
            ]
        )
    print_line(f"\nThe barn is {made.barn}")
    for path in written.files:
        print_line(f"Written: {path}")
    print_line("There is no screen here; with one, this command opens the window.")
