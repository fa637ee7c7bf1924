"""What was freed goes back to the system."""

from __future__ import annotations

import subprocess
import sys

import pytest

from app.places import ROOT

# Planes of 640 x 360 with something small that stays after each, as decoding leaves them behind.
_PLANES = """
import ctypes, sys
from app.memory import give_memory_back

libc = ctypes.CDLL(None)
libc.malloc.restype, libc.malloc.argtypes, libc.free.argtypes = ctypes.c_void_p, [ctypes.c_size_t], [ctypes.c_void_p]

class Mallinfo(ctypes.Structure):
    names = "arena ordblks smblks hblks hblkhd usmblks fsmblks uordblks fordblks keepcost"
    _fields_ = [(name, ctypes.c_size_t) for name in names.split()]

libc.mallinfo2.restype = Mallinfo
if sys.argv[1] == "give":
    give_memory_back()
planes = []
for _ in range(100):
    for size in (640 * 360, 320 * 180, 320 * 180):
        planes.append(libc.malloc(size))
        libc.malloc(4_000)
for plane in planes:
    libc.free(plane)
print(libc.mallinfo2().fordblks)
"""


def kept_free(what: str) -> int:
    """The bytes that were freed and not given back."""
    done = subprocess.run(
        [sys.executable, "-c", _PLANES, what], cwd=ROOT, check=True, capture_output=True, text=True
    )
    return int(done.stdout)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="glibc is a matter of Linux")
def test_the_planes_of_decoded_frames_go_back_to_the_system() -> None:
    assert 20 * kept_free("give") < kept_free("keep")
