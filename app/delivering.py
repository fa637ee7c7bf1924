"""Gathers from the barn what a deliverable is made from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from annotate.days import day_text
from annotate.deliver.arranging import arranged
from annotate.deliver.highlights import ClipFile, Material
from annotate.deliver.page.choice import Arrangement, Rung, Work, arrangement_text, read_arrangement
from annotate.deliver.rules import Rules, read_rules, rules_text
from annotate.kept_clips import KeptClip
from annotate.passages import Passage
from annotate.programme.in_words import ladder as ladder_in_words
from app.records import horse_standing
from store.barn import Barn

_ARRANGED = "owner.arrangement.{}"
_RULES = "highlights.rules"


def clip_files(clips: Iterable[KeptClip]) -> tuple[ClipFile, ...]:
    """The clips as a deliverable knows them: by file name, without folders."""
    return tuple(ClipFile(clip.placed, clip.path.name, clip.container_start, clip.facts) for clip in clips)


def material_of(barn: Barn, session_id: int, passages: Sequence[Passage]) -> Material:
    """A session's passages with what is known of them."""
    files = clip_files(barn.clips(session_id))
    return Material(barn.session(session_id), tuple(passages), barn.tags(session_id), barn.sheet(), files)


def arrangement_of(barn: Barn, session_id: int) -> Arrangement | None:
    """How a session's page was arranged for the owner; None if it never was."""
    return read_arrangement(barn.setting(_ARRANGED.format(session_id)))


def keep_arrangement(barn: Barn, session_id: int, arrangement: Arrangement) -> None:
    """Keeps it for the next time."""
    barn.keep_setting(_ARRANGED.format(session_id), arrangement_text(arrangement))


def rules_of(barn: Barn) -> Rules:
    """By which rules the trainer lets passages be chosen."""
    return read_rules(barn.setting(_RULES))


def keep_rules(barn: Barn, rules: Rules) -> None:
    """Keeps them for every session of the barn."""
    barn.keep_setting(_RULES, rules_text(rules))


def for_owner(
    barn: Barn, material: Material, arrangement: Arrangement, ladder: tuple[Rung, ...] | None = None
) -> Material:
    """The material with nothing in it but what was chosen for the owner, in the order chosen.

    `ladder` saves reading every session of the horse, where it is known.
    """
    if not arrangement.choice.shows("ladder"):
        ladder = ()
    chosen = [passage for passage in material.passages if passage.id not in arrangement.left_out]
    passages = arranged(
        sorted(chosen, key=lambda passage: (passage.position, passage.start_ns)),
        material.session.observed,
        lead_in_ns=arrangement.lead_in_ns,
        lead_out_ns=arrangement.lead_out_ns,
        total_ns=arrangement.fit_ns,
        merge=arrangement.merge,
        keep_order=True,
    )
    return replace(
        material,
        passages=tuple(passages),
        choice=arrangement.choice,
        earlier=_earlier(barn, material, arrangement.compared_with),
        ladder=rungs(barn, material.session.horse) if ladder is None else ladder,
    )


def with_all_sessions(barn: Barn, material: Material) -> Material:
    """The material with every session of the horse, for the report over them."""
    rows = barn.sessions(material.session.horse)
    return replace(material, series=tuple(Work(barn.session(row.id), barn.tags(row.id)) for row in rows))


def earlier_sessions(barn: Barn, material: Material) -> list[tuple[int, str]]:
    """The sessions of the horse that a page can compare with, by number and title: tagged ones before it."""
    session = material.session
    return [
        (row.id, day_text(row.day) + (f", session {row.number}" if row.number > 1 else ""))
        for row in barn.sessions(session.horse)
        if row.tags and (row.day, row.number) < (session.day, session.number)
    ]


def _earlier(barn: Barn, material: Material, session_id: int | None) -> Work | None:
    known = {number for number, _ in earlier_sessions(barn, material)}
    if session_id is None or session_id not in known:
        return None
    return Work(barn.session(session_id), barn.tags(session_id))


def rungs(barn: Barn, horse: str) -> tuple[Rung, ...]:
    """Where a horse stands in the trainer's programme, step by step."""
    rows = ladder_in_words(horse_standing(barn, horse))
    return tuple(Rung(title, f"{state}, {met} criteria met", state == "met") for title, state, met in rows)
