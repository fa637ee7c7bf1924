"""What one person prefers on this machine: the look, the size of the text, the unit, where the window was.

A small JSON file in the user's folder. A file that cannot be read or written costs nothing but the choice.
"""

from __future__ import annotations

import json
import logging
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Literal

from annotate.errors import Trouble
from app.look import LOOKS, TEXT_SIZES, Look

Unit = Literal["metres", "feet"]
UNITS: tuple[Unit, ...] = ("metres", "feet")

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Choices:
    """`window` is left, top, width and height on the desktop; None before the first closing."""

    look: Look = "evening"
    text_percent: int = 100
    unit: Unit = "metres"
    window: tuple[int, int, int, int] | None = None
    maximized: bool = False


class Preferences:
    """The choices and the file they are kept in; without a file they last as long as the object."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self.choices = _read(path) if path is not None else Choices()

    def keep(self, **changed: object) -> None:
        """Changes some of the choices and keeps them."""
        self.choices = replace(self.choices, **changed)  # type: ignore[arg-type]
        if self._path is None:
            return
        from annotate.writing import write_text

        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_text(self._path, json.dumps(asdict(self.choices), indent=1))
        except (OSError, Trouble) as error:
            log.warning("the preferences could not be kept: %s", error)


def _read(path: Path) -> Choices:
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        window = kept.get("window")
        choices = Choices(
            kept.get("look", "evening"),
            int(kept.get("text_percent", 100)),
            kept.get("unit", "metres"),
            (int(window[0]), int(window[1]), int(window[2]), int(window[3])) if window else None,
            bool(kept.get("maximized", False)),
        )
    except (OSError, ValueError, TypeError, LookupError, AttributeError):
        return Choices()
    sound = choices.look in LOOKS and choices.text_percent in TEXT_SIZES and choices.unit in UNITS
    return choices if sound else Choices()
