"""Text that would break a file if the file let it: for every field of every format."""

from __future__ import annotations

HOSTILE = [
    "<b>bold</b> & <i>more</i>",
    "a --> b",
    "-->",
    "two\n\nlines\r\nand\rmore\u2028still\x85",
    '"quoted", \'too\'',
    "=cmd|' /C calc'!A0",
    "\N{RIGHT-TO-LEFT OVERRIDE}drow \N{RIGHT-TO-LEFT MARK}",
    "🐴🏽 \N{ZERO WIDTH JOINER}",
    "{\\an8}{\\b1} \\N \\h",
    "[CHAPTER]\nTIMEBASE=1/1\nSTART=0",
    ";#=\\",
    "* FROM CLIP NAME: other.mp4",
    "001  AX  V  C  00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00",
    "%{pts} ':,[v];movie=x[w]",
    "x" * 5000,
]
