from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from annotate.behaviours import DEFAULT_SHEET
from tests.fuzzing import Line, check_clip, check_sheet, check_tag_list, clips_like, horses_like, spoilt, tag_lists
from tests.made_clips import ClipBox

few = settings(max_examples=15, suppress_health_check=list(HealthCheck))
SHEET = DEFAULT_SHEET.read_bytes()


@pytest.fixture(scope="module")
def line(tmp_path_factory: pytest.TempPathFactory) -> Line:
    return Line(tmp_path_factory.mktemp("fuzz"))


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return ClipBox(tmp_path_factory.mktemp("clips")).get("constant_30").path.read_bytes()


@given(tag_lists())
def test_a_spoilt_tag_list_is_refused_in_words(content: bytes) -> None:
    check_tag_list(content)


@few
@given(tag_lists())
def test_a_spoilt_tag_list_is_never_taken_in_by_half(line: Line, content: bytes) -> None:
    line.take_tags(content)


@given(spoilt(SHEET))
def test_a_spoilt_sheet_is_refused_in_words(content: bytes) -> None:
    check_sheet(content)


@few
@given(st.data())
def test_a_spoilt_clip_is_refused_in_words(
    clip: bytes, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    check_clip(data.draw(clips_like(clip)), tmp_path_factory.getbasetemp())


@few
@given(st.data())
def test_a_spoilt_horse_is_never_taken_in_by_half(line: Line, data: st.DataObject) -> None:
    line.take_horse(data.draw(spoilt(line.handed)))


@few
@given(st.data())
def test_a_horse_with_other_values_is_never_taken_in_by_half(line: Line, data: st.DataObject) -> None:
    line.take_changed_horse(data.draw(horses_like(line.handed)))
