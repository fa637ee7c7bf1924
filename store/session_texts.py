"""Small texts that belong to a session: they lie among the settings, and go along when a horse is handed over.

A key names the session by its number here; in another barn that number is another one, so it is told as {}.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from sqlalchemy import Connection, select

from annotate.handed_besides import FOLLOWING, is_carried, renumbered
from store.settings import write_setting
from store.tables import setting

_NUMBERED: Final = re.compile(r"(second_look|desk\.following)\.([0-9]+)(\..+)?")


def read_session_texts(
    connection: Connection, session_id: int, numbers: Mapping[int, int]
) -> dict[str, str]:
    """The texts of a session. `numbers`: its clips' numbers as another barn would count them, from 0."""
    found = {}
    query = select(setting.c.key, setting.c.value).where(setting.c.key.contains(f".{session_id}"))
    for key, value in connection.execute(query.order_by(setting.c.key)):
        parts = _NUMBERED.fullmatch(key)
        if parts is None or int(parts[2]) != session_id:
            continue
        told = f"{parts[1]}.{{}}{parts[3] or ''}"
        if is_carried(told):
            found[told] = renumbered(value, numbers) if told == FOLLOWING else value
    return found


def write_session_texts(
    connection: Connection, session_id: int, texts: Mapping[str, str], numbers: Mapping[int, int]
) -> None:
    """Keeps them in place of those that were there. `numbers`: the clips' numbers here, by that from 0."""
    for key in read_session_texts(connection, session_id, {}):
        write_setting(connection, key.format(session_id), None)
    for key, text in texts.items():
        value = renumbered(text, numbers) if key == FOLLOWING else text
        write_setting(connection, key.format(session_id), value)
