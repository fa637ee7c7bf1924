"""The sheet: which behaviours can be tagged, how they exclude each other, and by which key.

The sheet is a TOML file that the trainer may edit; the default one is `sheet.toml` beside this module.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from annotate.errors import SheetTrouble
from annotate.key_names import as_pressed

Kind = Literal["state", "event"]

DEFAULT_SHEET = Path(__file__).with_name("sheet.toml")

GAIT, REIN, SIGHT, TURN, REACTION = "gait", "rein", "sight", "turn", "reaction"
ASK, STIMULUS, TACK, PRESSURE, LEAD = "ask", "stimulus", "tack", "pressure", "lead"
LEFT_REIN, RIGHT_REIN, OUT_OF_SIGHT = "left_rein", "right_rein", "out_of_sight"
TURN_IN, TURN_OUT, CALM, STAND = "turn_in", "turn_out", "calm", "stand"
LOPE, BACK, LEFT_LEAD, RIGHT_LEAD, DISUNITED = "lope", "back", "left_lead", "right_lead", "disunited"

SEEN = (GAIT, REIN, LEAD)
"""The groups whose states say that the horse is in sight."""

OTHER_STIMULUS = "other"

_NAME = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
_KEY = re.compile(r"((Shift|Alt|Ctrl)\+)*([A-Z0-9]|[^\sA-Za-z0-9]|F[0-9]{1,2})")


@dataclass(frozen=True, slots=True)
class Behaviour:
    """One line of the sheet. `key` is named as its press is; `asks` lists the gaits that an ask asks for."""

    name: str
    group: str
    kind: Kind
    title: str
    key: str = ""
    rule: str = ""
    asks: tuple[str, ...] = ()

    @property
    def is_state(self) -> bool:
        """Whether it lasts."""
        return self.kind == "state"


@dataclass(frozen=True, slots=True)
class Group:
    """Behaviours of one sort; its states end each other unless they may run side by side."""

    name: str
    title: str
    side_by_side: bool = False


@dataclass(frozen=True)
class Sheet:
    """All behaviours and groups, in the order in which the trainer wrote them."""

    groups: tuple[Group, ...]
    behaviours: tuple[Behaviour, ...]

    @cached_property
    def _by_name(self) -> Mapping[str, Behaviour]:
        return {behaviour.name: behaviour for behaviour in self.behaviours}

    @cached_property
    def _groups_by_name(self) -> Mapping[str, Group]:
        return {group.name: group for group in self.groups}

    @cached_property
    def by_key(self) -> Mapping[str, Behaviour]:
        """Behaviours by the key that tags them."""
        return {behaviour.key: behaviour for behaviour in self.behaviours if behaviour.key}

    def __contains__(self, name: str) -> bool:
        return name in self._by_name

    def __getitem__(self, name: str) -> Behaviour:
        try:
            return self._by_name[name]
        except KeyError:
            raise SheetTrouble(
                f"'{name}' is not on the sheet of behaviours. Correct the name or add it to the sheet."
            ) from None

    def group(self, name: str) -> Group:
        """The group of that name."""
        return self._groups_by_name[name]

    def of_group(self, group: str) -> tuple[Behaviour, ...]:
        """The behaviours of a group."""
        return tuple(b for b in self.behaviours if b.group == group)

    def names(self, group: str) -> frozenset[str]:
        """The names of a group's behaviours."""
        return frozenset(b.name for b in self.behaviours if b.group == group)

    def exclude(self, one: str, other: str) -> bool:
        """Whether two states cannot hold at once: the same state, or two of one exclusive group."""
        a, b = self[one], self[other]
        if not (a.is_state and b.is_state) or a.group != b.group:
            return False
        return a.name == b.name or not self.group(a.group).side_by_side


def stimulus_of(behaviour_name: str) -> str:
    """The bare name that the stimulus column carries: 'flag_on' and 'saddle_shown' give flag, saddle."""
    return behaviour_name.removesuffix("_on").removesuffix("_shown")


def stimulus_words(sheet: Sheet) -> tuple[str, ...]:
    """What the stimulus column may say: the stimuli and the tack of the sheet, and 'other'."""
    shown = [stimulus_of(b.name) for b in sheet.of_group(STIMULUS)]
    worn = [b.name for b in sheet.of_group(TACK)]
    return tuple(dict.fromkeys([*shown, *worn, OTHER_STIMULUS]))


