"""The log that a person can send: what went wrong, in a file that stays small.

It names files and never the folders they lie in: a folder's name can be a horse's, an owner's or a place's.
"""

from __future__ import annotations

import logging
import re
from pathlib import Path

from app.places import log_file

_MOST_BYTES, _OLDER = 512 * 1024, 3
_NAMED_PATH = re.compile(r"""(['"])([^'"\n]*[/\\])([^'"/\\\n]*)\1""")
_ROOT = r"""(?<![^\s'"(\[=<,])(?:[\w+.-]+:|~\w*|\.{1,2})?[/\\]"""
_END = rf"""\s{_ROOT}|[:;]\s|\.\w{{1,5}}[,)\]>]+(?:\s|$)"""
_LETTER = r"""(?:[^'"\n]|(?<=\w)'(?=\w))"""
_FOLDERS = re.compile(rf"{_ROOT}(?:(?:(?!{_END}){_LETTER})*[/\\])?")
_BARE_PATH = re.compile(r"""[^\s'"(\[=]*[/\\]([^\s'"/\\]*)""")


def without_folders(text: str) -> str:
    """A text with each path cut down to its last name.

    A path without quotes may have blanks in it: it is taken to go on to its last stroke in the line, unless a colon,
    another path, or a file's ending before a comma or a bracket comes first. Rather too much is cut than too little.
    """
    text = _NAMED_PATH.sub(r"\1\3\1", text)
    text = _FOLDERS.sub("", text)
    return _BARE_PATH.sub(r"\1", text)


class _Discreet(logging.Formatter):
    """Writes a record, traceback and all, without folders."""

    def format(self, record: logging.LogRecord) -> str:
        return without_folders(super().format(record))


def begin_log(path: Path | None = None) -> logging.Handler | None:
    """Writes warnings and worse to the user's log from now on; None where it cannot be written."""
    # Loaded here: what it can besides takes long to load, and the window comes up before its log is begun.
    from logging.handlers import RotatingFileHandler

    place = path or log_file()
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(place, maxBytes=_MOST_BYTES, backupCount=_OLDER, encoding="utf-8")
    except OSError as error:
        logging.getLogger(__name__).warning("there is no log: %s", error.strerror)
        return None
    handler.setLevel(logging.WARNING)
    handler.setFormatter(_Discreet("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    logging.getLogger().addHandler(handler)
    return handler
