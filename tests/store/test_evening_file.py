from __future__ import annotations

import multiprocessing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.evening import Happened, Kind
from swaytrainer.store.evening_file import EveningBook, begin_plan, read_happened
from swaytrainer.training.vaulter import Vaulter

AT = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
DAY = date(2026, 11, 25)
NAMES = ["Wren", "Tärn 🐎", "=cmd"]
SQUAD = [Vaulter(name) for name in NAMES]


def book(folder: Path) -> EveningBook:
    return EveningBook(folder, DAY, NAMES, ["a", "b"])


def test_without_a_plan_there_is_no_line(tmp_path: Path) -> None:
    assert book(tmp_path).evening is None


def test_a_restart_goes_on_where_it_was(tmp_path: Path) -> None:
    begin_plan(tmp_path, SQUAD)
    first = book(tmp_path)
    first.note(Happened(Kind.MISSED, "Wren", AT))
    first.note(Happened(Kind.TRAINED, "Tärn 🐎", AT, "a", 40.0, 60.0))
    again = book(tmp_path)
    assert again.evening == first.evening
    assert again.evening is not None
    assert again.evening.calls(AT)[0] == "=cmd"


def test_a_broken_plan_leaves_the_last_good_one(tmp_path: Path) -> None:
    path = begin_plan(tmp_path, SQUAD)
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
    begin_plan(tmp_path, SQUAD)
    with pytest.raises(SwaytrainerError, match="a plan already"):
        begin_plan(tmp_path, SQUAD)
    with pytest.raises(SwaytrainerError, match="nobody to plan for"):
        begin_plan(tmp_path / "other", [])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(st.integers(0, 400))
def test_a_power_cut_at_any_byte_loses_at_most_the_last_line(tmp_path: Path, cut: int) -> None:
    path = tmp_path / "evenings" / f"{DAY}.jsonl"
    path.unlink(missing_ok=True)
    (tmp_path / "squad.toml").unlink(missing_ok=True)
    begin_plan(tmp_path, SQUAD)
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


# Several stations, one folder ---------------------------------------------------------------------


def test_each_station_reads_what_the_other_wrote(tmp_path: Path) -> None:
    begin_plan(tmp_path, SQUAD)
    left, right = book(tmp_path), book(tmp_path)
    left.note(Happened(Kind.CALLED, "Wren", AT, seconds=600.0, station="left"))
    assert right.refresh()
    assert not right.refresh()
    right.note(Happened(Kind.MISSED, "=cmd", AT, station="right"))
    left.refresh()
    assert left.evening == right.evening
    assert right.evening is not None
    assert right.evening.calls(AT, "right") == ("Tärn 🐎", "=cmd")


def test_the_evening_goes_over_to_the_next_one(tmp_path: Path) -> None:
    begin_plan(tmp_path, SQUAD)
    there = book(tmp_path)
    there.note(Happened(Kind.MISSED, "Wren", AT))
    assert there.refresh(DAY + timedelta(days=1))
    assert there.evening is not None
    assert there.evening.calls(AT) == tuple(NAMES)
    assert there.refresh(DAY)
    assert there.evening.calls(AT)[-1] == "Wren"


def _writes(folder: Path, station: str, many: int) -> None:
    there = book(folder)
    for n in range(many):
        there.note(Happened(Kind.MISSED, NAMES[n % 3], AT, seconds=float(n), station=station))


def test_two_stations_that_write_at_once_lose_no_line(tmp_path: Path) -> None:
    begin_plan(tmp_path, SQUAD)
    context = multiprocessing.get_context("spawn")
    both = [context.Process(target=_writes, args=(tmp_path, s, 60)) for s in ("left", "right")]
    for process in both:
        process.start()
    for process in both:
        process.join(60)
        assert process.exitcode == 0
    kept = read_happened(tmp_path / "evenings" / f"{DAY}.jsonl")
    for station in ("left", "right"):
        assert [h.seconds for h in kept if h.station == station] == [float(n) for n in range(60)]
    assert len(kept) == 120


def test_what_cannot_be_written_still_counts(tmp_path: Path) -> None:
    begin_plan(tmp_path, SQUAD)
    (tmp_path / "evenings").write_text("in the way")
    there = book(tmp_path)
    there.note(Happened(Kind.MISSED, "Wren", AT))
    assert there.evening is not None
    assert there.evening.calls(AT)[-1] == "Wren"
    assert there.trouble is not None
    assert "can't be written" in there.trouble
    there.refresh()
    assert there.evening.calls(AT)[-1] == "Wren"


def test_the_plan_begins_with_the_groups_of_the_vaulters(tmp_path: Path) -> None:
    begin_plan(
        tmp_path, [Vaulter("Wren", group="A"), Vaulter("=cmd"), Vaulter("Tärn 🐎", group="A")]
    )
    plan = book(tmp_path).plan
    assert plan is not None
    assert [(g.name, g.vaulters) for g in plan.groups] == [
        ("A", ("Wren", "Tärn 🐎")),
        ("Squad", ("=cmd",)),
    ]
