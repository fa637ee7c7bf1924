"""Keys of the sheet of behaviours that cannot work, because something else answers to them or nothing presses them."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QCoreApplication

from annotate.behaviours import Sheet
from annotate.key_names import key_clashes
from app.keys import COMMANDS, SECOND_LOOK, command_title
from app.page_keys import EVERYWHERE


def sheet_clashes(keys: Mapping[str, str]) -> dict[str, str]:
    """What is wrong with the key of each behaviour whose key does not work alone; `keys` are theirs by name."""
    own = (*EVERYWHERE, *SECOND_LOOK, *COMMANDS)
    return key_clashes(keys, {command.key: command_title(command) for command in own})


def clash_words(sheet: Sheet) -> str:
    """What a person must know of a sheet's keys; empty if all of them work."""
    clashes = sheet_clashes({behaviour.name: behaviour.key for behaviour in sheet.behaviours})
    if not clashes:
        return ""
    name, clash = next(iter(clashes.items()))
    words = QCoreApplication.translate(
        "sheet clashes", "The key of {what} on the sheet of behaviours does not work. {clash}. Ctrl+E changes it."
    )
    return words.format(what=sheet[name].title, clash=clash)
