"""Lets what was freed go back to the system.

glibc takes large blocks from the system one by one, but stops doing so, up to 32 MB each, once the first of them was
freed; pictures of many sizes then leave holes that nothing else fits into, and an hour's work holds a tenth more. A
decoded frame is three blocks, one for the brightness and two, a quarter as large, for the colour. To take and give
them costs a tenth of a millisecond for a frame of 640 x 360.
"""

from __future__ import annotations

import sys

_TOP_PAD, _MMAP_THRESHOLD = -2, -3  # M_TOP_PAD and M_MMAP_THRESHOLD of malloc.h
_LARGE_BYTES = 48 * 1024  # less than a colour plane of 640 x 360
_SPARE_BYTES = 32 * 1024  # taken ahead for small blocks: if a plane fitted into it, it would be put there


def give_memory_back() -> None:
    """Each block as large as a picture is the system's again when it is freed; where there is no glibc, nothing."""
    if sys.platform.startswith("linux"):
        import ctypes

        mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
        if mallopt is not None:
            mallopt(_MMAP_THRESHOLD, _LARGE_BYTES)
            mallopt(_TOP_PAD, _SPARE_BYTES)
