"""What the form of a record does to the barn: it keeps what was written, or puts the record elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from annotate.days import to_come
from annotate.errors import Trouble
from annotate.horses import Horse, Where
from annotate.sessions import parse_day
from app.record_fields import changed_details, changed_horse, horse_fields, session_fields
from app.record_form import Action, RecordForm
from store.rows import SessionRow

if TYPE_CHECKING:
    from store.barn import Barn


class Records:
    """Asks in the form. `refresh(horse)` shows the barn anew, with that horse chosen.

    `hand_over(horse)` and `add_view(session)` ask for more, where a record leads on to it.
    """

    def __init__(
        self,
        barn: Barn,
        form: RecordForm,
        refresh: Callable[..., None],
        hand_over: Callable[[str], None],
        add_view: Callable[[int], None],
    ) -> None:
        self._barn = barn
        self._form = form
        self._refresh = refresh
        self._hand_over, self._add_view = hand_over, add_view

    def ask_horse(self, horse: Horse) -> None:
        """Shows a horse's record."""

        def keep(texts: Mapping[str, str]) -> None:
            changed = changed_horse(horse, texts, date.today())
            self._barn.change_horse(changed)
            self._refresh(" ".join(changed.name.split()))

        def put(where: Where) -> None:
            self._barn.put_horse(horse.id, where)
            self._refresh()

        fields = horse_fields(horse, [owner.name for owner in self._barn.owners()])
        hand_over = QCoreApplication.translate("records", "Hand over…")
        further: list[Action] = [(hand_over, lambda: self._hand_over(horse.name))]
        ways = [*(further if horse.where != "bin" else []), *_ways(horse.where, put)]
        title = QCoreApplication.translate("records", "{horse}'s record").format(horse=horse.name)
        self._form.ask(title, fields, keep, ways)

    def ask_session(self, row: SessionRow) -> None:
        """Shows a session's record."""
        session = self._barn.session(row.id)

        def keep(texts: Mapping[str, str]) -> None:
            self._barn.change_session(
                row.id, day=parse_day(texts["day"]), details=changed_details(session, texts)
            )
            self._refresh()

        def put(where: Where) -> None:
            self._barn.put_session(row.id, where)
            self._refresh()

        another = QCoreApplication.translate("records", "Another camera…")
        further: list[Action] = [(another, lambda: self._add_view(row.id))]
        ways = [*(further if row.where == "barn" and row.clips else []), *_ways(row.where, put)]
        title = QCoreApplication.translate("records", "Record of {session}").format(session=session.called)
        self._form.ask(title, session_fields(session), keep, ways, _doubts)


def _doubts(texts: Mapping[str, str]) -> str:
    """A day to come, in words; what is no day at all is said when it is kept."""
    try:
        return to_come(parse_day(texts["day"]), date.today())
    except Trouble:
        return ""


def _ways(where: Where, put: Callable[[Where], None]) -> list[Action]:
    """Where a record can be put from where it lies."""
    back: Action = (QCoreApplication.translate("records", "Bring back"), lambda: put("barn"))
    archive: Action = (QCoreApplication.translate("records", "Archive"), lambda: put("archive"))
    throw: Action = (QCoreApplication.translate("records", "Into the bin"), lambda: put("bin"))
    return {"barn": [archive, throw], "archive": [back, throw], "bin": [back]}[where]
