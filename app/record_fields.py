"""The lines of a horse's and of a session's record, and what was written in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from annotate.circle import parse_metres
from annotate.days import day_text
from annotate.horses import Horse
from annotate.measures import born_field, height_field, parse_born, parse_height, parse_weight
from annotate.numbers.ground import LINE, PEN
from annotate.sessions import RECORD_WORDS, Session
from app.record_form import Field

SEXES: Final = ("mare", "filly", "gelding", "colt", "stallion")
LENGTHS: Final = {PEN: "Pen's diameter", LINE: "Length of the line"}
_HINTS: Final = {
    "pen": "round pen",
    "footing": "sand, deep",
    "weather": "wind from the north",
    "ended_on": "what it did well at the end",
    "soundness": "even on both reins",
}


def horse_fields(horse: Horse, owners: Sequence[str] = ()) -> tuple[Field, ...]:
    """The lines of a horse's record; the `owners` of the barn are offered."""
    return (
        Field("name", "Name", horse.name),
        Field("owner", "Owner", horse.owner, "one of the list, or a new one", tuple(owners)),
        Field("sex", "Sex", horse.sex, "mare, gelding …", SEXES),
        Field("colour", "Colour", horse.colour),
        Field("born", "Born, or age", born_field(horse), "1 April 2023, 2023, or 3 years"),
        Field("height", "Height", height_field(horse.height_cm), "15.2 hands, or 157 cm"),
        Field("hip_height", "Hip height", height_field(horse.hip_height_cm), "120 cm"),
        Field("weight", "Weight", f"{horse.weight_kg} kg" if horse.weight_kg else "", "420 kg, or 925 lb"),
        Field("note", "Note", horse.note),
    )


def changed_horse(horse: Horse, texts: Mapping[str, str], today: date) -> Horse:
    """The horse as the form has it. Raises `Trouble` for what no horse has."""
    born, year_only = parse_born(texts["born"], today)
    return replace(
        horse,
        name=texts["name"],
        owner=texts["owner"],
        sex=texts["sex"],
        colour=texts["colour"],
        born=born,
        year_only=year_only,
        height_cm=parse_height(texts["height"]),
        hip_height_cm=parse_height(texts["hip_height"]),
        weight_kg=parse_weight(texts["weight"]),
        note=texts["note"],
    )


def session_fields(session: Session) -> tuple[Field, ...]:
    """The lines of a session's record: the day, what every record may say, and the lengths of pen and line."""
    words = [
        Field(name, title, session.details.get(name, ""), _HINTS.get(name, ""))
        for name, title in RECORD_WORDS.items()
    ]
    lengths = [
        Field(name, title, f"{kept} m" if (kept := session.details.get(name, "")) else "", "18.3 m, or 60 ft")
        for name, title in LENGTHS.items()
    ]
    place = list(RECORD_WORDS).index("pen") + 1
    day = Field("day", "Day", day_text(session.day), "4 May 2026")
    return (day, *words[:place], *lengths, *words[place:])


def changed_details(session: Session, texts: Mapping[str, str]) -> dict[str, str]:
    """What the form changed of the session's details. Raises `Trouble` for a length that is none."""
    lengths = {name: f"{parse_metres(texts[name]):.6g}" if texts[name] else "" for name in LENGTHS}
    words = {name: texts[name] for name in RECORD_WORDS}
    return {name: text for name, text in (words | lengths).items() if text != session.details.get(name, "")}
