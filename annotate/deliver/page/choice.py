"""What the trainer chose to show an owner, and in which words. Nothing else goes out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from annotate.sessions import Session
from annotate.tags import Tag

PARTS: Final[Mapping[str, str]] = {
    "words": "In plain words",
    "work_line": "Work line",
    "left_right": "Left and right",
    "reactions": "Reactions and recovery",
    "ladder": "Steps of the programme",
    "passages": "Passages",
    "stills": "Stills",
    "clips": "Clips that play",
}
"""The parts that can be shown, in their order, with what a person calls them."""


@dataclass(frozen=True, slots=True)
class Work:
    """Another session of the same horse, with its tags, to set beside the one that is shown."""

    session: Session
    tags: tuple[Tag, ...]


@dataclass(frozen=True, slots=True)
class Rung:
    """A step of the trainer's programme, and where the horse stands in it, in plain words."""

    title: str
    standing: str
    is_met: bool = False


@dataclass(frozen=True)
class Choice:
    """`words` None: the words are made from the tags. Empty texts are left out."""

    parts: frozenset[str] = frozenset(PARTS) - {"ladder"}
    heading: str = ""
    words: str | None = None
    next_words: str = ""
    signed: str = ""

    def shows(self, part: str) -> bool:
        """Whether a part is shown."""
        return part in self.parts

    def without(self, *parts: str) -> Choice:
        """The same with parts left out."""
        return replace(self, parts=self.parts - set(parts))


@dataclass(frozen=True)
class Arrangement:
    """What is kept of how a session goes out: the choice, how the passages are fitted in, and as what.

    `merge`: passages that overlap become one. `captions`, `work_line`: drawn into the reel. `kinds`: the kinds
    of file that were ticked last.
    """

    choice: Choice = field(default_factory=Choice)
    left_out: frozenset[int] = frozenset()
    lead_in_ns: int = 0
    lead_out_ns: int = 0
    fit_ns: int | None = None
    compared_with: int | None = None
    merge: bool = False
    captions: bool = False
    work_line: bool = False
    kinds: frozenset[str] = frozenset({"page", "pdf"})


def arrangement_text(arrangement: Arrangement) -> str:
    """As a small text for the barn."""
    choice = arrangement.choice
    return json.dumps(
        {
            "parts": sorted(choice.parts),
            "heading": choice.heading,
            "words": choice.words,
            "next": choice.next_words,
            "signed": choice.signed,
            "left_out": sorted(arrangement.left_out),
            "lead_in_ns": arrangement.lead_in_ns,
            "lead_out_ns": arrangement.lead_out_ns,
            "fit_ns": arrangement.fit_ns,
            "compared_with": arrangement.compared_with,
            "merge": arrangement.merge,
            "captions": arrangement.captions,
            "work_line": arrangement.work_line,
            "kinds": sorted(arrangement.kinds),
        }
    )


def read_arrangement(text: str | None) -> Arrangement | None:
    """What `arrangement_text` wrote, also of an older version that kept less.

    None where nothing was kept or it cannot be read any more.
    """
    usual = Arrangement()
    try:
        kept: dict[str, Any] = json.loads(text or "")
        choice = Choice(
            parts=frozenset(kept["parts"]) & frozenset(PARTS),
            heading=str(kept["heading"]),
            words=None if kept["words"] is None else str(kept["words"]),
            next_words=str(kept["next"]),
            signed=str(kept["signed"]),
        )
        return Arrangement(
            choice=choice,
            left_out=frozenset(int(one) for one in kept["left_out"]),
            lead_in_ns=int(kept["lead_in_ns"]),
            lead_out_ns=int(kept["lead_out_ns"]),
            fit_ns=None if kept["fit_ns"] is None else int(kept["fit_ns"]),
            compared_with=None if kept["compared_with"] is None else int(kept["compared_with"]),
            merge=bool(kept.get("merge", usual.merge)),
            captions=bool(kept.get("captions", usual.captions)),
            work_line=bool(kept.get("work_line", usual.work_line)),
            kinds=frozenset(str(kind) for kind in kept.get("kinds", usual.kinds)),
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
