"""Qt's properties, set by the names of their values, for what is made before the window's first picture.

PySide makes all ninety enumerations of `Qt` when the first of them is named, which takes a tenth of the start. Qt
itself knows a value by its name. So what is loaded at the start names `QtCore.Qt` only inside what is called later.
"""

from __future__ import annotations

from PySide6.QtCore import QObject


def set_by_name(thing: QObject, **values: str) -> None:
    """Sets properties, as `alignment="AlignCenter"`. Raises `ValueError` for a property or a name Qt does not know."""
    for name, value in values.items():
        if not thing.setProperty(name, value):
            raise ValueError(f"{type(thing).__name__} knows no {name} {value}")
