from __future__ import annotations

from av.video.frame import VideoFrame

from annotate.media.frame_cache import FrameCache


def frame() -> VideoFrame:
    return VideoFrame(64, 64, "gray")


SIZE = sum(plane.buffer_size for plane in frame().planes)


def test_the_frame_used_longest_ago_goes_first() -> None:
    cache = FrameCache(3 * SIZE)
    for n in (1, 2, 3):
        cache.put(n, frame())
    cache.get(1)
    cache.put(4, frame())
    assert [n for n in range(6) if n in cache] == [1, 3, 4]


def test_putting_a_frame_again_counts_it_once() -> None:
    cache = FrameCache(3 * SIZE)
    cache.put(1, frame())
    cache.put(1, frame())
    assert cache.held_bytes == SIZE
    assert len(cache) == 1


def test_what_is_not_held_is_none() -> None:
    assert FrameCache(SIZE).get(7) is None


def test_frames_are_dropped_one_by_one_the_one_used_longest_ago_first() -> None:
    cache = FrameCache(3 * SIZE)
    for n in (1, 2):
        cache.put(n, frame())
    assert cache.drop()
    assert [n for n in range(6) if n in cache] == [2]
    assert cache.held_bytes == SIZE
    assert cache.drop()
    assert not cache.drop()


def test_a_cleared_cache_holds_nothing() -> None:
    cache = FrameCache(3 * SIZE)
    cache.put(1, frame())
    cache.clear()
    assert (len(cache), cache.held_bytes) == (0, 0)
