"""Lets what was freed go back to the system.

glibc takes large blocks from the system one by one, but stops doing so, up to 32 MB each, once the first of them was
freed; pictures of many sizes then leave holes that nothing else fits into, and an hour's work holds a tenth more.
"""

from __future__ import annotations

import ctypes
import sys

_MMAP_THRESHOLD = -3  # M_MMAP_THRESHOLD of malloc.h
_LARGE_BYTES = 256 * 1024  # less than any frame that is worth watching


def give_memory_back() -> None:
    """Each block as large as a picture is the system's again when it is freed; where there is no glibc, nothing."""
    if sys.platform.startswith("linux"):
        mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
        if mallopt is not None:
            mallopt(_MMAP_THRESHOLD, _LARGE_BYTES)
