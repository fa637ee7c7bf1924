"""The line on the barn page by which horses and sessions are found: words, where they lie, in what order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from annotate.horses import Horse, Where
from app.marked import QT_TRANSLATE_NOOP

if TYPE_CHECKING:
    from app.find_more import FindMore
    from store.barn import Barn
    from store.rows import HorseRow
    from store.wanted import HorseOrder, SessionOrder, WantedHorses, WantedSessions

_WHERE: dict[str, Where] = {
    QT_TRANSLATE_NOOP("FindBar", "In use"): "barn",
    QT_TRANSLATE_NOOP("FindBar", "Archive"): "archive",
    QT_TRANSLATE_NOOP("FindBar", "Bin"): "bin",
}
# In what order, and whether backwards.
_HORSES: dict[str, tuple[HorseOrder, bool]] = {
    QT_TRANSLATE_NOOP("FindBar", "Horses by name"): ("name", False),
    QT_TRANSLATE_NOOP("FindBar", "Last worked first"): ("last session", True),
    QT_TRANSLATE_NOOP("FindBar", "Most sessions first"): ("sessions", True),
    QT_TRANSLATE_NOOP("FindBar", "Youngest first"): ("born", True),
}
_SESSIONS: dict[str, tuple[SessionOrder, bool]] = {
    QT_TRANSLATE_NOOP("FindBar", "Oldest session first"): ("day", False),
    QT_TRANSLATE_NOOP("FindBar", "Newest session first"): ("day", True),
    QT_TRANSLATE_NOOP("FindBar", "Longest session first"): ("length", True),
    QT_TRANSLATE_NOOP("FindBar", "Most tags first"): ("tags", True),
}


class FindBar(QWidget):
    """`changed` whenever something else is wanted."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = QLineEdit()
        self.words.setPlaceholderText(self.tr("Find: horse, owner, place, goal, note…"))
        self.words.setAccessibleName(self.tr("Find"))
        self.words.setToolTip(self.tr("All of these words, in a session's record or its horse's (Ctrl+F)"))
        self.words.setClearButtonEnabled(True)
        self.words.textChanged.connect(self.changed)
        self.where = self._choice(self.tr("Where"), _WHERE)
        self.horse_order = self._choice(self.tr("Order of horses"), _HORSES)
        self.session_order = self._choice(self.tr("Order of sessions"), _SESSIONS)
        self._behaviours: Callable[[], Sequence[tuple[str, str]]] = tuple
        self.more_button = QPushButton(self.tr("More"))
        self.more_button.setProperty("cap", True)
        self.more_button.setCheckable(True)
        self.more_button.setToolTip(self.tr("Sessions in which something was tagged, or of some days"))
        self.more_button.toggled.connect(self._show_more)
        row = QHBoxLayout()
        row.addWidget(self.words, 1)
        row.addWidget(self.more_button)
        for choice in (self.where, self.horse_order, self.session_order):
            row.addWidget(choice)
            choice.currentIndexChanged.connect(self.changed)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addLayout(row)
        find = QShortcut(QKeySequence("Ctrl+F"), self)
        find.activated.connect(self._go_to_words)

    @cached_property
    def more(self) -> FindMore:
        """The second line; made when it is first asked for."""
        from app.find_more import FindMore

        more = FindMore()
        more.hide()
        more.changed.connect(self.changed)
        self._column.addWidget(more)
        before: QWidget = self.session_order
        for part in more.parts:
            self.setTabOrder(before, part)
            before = part
        return more

    @property
    def place(self) -> Where:
        """Where is looked."""
        return _WHERE[self.where.currentData()]

    @property
    def is_everything(self) -> bool:
        """Whether all that is in use is wanted."""
        return self.place == "barn" and not self.words.text().strip() and self.more.is_everything

    def use_behaviours(self, behaviours: Callable[[], Sequence[tuple[str, str]]]) -> None:
        """Where to ask for the behaviours that can be sought, as (name, title)."""
        self._behaviours = behaviours

    def wanted_horses(self) -> WantedHorses:
        """The horses that are wanted for their own sake."""
        from store.wanted import WantedHorses

        order, backwards = _HORSES[self.horse_order.currentData()]
        return WantedHorses(self.words.text(), self.place, order, backwards)

    def wanted_sessions(self, horse: Horse | None = None) -> WantedSessions:
        """The sessions that are wanted, of a horse or of all; a horse put away brings all its own."""
        from store.wanted import WantedSessions

        order, backwards = _SESSIONS[self.session_order.currentData()]
        whole = horse is not None and horse.where == self.place != "barn"
        first_day, last_day = self.more.days
        return WantedSessions(
            horse_id=horse.id if horse is not None else None,
            words=self.words.text(),
            where=None if whole else self.place,
            first_day=first_day,
            last_day=last_day,
            what=self.more.chosen_what,
            order=order,
            backwards=backwards,
        )

    def _show_more(self, shown: bool) -> None:
        """What is not seen does not narrow either."""
        if shown:
            self.more.offer(self._behaviours())
        else:
            self.more.clear()
        self.more.setVisible(shown)

    def _choice(self, name: str, texts: Iterable[str]) -> QComboBox:
        choice = QComboBox()
        choice.setAccessibleName(name)
        for words in texts:
            choice.addItem(self.tr(words), words)
        return choice

    def _go_to_words(self) -> None:
        self.words.setFocus()
        self.words.selectAll()


def listed_horses(barn: Barn, find_bar: FindBar) -> list[HorseRow]:
    """The horses that the page lists: those that are wanted, and those of the sessions that are."""
    if find_bar.is_everything:
        return barn.find_horses(find_bar.wanted_horses())
    counts = Counter(row.horse for row in barn.find_sessions(find_bar.wanted_sessions()))
    wanted = find_bar.wanted_horses()
    # A horse has no tags and no days of its own: where those are sought, its sessions alone decide.
    own = {row.horse.id for row in barn.find_horses(wanted)} if find_bar.more.is_everything else set()
    every = barn.find_horses(replace(wanted, words="", where=None))
    return [
        replace(row, sessions=counts[row.horse.name])
        for row in every
        if row.horse.id in own or counts[row.horse.name]
    ]

