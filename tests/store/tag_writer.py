"""A program that tags one event after another and says each on standard output once it is kept.

`python -m tests.store.tag_writer BARN SESSION FIRST`: ends when it is killed.
"""

from __future__ import annotations

import sys
from itertools import count
from pathlib import Path

from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn


def main(path: str, session_id: str, first: str) -> None:
    """Writes for ever."""
    with Barn.open(Path(path)) as barn:
        for at_ns in count(int(first)):
            tag = Tag("spook", at_ns)
            barn.apply(int(session_id), Change((), (tag,)))
            sys.stdout.write(f"{tag.id}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])
