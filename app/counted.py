"""How many of something, for a person: '1 tag', '2 000 000 tags'."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication


class Counted:
    """Texts with a count in them. Written as a class because Qt's translator finds them by `Counted.tr`."""

    @staticmethod
    def tr(forms: str, hint: str, count: int) -> str:
        """The form that belongs to a count, in the language of the window, with the count in place of `{count}`.

        `forms` has the two of English with a bar between: '{count} tag|{count} tags'. A translation has as many as
        its language needs, which Qt chooses from. Thousands are grouped by a thin space; other places in braces stay.
        `hint` is for the translator, empty where none is needed.
        """
        one, _, more = QCoreApplication.translate("Counted", forms, hint, count).partition("|")
        number = f"{count:,}".replace(",", "\N{THIN SPACE}")
        return (one if count == 1 or not more else more).replace("{count}", number)
