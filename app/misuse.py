"""What is wrong with a command line, as a plain sentence; the usage comes after it."""

from __future__ import annotations

import argparse
import re
from typing import Final, NoReturn

# How argparse says it, in any Python from 3.11, and how it is said here.
_PLAINLY: Final = (
    (r"argument VERB: invalid choice: (.+?) \(choose from .*\)", r"There is no verb \1. --help lists them."),
    (r"argument (.+?): invalid choice: (.+?) \(choose from (.*)\)", r"\1 is one of \3, not \2."),
    (r"argument (.+?): invalid int value: (.*)", r"\1 is a whole number, not \2."),
    (r"argument (.+?): invalid float value: (.*)", r"\1 is a number, not \2."),
    (r"argument (.+?): expected one argument", r"Something is missing after \1."),
    (r"argument (.+?): expected (?:at least one|\d+) arguments?", r"Something is missing after \1."),
    (r"argument (.+?): not allowed with argument (.+)", r"\1 does not go with \2."),
    (r"the following arguments are required: (.+)", r"Missing: \1."),
    (r"one of the arguments (.+) is required", r"Missing: one of \1."),
    (r"unrecognized arguments: (.+)", r"Not understood: \1."),
)


class PlainParser(argparse.ArgumentParser):
    """Reads a command line; whatever is wrong with it ends with 2 and a sentence a person understands."""

    def error(self, message: str) -> NoReturn:
        """Says it and ends."""
        self.exit(2, f"{plainly(message)}\n{self.format_usage()}")


def plainly(message: str) -> str:
    """The sentence for what argparse says."""
    for said, sentence in _PLAINLY:
        if found := re.fullmatch(said, message, re.DOTALL):
            return found.expand(sentence)
    return f"{message[:1].upper()}{message[1:]}."
