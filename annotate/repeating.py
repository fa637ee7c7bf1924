"""The same tag once more: the key that was pressed last, with what was said of that tag."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.behaviours import Sheet
from annotate.changes import Change, Moment
from annotate.pressing import press
from annotate.tags import Tag


def press_again(sheet: Sheet, tags: Sequence[Tag], model: Tag, at: Moment) -> Change:
    """What the key of `model` does at `at`; a tag that begins there takes its severity, stimulus and side.

    The key of a state that is on ends it, here as well.
    """
    known = {tag.id for tag in tags}
    change = press(sheet, tags, model.what, at)
    added = tuple(
        replace(tag, severity=model.severity, stimulus=model.stimulus, side=model.side)
        if tag.what == model.what and tag.start_ns == at.ns and tag.id not in known
        else tag
        for tag in change.added
    )
    return Change(change.removed, added, change.words)
