from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.evening import Happened, Kind
from swaytrainer.store.evening_file import EveningBook, begin_plan, read_happened

AT = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
DAY = date(2026, 11, 25)
NAMES = ["Wren", "Tärn 🐎", "=cmd"]


def book(folder: Path) -> EveningBook:
    return EveningBook(folder, DAY, NAMES, ["a", "b"])


def test_without_a_plan_there_is_no_line(tmp_path: Path) -> None:
    assert book(tmp_path).evening is None


def test_a_restart_goes_on_where_it_was(tmp_path: Path) -> None:
    begin_plan(tmp_path, NAMES)
    first = book(tmp_path)
    first.note(Happened(Kind.MISSED, "Wren", AT))
    first.note(Happened(Kind.TRAINED, "Tärn 🐎", AT, "a", 40.0, 60.0))
    again = book(tmp_path)
    assert again.evening == first.evening
    assert again.evening is not None
    assert again.evening.calls(AT)[0] == "=cmd"


def test_a_broken_plan_leaves_the_last_good_one(tmp_path: Path) -> None:
    path = begin_plan(tmp_path, NAMES)
    there = book(tmp_path)
    before = there.evening
    path.write_text(path.read_text(encoding="utf-8").replace("Wren", "Wrenn"), encoding="utf-8")
    assert there.refresh()
    assert there.trouble is not None
    assert "'Wrenn'" in there.trouble
    assert there.evening == before
    path.write_text(path.read_text(encoding="utf-8").replace("Wrenn", "Wren"), encoding="utf-8")
    there.refresh()
    assert there.trouble is None


def test_a_plan_is_never_written_over(tmp_path: Path) -> None:
    begin_plan(tmp_path, NAMES)
    with pytest.raises(SwaytrainerError, match="a plan already"):
        begin_plan(tmp_path, NAMES)
    with pytest.raises(SwaytrainerError, match="nobody to plan for"):
        begin_plan(tmp_path / "other", [])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(st.integers(0, 400))
def test_a_power_cut_at_any_byte_loses_at_most_the_last_line(tmp_path: Path, cut: int) -> None:
    path = tmp_path / "evenings" / f"{DAY}.jsonl"
    path.unlink(missing_ok=True)
    (tmp_path / "squad.toml").unlink(missing_ok=True)
    begin_plan(tmp_path, NAMES)
    writer = book(tmp_path)
    events = [Happened(Kind.MISSED, name, AT) for name in NAMES]
    for event in events:
        writer.note(event)
    data = path.read_bytes()
    path.write_bytes(data[: min(cut, len(data))])
    whole = data[: min(cut, len(data))].count(b"\n")
    kept = read_happened(path)
    assert kept in (events[:whole], events[: whole + 1])  # only the line's end may be missing
    book(tmp_path).note(Happened(Kind.BACK, "Wren", AT))
    assert read_happened(path) == [*kept, Happened(Kind.BACK, "Wren", AT)]
