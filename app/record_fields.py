"""The lines of a horse's and of a session's record, and what was written in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from PySide6.QtCore import QCoreApplication

from annotate.circle import parse_metres
from annotate.days import day_text
from annotate.horses import Horse
from annotate.measures import born_field, height_field, parse_born, parse_height, parse_weight
from annotate.numbers.ground import LINE, PEN
from annotate.sessions import RECORD_WORDS, Session
from app.record_form import Field


class Records:
    """The words of the records, in the language of the window; Qt's translator finds them by `Records.tr`."""

    @staticmethod
    def tr(words: str) -> str:
        """The words, translated."""
        return QCoreApplication.translate("Records", words)


def horse_fields(horse: Horse, owners: Sequence[str] = ()) -> tuple[Field, ...]:
    """The lines of a horse's record; the `owners` of the barn are offered."""
    weight = f"{horse.weight_kg} kg" if horse.weight_kg else ""
    sexes = (
        Records.tr("mare"),
        Records.tr("filly"),
        Records.tr("gelding"),
        Records.tr("colt"),
        Records.tr("stallion"),
    )
    return (
        Field("name", Records.tr("Name"), horse.name),
        Field("owner", Records.tr("Owner"), horse.owner, Records.tr("one of the list, or a new one"), tuple(owners)),
        Field("sex", Records.tr("Sex"), horse.sex, Records.tr("mare, gelding …"), sexes),
        Field("colour", Records.tr("Colour"), horse.colour),
        Field("born", Records.tr("Born, or age"), born_field(horse), Records.tr("1 April 2023, 2023, or 3 years")),
        Field("height", Records.tr("Height"), height_field(horse.height_cm), Records.tr("15.2 hands, or 157 cm")),
        Field("hip_height", Records.tr("Hip height"), height_field(horse.hip_height_cm), Records.tr("120 cm")),
        Field("weight", Records.tr("Weight"), weight, Records.tr("420 kg, or 925 lb")),
        Field("note", Records.tr("Note"), horse.note),
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
    hints = {
        "pen": Records.tr("round pen"),
        "footing": Records.tr("sand, deep"),
        "weather": Records.tr("wind from the north"),
        "ended_on": Records.tr("what it did well at the end"),
        "soundness": Records.tr("even on both reins"),
    }
    titles = {PEN: Records.tr("Pen's diameter"), LINE: Records.tr("Length of the line")}
    words = [
        Field(name, title, session.details.get(name, ""), hints.get(name, ""))
        for name, title in RECORD_WORDS.items()
    ]
    like = Records.tr("18.3 m, or 60 ft")
    lengths = [
        Field(name, title, f"{kept} m" if (kept := session.details.get(name, "")) else "", like)
        for name, title in titles.items()
    ]
    place = list(RECORD_WORDS).index("pen") + 1
    day = Field("day", Records.tr("Day"), day_text(session.day), Records.tr("4 May 2026"))
    return (day, *words[:place], *lengths, *words[place:])


def changed_details(session: Session, texts: Mapping[str, str]) -> dict[str, str]:
    """What the form changed of the session's details. Raises `Trouble` for a length that is none."""
    lengths = {name: f"{parse_metres(texts[name]):.6g}" if texts[name] else "" for name in (PEN, LINE)}
    words = {name: texts[name] for name in RECORD_WORDS}
    return {name: text for name, text in (words | lengths).items() if text != session.details.get(name, "")}
