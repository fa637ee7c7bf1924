"""What the form of a record does to the barn: it keeps what was written, or puts the record elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from annotate.horses import Horse, Where
from annotate.sessions import parse_day
from app.record_form import Action, RecordForm, changed_horse, horse_fields, session_fields
from store.barn import Barn
from store.rows import SessionRow


class Records:
    """Asks in the form. `refresh(horse)` shows the barn anew, with that horse chosen."""

    def __init__(self, barn: Barn, form: RecordForm, refresh: Callable[..., None]) -> None:
        self._barn = barn
        self._form = form
        self._refresh = refresh

    def ask_horse(self, horse: Horse) -> None:
        """Shows a horse's record."""

        def keep(texts: Mapping[str, str]) -> None:
            changed = changed_horse(horse, texts, date.today())
            self._barn.change_horse(changed)
            self._refresh(" ".join(changed.name.split()))

        def put(where: Where) -> None:
            self._barn.put_horse(horse.id, where)
            self._refresh()

        self._form.ask(f"{horse.name}'s record", horse_fields(horse), keep, _ways(horse.where, put))

    def ask_session(self, row: SessionRow) -> None:
        """Shows a session's record."""
        session = self._barn.session(row.id)

        def keep(texts: Mapping[str, str]) -> None:
            words = {name: text for name, text in texts.items() if name != "day"}
            self._barn.change_session(row.id, day=parse_day(texts["day"]), details=words)
            self._refresh()

        def put(where: Where) -> None:
            self._barn.put_session(row.id, where)
            self._refresh()

        self._form.ask(f"Record of {session.name}", session_fields(session), keep, _ways(row.where, put))


def _ways(where: Where, put: Callable[[Where], None]) -> list[Action]:
    """Where a record can be put from where it lies."""
    back: Action = ("Bring back", lambda: put("barn"))
    archive: Action = ("Archive", lambda: put("archive"))
    throw: Action = ("Into the bin", lambda: put("bin"))
    return {"barn": [archive, throw], "archive": [back, throw], "bin": [back]}[where]
