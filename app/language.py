"""The language of the window: English, or the system's where there is a translation into it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QTranslator

from app.places import ROOT

LANGUAGES = ROOT / "app" / "languages"


def speak(app: QCoreApplication, language: str = "", folder: Path = LANGUAGES) -> tuple[QTranslator, ...]:
    """From now on what is made says what it says in a language, 'sv' or 'pt_BR'; in the system's if none is named.

    Returns what translates: nothing where there is no railside_sv.qm in the folder, for the window is in English then,
    and so are Qt's own dialogs.
    """
    wanted = language or QLocale.system().uiLanguages()[0].replace("-", "_")
    ours, of_qt = QTranslator(app), QTranslator(app)
    if not ours.load(f"railside_{wanted}", str(folder)):
        return ()
    of_qt.load(f"qtbase_{wanted}", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath))
    for translator in (of_qt, ours):
        app.installTranslator(translator)
    return of_qt, ours
