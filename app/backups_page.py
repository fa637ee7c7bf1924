"""The backups of the barn: making one, looking into one, bringing one back; and a check of the barn itself."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QCoreApplication, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QPushButton, QTreeWidget, QTreeWidgetItem, QWidget

from annotate.days import day_text
from annotate.errors import Trouble
from app.asked_once_more import AskedOnceMore
from app.asking import ask_for_barn_file, ask_for_folder
from app.counted import Counted
from app.flowing import Flowing
from app.jobs import Job, Jobs
from app.labels import plain_label
from app.marked import QT_TRANSLATE_NOOP
from app.side_page import SidePage
from store.barn import Barn
from store.checking import Finding, check
from store.looking_in import Inside, look_in
from store.rolling import FOLDER_KEY, NONE_ON_A_SERVER, KeptBackup, back_up, backups, folder_of

_FILE = Qt.ItemDataRole.UserRole
_SEVERITIES = {
    "broken": QT_TRANSLATE_NOOP("BackupsPage", "Broken, bring back a backup"),
    "wrong": QT_TRANSLATE_NOOP("BackupsPage", "Wrong, to be corrected"),
    "note": QT_TRANSLATE_NOOP("BackupsPage", "Good to know"),
}


class BackupsPage(SidePage):
    """`restore_asked(file)`: the barn is to become as it was in that file."""

    restore_asked = Signal(object)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.set_title(self.tr("Backups"))
        self._barn, self._jobs = barn, jobs
        self._on_server = not isinstance(barn.place, Path)
        self._where = plain_label(quiet=True)
        self.folder_button = QPushButton(self.tr("Keep them elsewhere…"))
        self.folder_button.setToolTip(self.tr("Such as on a second disk, which is not lost with this one"))
        self.folder_button.clicked.connect(self._ask_for_folder)
        self.list = QTreeWidget()
        self.list.setAccessibleName(self.tr("Backups"))
        self.list.setHeaderLabels([self.tr("Made"), self.tr("Ago"), self.tr("Size"), self.tr("File")])
        self.list.setRootIsDecorated(False)
        for column, width in enumerate((210, 130, 100)):
            self.list.setColumnWidth(column, width)
        self.list.currentItemChanged.connect(self._show_buttons)
        self.list.itemActivated.connect(self._look_in)
        self.now_button = QPushButton(self.tr("Make one now"))
        self.now_button.setProperty("main", True)
        self.now_button.clicked.connect(self._make_one)
        self.look_button = QPushButton(self.tr("Look into it"))
        self.look_button.clicked.connect(self._look_in)
        self.restore_button = QPushButton(self.tr("Bring it back…"))
        self.restore_button.clicked.connect(self._ask_to_restore)
        self.file_button = QPushButton(self.tr("Bring back a file…"))
        self.file_button.setToolTip(self.tr("A backup that lies somewhere else"))
        self.file_button.clicked.connect(self._ask_for_file)
        self.asked = AskedOnceMore()
        self._inside = plain_label(quiet=True)
        self.check_button = QPushButton(self.tr("Check the barn"))
        self.check_button.setToolTip(self.tr("Looks at the file, the tags and every clip"))
        self.check_button.clicked.connect(self._check)
        self._checked = plain_label(
            self.tr("A check looks at the file, the sense of the tags, and every clip."),
            quiet=True,
        )
        self.findings = QListWidget()
        self.findings.setAccessibleName(self.tr("Findings"))
        self.findings.setWordWrap(True)
        self.findings.hide()
        self._lay_out()

    def _lay_out(self) -> None:
        where = QHBoxLayout()
        where.addWidget(self._where, 1)
        where.addWidget(self.folder_button)
        ways = Flowing()
        for button in (self.now_button, self.look_button, self.restore_button, self.file_button):
            ways.addWidget(button)
        checking = QHBoxLayout()
        checking.addWidget(self._checked, 1)
        checking.addWidget(self.check_button)
        self.column.addLayout(where)
        self.column.addWidget(self.list, 2)
        self.column.addLayout(ways)
        self.column.addWidget(self._inside)
        self.column.addWidget(self.asked)
        self.column.addLayout(checking)
        self.column.addWidget(self.findings, 1)

    def refresh(self) -> None:
        """Lists the backups that are there now."""
        self.list.clear()
        self.asked.hide()
        self._inside.clear()
        if self._on_server:
            self._show_for_server()
            return
        damaged = self._barn.salvaged is not None
        try:
            found = backups(self._path, self._folder)
        except Trouble as trouble:
            found = []
            self.say_trouble(str(trouble))
        for one in found:
            item = QTreeWidgetItem(_texts(one, datetime.now(one.at.tzinfo)))
            item.setData(0, _FILE, one)
            self.list.addTopLevelItem(item)
        if (first := self.list.topLevelItem(0)) is not None:
            self.list.setCurrentItem(first)
        where = self.tr("They lie in {folder}.") if found else self.tr("None yet. They will lie in {folder}.")
        how = self.tr(
            "While the barn is open one is made every hour in which something changed; "
            "older ones are thinned out by age."
        )
        self._where.setText(f"{where.format(folder=self._folder)} {how}")
        self.now_button.setEnabled(not damaged)
        self.folder_button.setEnabled(not damaged)
        self._show_buttons()

    def _show_for_server(self) -> None:
        self._where.setText(NONE_ON_A_SERVER)
        ways = (self.now_button, self.look_button, self.restore_button, self.file_button)
        for widget in (self.list, self.folder_button, *ways):
            widget.hide()

    @property
    def _path(self) -> Path:
        """The barn's own file, also where only a copy of what could be read of it is open."""
        salvaged = self._barn.salvaged
        return salvaged.damaged if salvaged is not None else self._barn.path

    @property
    def _folder(self) -> Path:
        return folder_of(self._path, self._barn.setting(FOLDER_KEY))

    def _chosen(self) -> KeptBackup | None:
        item = self.list.currentItem()
        return item.data(0, _FILE) if item is not None else None

    def _show_buttons(self) -> None:
        chosen = self._chosen() is not None
        self.look_button.setEnabled(chosen)
        self.restore_button.setEnabled(chosen)

    # -- making one, and where they lie

    def _make_one(self) -> None:
        path, folder = self._path, self._folder

        def work(job: Job) -> Path | None:
            made = back_up(path, folder)
            job.all_is_done()
            return made

        job = self._jobs.start(self.tr("Making a backup"), work, self._on_made, self.say_trouble)
        job.ended.connect(self.refresh)

    def _on_made(self, made: Path | None) -> None:
        if made is None:
            self.said.emit(self.tr("Nothing has changed since the last backup."), False)
        else:
            self.said.emit(self.tr("A backup was made: {file}").format(file=made.name), False)

    def _ask_for_folder(self) -> None:
        folder = ask_for_folder(self, self.tr("Where to keep the backups"), "backups")
        if folder is not None:
            try:
                self._barn.keep_setting(FOLDER_KEY, str(folder))
            except Trouble as trouble:
                self.say_trouble(str(trouble))
            self.refresh()

    # -- looking into one

    def _look_in(self) -> None:
        chosen = self._chosen()
        if chosen is None:
            return
        now, then = self._path, chosen.path
        damaged = self._barn.salvaged is not None

        def work(job: Job) -> tuple[Inside, Inside | None]:
            return look_in(then), None if damaged else look_in(now)

        when = _when(chosen.at)
        self._jobs.start(
            self.tr("Looking into a backup"), work, lambda found: self._on_looked(when, *found), self.say_trouble
        )

    def _on_looked(self, when: str, then: Inside, now: Inside | None) -> None:
        horses = ", ".join(
            horse.name + " " + Counted.tr("{count} session|{count} sessions", "", horse.sessions)
            for horse in then.horses
        )
        words = self.tr("{when}: {sessions} with {tags} of {count}. {horses}.").format(
            when=when,
            sessions=Counted.tr("{count} session|{count} sessions", "", then.sessions),
            tags=Counted.tr("{count} tag|{count} tags", "", then.tags),
            count=Counted.tr("{count} horse|{count} horses", "", len(then.horses)),
            horses=horses,
        )
        self._inside.setText(f"{words} {_since(then, now)}" if now is not None else words)

    # -- bringing one back

    def _ask_to_restore(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self._ask_about(chosen.path, self.tr("as it was on {when}").format(when=_when(chosen.at)))

    def _ask_for_file(self) -> None:
        file = ask_for_barn_file(self)
        if file is not None:
            self._ask_about(file, self.tr("as it is in {file}").format(file=file.name))

    def _ask_about(self, file: Path, how: str) -> None:
        words = self.tr(
            "Let the barn become {how}? What is there now is kept beside it as a copy, and can be brought "
            "back in the same way."
        )
        self.asked.ask(
            words.format(how=how),
            self.tr("Bring it back"),
            lambda: self.restore_asked.emit(file),
            self.tr("Leave the barn as it is"),
        )

    # -- checking

    def _check(self) -> None:
        place = self._barn.place if self._on_server else self._path
        self.check_button.setEnabled(False)

        def work(job: Job) -> Sequence[Finding]:
            return check(place, job.report, job.is_cancelled)

        job = self._jobs.start(self.tr("Checking the barn"), work, self._on_checked, self.say_trouble)
        job.ended.connect(lambda: self.check_button.setEnabled(True))

    def _on_checked(self, found: Sequence[Finding]) -> None:
        self.findings.clear()
        self.findings.addItems([f"{self.tr(_SEVERITIES[one.severity])}: {one.words}" for one in found])
        self.findings.setVisible(bool(found))
        sound = self.tr("The barn is sound: file, versions, tags and clips.")
        self._checked.setText(Counted.tr("{count} finding.|{count} findings.", "", len(found)) if found else sound)


def _texts(one: KeptBackup, now: datetime) -> list[str]:
    return [_when(one.at), _ago((now - one.at).total_seconds()), _size(one.size), one.path.name]


def _when(at: datetime) -> str:
    here = at.astimezone()
    return f"{day_text(here)}, {here:%H:%M}"


def _ago(seconds: float) -> str:
    if seconds < 0:
        return QCoreApplication.translate("backups", "later than now")
    days, hours, minutes = (int(seconds // length) for length in (86400, 3600, 60))
    if days:
        return Counted.tr("{count} day ago|{count} days ago", "", days)
    if hours:
        return Counted.tr("{count} hour ago|{count} hours ago", "", hours)
    if minutes:
        return Counted.tr("{count} minute ago|{count} minutes ago", "", minutes)
    return QCoreApplication.translate("backups", "just now")


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count < 1e9 else f"{count / 1e9:.2f} GB"


def _since(then: Inside, now: Inside) -> str:
    sessions, tags = now.sessions - then.sessions, now.tags - then.tags
    if not sessions and not tags:
        return QCoreApplication.translate("backups", "The barn has as many of both now.")
    told: list[str] = []
    if sessions > 0:
        told.append(Counted.tr("{count} session more|{count} sessions more", "", sessions))
    elif sessions:
        told.append(Counted.tr("{count} session fewer|{count} sessions fewer", "", -sessions))
    if tags > 0:
        told.append(Counted.tr("{count} tag more|{count} tags more", "", tags))
    elif tags:
        told.append(Counted.tr("{count} tag fewer|{count} tags fewer", "", -tags))
    words = QCoreApplication.translate("backups", "The barn has {what} now.")
    return words.format(what=QCoreApplication.translate("backups", " and ").join(told))