def default_sheet() -> Sheet:
    """The trade's sheet that a new barn begins with."""
    return read_sheet(DEFAULT_SHEET.read_text(encoding="utf-8"))


def read_sheet(text: str) -> Sheet:
    """A sheet from its TOML text. Raises `SheetTrouble` that names the line or the behaviour at fault."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SheetTrouble(f"The sheet of behaviours cannot be read: {error}.") from None
    groups = tuple(_read_group(name, entry) for name, entry in _table(data, "groups").items())
    known = {group.name for group in groups}
    behaviours: list[Behaviour] = []
    keys: dict[str, str] = {}
    for name, entry in _table(data, "behaviours").items():
        behaviour = _read_behaviour(name, entry, known)
        if behaviour.key in keys:
            raise SheetTrouble(
                f"{keys[behaviour.key]} and {name} share the key {behaviour.key}. Change one of them."
            )
        if behaviour.key:
            keys[behaviour.key] = name
        behaviours.append(behaviour)
    sheet = Sheet(groups, tuple(_as_pressed(behaviours)))
    for behaviour in behaviours:
        for asked in behaviour.asks:
            if asked not in sheet:
                raise SheetTrouble(f"{behaviour.name} asks for '{asked}', which is not on the sheet.")
    return sheet


def _as_pressed(behaviours: list[Behaviour]) -> Iterator[Behaviour]:
    """Each with its key as its press is named. A second key of one press stays as written: it does nothing."""
    taken = {behaviour.key for behaviour in behaviours}
    for behaviour in behaviours:
        key = as_pressed(behaviour.key)
        if key == behaviour.key or key in taken:
            yield behaviour
        else:
            taken.add(key)
            yield replace(behaviour, key=key)


def _table(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    table = data.get(name)
    if not isinstance(table, dict) or not table:
        raise SheetTrouble(f"The sheet of behaviours has no [{name}].")
    return table


def _read_group(name: str, entry: Any) -> Group:
    _check_name(name)
    if not isinstance(entry, dict):
        raise SheetTrouble(f"The group {name} must be written {{ title = \"...\" }}.")
    unknown = set(entry) - {"title", "side_by_side"}
    if unknown:
        raise SheetTrouble(f"The group {name} has an unknown word: {', '.join(sorted(unknown))}.")
    side_by_side = entry.get("side_by_side", False)
    if not isinstance(side_by_side, bool):
        raise SheetTrouble(f"The group {name}: side_by_side is true or false.")
    return Group(name, _text(name, entry, "title", name), side_by_side)


def _read_behaviour(name: str, entry: Any, groups: set[str]) -> Behaviour:
    _check_name(name)
    if not isinstance(entry, dict):
        raise SheetTrouble(f"{name} must be written {{ group = ..., kind = ... }}.")
    unknown = set(entry) - {"group", "kind", "title", "key", "rule", "asks"}
    if unknown:
        raise SheetTrouble(f"{name} has an unknown word: {', '.join(sorted(unknown))}.")
    group = _text(name, entry, "group", "")
    if group not in groups:
        raise SheetTrouble(f"{name} is in the group '{group}', which is not under [groups].")
    kind = entry.get("kind")
    if kind not in ("state", "event"):
        raise SheetTrouble(f"{name} must be a state or an event, not '{kind}'.")
    key = _text(name, entry, "key", "")
    if key and not _KEY.fullmatch(key):
        raise SheetTrouble(f"{name} has the key '{key}'. Write one like Q, Shift+Q or Alt+Q.")
    asks = entry.get("asks", [])
    if not isinstance(asks, list) or not all(isinstance(asked, str) for asked in asks):
        raise SheetTrouble(f"{name}: asks is a list of names.")
    title = _text(name, entry, "title", "").strip() or name.replace("_", " ")
    return Behaviour(name, group, kind, title, key, _text(name, entry, "rule", ""), tuple(asks))


def _check_name(name: str) -> None:
    if not _NAME.fullmatch(name):
        raise SheetTrouble(f"'{name}' must be lower-case words joined by underscores.")


def _text(name: str, entry: Mapping[str, Any], word: str, default: str) -> str:
    value = entry.get(word, default)
    if not isinstance(value, str):
        raise SheetTrouble(f"{name}: {word} must be text in quotes.")
    return value
