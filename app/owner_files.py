"""As what a session is written for its owner: the kinds of file, and what is drawn into the reel."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from PySide6.QtCore import QSize, Qt, QUrl, Signal
from PySide6.QtGui import QDesktopServices, QImage
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from annotate.deliver.deliver import KIND_TITLES, OWNER_KINDS
from app.labels import plain_label
from app.still import Still

_REEL = "reel"
_INDENT = 26
_SAMPLE_PX = 370


class OwnerFiles(QWidget):
    """`changed` when a tick is set or taken away."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._folder: Path | None = None
        self.kinds = {kind: QCheckBox(title) for kind, title in KIND_TITLES.items()}
        self.captions = QCheckBox(self.tr("with the captions drawn in"))
        self.work_line = QCheckBox(self.tr("with a small work line drawn in"))
        self._made_anew = plain_label(
            self.tr("Where words are drawn in, the whole reel is coded anew, which takes longer."), quiet=True
        )
        self.sample = Still()
        self.sample.setAccessibleName(self.tr("A picture of the reel"))
        self.written = plain_label("", quiet=True)
        self.written.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.written.setAccessibleName(self.tr("What was written"))
        self.open_folder = QPushButton(self.tr("Open the folder"))
        self.open_folder.clicked.connect(self._on_open)
        self._lay_out()
        for box in (*self.kinds.values(), self.captions, self.work_line):
            box.toggled.connect(self._on_toggled)

    def fill(self, kinds: Collection[str], possible: Collection[str], *, captions: bool, line: bool) -> None:
        """Ticks what was ticked last, as far as it is possible."""
        for box in (*self.kinds.values(), self.captions, self.work_line):
            box.blockSignals(True)
        for kind, box in self.kinds.items():
            box.setEnabled(kind in possible)
            box.setChecked(kind in kinds and kind in possible)
        self.captions.setChecked(captions)
        self.work_line.setChecked(line)
        for box in (*self.kinds.values(), self.captions, self.work_line):
            box.blockSignals(False)
        self._show_reel()
        self.show_written(None, [], [])

    def ticked(self) -> list[str]:
        """The kinds that are to be written."""
        return [kind for kind, box in self.kinds.items() if box.isChecked()]

    @property
    def draws(self) -> bool:
        """Whether a reel is to be made with something drawn in."""
        has_wish = self.captions.isChecked() or self.work_line.isChecked()
        return self.kinds[_REEL].isChecked() and has_wish

    def show_sample(self, image: QImage) -> None:
        """Shows how the reel will look."""
        fits = QSize(_SAMPLE_PX, _SAMPLE_PX * 9 // 16)
        keeps, smooth = Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
        self.sample.show_image(image if image.isNull() else image.scaled(fits, keeps, smooth))

    def show_written(self, folder: Path | None, files: Sequence[Path], said: Sequence[str]) -> None:
        """Says what was written into which folder, and how; None: nothing was."""
        self._folder = folder
        if folder is not None:
            names = [str(path.relative_to(folder)) for path in files]
            head = self.tr("Written into {folder}:").format(folder=folder)
            self.written.setText("\n\n".join(["\n".join([head, *names]), *said]))
        self.written.setVisible(folder is not None)
        self.open_folder.setVisible(folder is not None)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.setSpacing(5)
        opened = self.tr("An owner opens these; nothing is in them but what you chose:")
        column.addWidget(plain_label(opened, quiet=True))
        for kind, box in self.kinds.items():
            if kind == next(one for one in self.kinds if one not in (*OWNER_KINDS, _REEL)):
                column.addSpacing(8)
                others = self.tr("These are for a spreadsheet, a player or an editing room:")
                column.addWidget(plain_label(others, quiet=True))
            column.addWidget(box)
            if kind == _REEL:
                for wish in (self.captions, self.work_line, self.sample, self._made_anew):
                    row = QHBoxLayout()
                    row.addSpacing(_INDENT)
                    row.addWidget(wish, 1)
                    column.addLayout(row)
        column.addSpacing(8)
        column.addWidget(self.written)
        column.addWidget(self.open_folder)
        column.addStretch(1)

    def _show_reel(self) -> None:
        is_made = self.kinds[_REEL].isChecked()
        self.captions.setEnabled(is_made)
        self.work_line.setEnabled(is_made)
        self._made_anew.setVisible(self.draws)
        self.sample.setVisible(self.draws)

    def _on_toggled(self) -> None:
        self._show_reel()
        self.changed.emit()

    def _on_open(self) -> None:
        if self._folder is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._folder)))
