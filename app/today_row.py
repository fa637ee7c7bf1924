"""One horse on the morning's page: what it works on, what is missing there, and what to look at first.

`full`: everything is said, in as many lines as that takes. Else lines are cut short, so that many horses fit.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from annotate.programme.cautions import PAIN, RISK
from annotate.programme.concerns import Concern
from annotate.programme.today import Today
from annotate.programme.work import Evidence
from app.counted import Counted
from app.elided import ElidedLabel
from app.flowing_left import FlowingLeft
from app.look import scaled
from app.state_marks import StateMarks, WarningMark

_MISSING_SHOWN = 2
_MOMENTS_SHOWN = 4
_STEP_PX = 15

Plays = Callable[[Evidence], None]


def horse_cell(one: Today, opens: Callable[[str], None]) -> QWidget:
    """The horse's name, which opens its ladder; a mark where pain is possible."""
    name = QPushButton(one.horse)
    name.setStyleSheet("font-weight: 600; text-align: left;")
    name.setToolTip(QCoreApplication.translate("today", "Opens the ladder of this horse"))
    name.clicked.connect(lambda: opens(one.horse))
    return name


def step_cell(one: Today) -> QWidget:
    """The step it is at, and under it the whole ladder in small."""
    at, steps = one.standing.at, one.standing.steps
    title = _words(at.step.title if at is not None else QCoreApplication.translate("today", "All criteria met"))
    title.setWordWrap(True)
    title.setStyleSheet(f"font-size: {scaled(_STEP_PX)}px; font-weight: 600;")
    if at is not None and at.step.do:
        title.setToolTip(f"{at.step.title}\n{at.step.do}")
    marks = StateMarks([step.state for step in steps], steps.index(at) if at is not None else None)
    marks.setToolTip("\n".join(f"{step.step.title}: {step.state.replace('_', ' ')}" for step in steps))
    below = QHBoxLayout()
    below.setSpacing(8)
    below.addWidget(marks)
    if at is not None and at.step.risky:
        risky = QLabel(QCoreApplication.translate("today", "risky"))
        risky.setProperty("warning", True)
        risky.setToolTip(f"{at.step.caution} {RISK}".strip())
        below.addWidget(risky)
    below.addStretch(1)
    box, column = _column()
    column.addWidget(title)
    column.addLayout(below)
    return box


def missing_cell(one: Today, *, full: bool = False) -> QWidget:
    """What is missing at its step, each in a line."""
    at = one.standing.at
    missing = [words for one in (at.missing if at is not None else ()) for words in one.split("; ")]
    box, column = _column()
    if full:
        for words in missing:
            column.addWidget(_wrapped(words))
        return box
    for place, words in enumerate(missing[:_MISSING_SHOWN]):
        more = len(missing) - _MISSING_SHOWN if place == _MISSING_SHOWN - 1 else 0
        line = ElidedLabel(words)
        line.setToolTip("\n".join(missing))
        row = QHBoxLayout()
        row.addWidget(line, 1)
        if more > 0:
            and_more = Counted.tr("and {count} more", "criteria", more)
            row.addWidget(_words(and_more, quiet=True))
        column.addLayout(row)
    return box


def last_cell(one: Today) -> QWidget:
    """When it last worked, and whether that is tagged."""
    box, column = _column()
    column.addWidget(_words(one.last_worked))
    if not one.last_is_tagged and one.last_day is not None:
        column.addWidget(_words(QCoreApplication.translate("today", "not tagged yet"), quiet=True))
    return box


def settled_cell(one: Today, plays: Plays) -> QWidget:
    """How long the latest reaction took to calm; a click plays it."""
    moment = one.last_recovery
    if moment is None:
        none = _words(QCoreApplication.translate("today", "none yet"), quiet=True)
        none.setToolTip(one.settled)
        return none
    button = QPushButton(one.settled)
    button.setProperty("cap", True)
    button.setToolTip(f"{moment.words}\n{moment.place}")
    button.clicked.connect(lambda: plays(moment))
    return button


def concerns_cell(one: Today, plays: Plays, *, full: bool = False) -> QWidget:
    """Each concern in a line: what it is, its moments to play, and what was seen."""
    box, column = _column()
    for concern in one.standing.concerns:
        words = _wrapped(concern.words) if full else ElidedLabel(concern.words)
        words.setProperty("quiet", True)
        words.setToolTip(_tip(concern))
        line = _concern(concern, plays)
        column.addLayout(line)
        if full:
            column.addWidget(words)
        else:
            line.addWidget(words)
    for left_out in one.standing.left_out:
        words = _wrapped(left_out) if full else ElidedLabel(left_out)
        words.setProperty("warning", True)
        column.addWidget(words)
    return box


def _tip(concern: Concern) -> str:
    return f"{concern.words}\n{PAIN}" if concern.pain else concern.words


def _concern(concern: Concern, plays: Plays) -> FlowingLeft:
    line = FlowingLeft()
    if concern.pain:
        line.addWidget(WarningMark())
    for place, moment in enumerate(concern.evidence[:_MOMENTS_SHOWN]):
        button = QPushButton(concern.title if place == 0 else str(place + 1))
        button.setProperty("cap", True)
        button.setToolTip(f"{_tip(concern)}\n{moment.words}, {moment.place}")
        plays_it = QCoreApplication.translate("today", "{concern}: play {what}, {place}")
        button.setAccessibleName(plays_it.format(concern=concern.title, what=moment.words, place=moment.place))
        button.clicked.connect(lambda _, moment=moment: plays(moment))
        line.addWidget(button)
    if not concern.evidence:
        line.addWidget(_words(concern.title))
    return line


def _column() -> tuple[QWidget, QVBoxLayout]:
    box = QWidget()
    column = QVBoxLayout(box)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(3)
    return box, column


def _words(text: str, *, quiet: bool = False) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setProperty("quiet", quiet)
    return label


def _wrapped(text: str) -> QLabel:
    label = _words(text)
    label.setWordWrap(True)
    return label
