"""Four plots over sessions: time on each rein, reactions a minute, time to settle, balance."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QCoreApplication, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from annotate.clock import NS_PER_S
from annotate.days import short_day_text
from annotate.numbers.compare import Row
from annotate.numbers.rates import NS_PER_MIN
from annotate.numbers.wording import ENOUGH_EVENTS, duration_text
from app.plots import BalancePlot, Plot, Point, ReinPlot


class ComparePlots(QWidget):
    """`chosen(place)`: the session that was clicked in any of them."""

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.reins = ReinPlot(self.tr("Minutes moving: left up, right down"))
        self.reactions = Plot(self.tr("Reactions a minute"))
        self.settling = Plot(self.tr("Seconds until half had settled"))
        self.balance = BalancePlot(self.tr("Balance of the reins"))
        row = QHBoxLayout(self)
        row.setContentsMargins(4, 4, 4, 4)
        row.setSpacing(8)
        self._all = (self.reins, self.reactions, self.settling, self.balance)
        for plot in self._all:
            plot.chosen.connect(self.chosen)
            row.addWidget(plot, 1)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Before those in it are painted, all of them have the room that the highest title takes."""
        title_px = max(plot.title_px for plot in self._all)
        for plot in self._all:
            plot.keep_title_px(title_px)
        super().paintEvent(event)

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Shows these sessions in their order."""
        marked = next((place for place, row in enumerate(rows) if row.against is None), None)
        self.reins.show_reins(
            [_minutes(row, row.numbers.rein.left_ns) for row in rows],
            [_minutes(row, row.numbers.rein.right_ns) for row in rows],
            marked,
        )
        self.reactions.show_points([_reactions(row) for row in rows], marked)
        self.settling.show_points([_settling(row) for row in rows], marked)
        self.balance.show_points([_balance(row) for row in rows], marked)


def _label(row: Row) -> str:
    return short_day_text(row.numbers.day)


def _words(row: Row, column: int) -> str:
    cell = row.cells[column]
    return f"{cell.figure}{'; ' + cell.note if cell.note else ''}"


def _minutes(row: Row, time_ns: int) -> Point:
    rein = row.numbers.rein
    words = QCoreApplication.translate("plots", "left {left}, right {right}").format(
        left=duration_text(rein.left_ns), right=duration_text(rein.right_ns)
    )
    return Point(_label(row), time_ns / NS_PER_MIN, words=words)


def _reactions(row: Row) -> Point:
    rate = row.numbers.reactions.seen
    value = None if rate.per_min is None else float(rate.per_min)
    low, high = rate.per_min_95 or (None, None)
    return Point(_label(row), value, low, high, rate.count < ENOUGH_EVENTS, _words(row, 4))


def _settling(row: Row) -> Point:
    curve = row.numbers.recovery.curve
    value = None if curve.median_ns is None else curve.median_ns / NS_PER_S
    interval = curve.median_95_ns if curve.count >= ENOUGH_EVENTS else None
    low, high = (None, None) if interval is None else interval
    return Point(
        _label(row),
        value,
        None if low is None else low / NS_PER_S,
        None if high is None else high / NS_PER_S,
        curve.count < ENOUGH_EVENTS,
        _words(row, 5),
    )


def _balance(row: Row) -> Point:
    balance = row.numbers.rein.balance
    return Point(_label(row), None if balance is None else float(balance), words=_words(row, 3))
