"""Two boards of one evening, each with its gym screen's line, in one data folder."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from swaytrainer.app.gym_evening import GymEvening
from swaytrainer.cli import main
from swaytrainer.store.evening_file import begin_plan
from swaytrainer.store.home import Home
from swaytrainer.training.ladder import CoachWord
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.vaulter import Vaulter
from tests.index.made import outcome, sitting

NAMES = ["Wren", "Tarn", "Mika", "Juno"]
LEVEL = shipped_levels()[0]


class Clock:
    def __init__(self) -> None:
        self.now = datetime(2026, 11, 25, 23, 50, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


def board(folder: Path, station: str, clock: Clock) -> GymEvening:
    return GymEvening(folder, NAMES, [level.id for level in shipped_levels()], station, clock)


def test_two_boards_play_an_evening_past_midnight_and_nobody_is_called_twice(
    tmp_path: Path,
) -> None:
    begin_plan(tmp_path, [Vaulter(name) for name in NAMES])
    clock = Clock()
    left, right = board(tmp_path, "left", clock), board(tmp_path, "right", clock)
    seen: list[str] = []
    for _ in range(12):
        for there, other in ((left, right), (right, left)):
            there.refresh(NAMES)
            [name, *_] = there.called()
            other.refresh(NAMES)
            assert name not in other.called()[:1]
            there.trains(name, LEVEL)
            other.refresh(NAMES)
            assert name not in other.calls()
            clock.now += timedelta(minutes=2)
            there.has_trained(name, LEVEL, 1)
            seen.append(name)
    # Everybody as often as everybody else, and still the same evening after midnight.
    assert {seen.count(name) for name in NAMES} == {6}
    assert [p.name for p in (tmp_path / "evenings").iterdir()] == ["2026-11-25.jsonl"]


def test_a_board_that_died_keeps_nobody(tmp_path: Path) -> None:
    begin_plan(tmp_path, [Vaulter(name) for name in NAMES])
    clock = Clock()
    assert board(tmp_path, "left", clock).called()[0] == "Wren"
    right = board(tmp_path, "right", clock)
    assert right.called()[0] == "Tarn"
    clock.now += timedelta(minutes=11)
    assert set(right.called()) == set(NAMES)


def test_a_board_that_closes_frees_whom_it_called(tmp_path: Path) -> None:
    begin_plan(tmp_path, [Vaulter(name) for name in NAMES])
    clock = Clock()
    left, right = board(tmp_path, "left", clock), board(tmp_path, "right", clock)
    assert (left.called()[0], right.called()[0]) == ("Wren", "Tarn")
    left.free("Wren")
    right.refresh(NAMES)
    assert right.called() == ("Tarn", "Wren", "Mika", "Juno")


def test_a_board_without_a_group_says_so(tmp_path: Path) -> None:
    (tmp_path / "squad.toml").write_text(
        '[[group]]\nname = "A"\nvaulters = ["Wren"]\nstation = "left"\n', encoding="utf-8"
    )
    clock = Clock()
    assert board(tmp_path, "left", clock).notes == ()
    third = board(tmp_path, "third", clock)
    assert third.called() == ()
    assert third.notes == ("Tonight's plan has nobody for this board, third: it names left.",)


def test_the_squad_s_command_tells_groups_stations_and_who_is_due(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = Home(tmp_path)
    for name, group in (("Wren", "Juniors"), ("Tarn", "Juniors"), ("Mika", "")):
        home.add_vaulter(Vaulter(name, group=group))
    for day in (0, 1):
        sitting(tmp_path, "Wren", day, [outcome(n, 9.5) for n in range(1, 4)])
    home.keep_word(CoachWord("Tarn", LEVEL.id, datetime(2026, 9, 1, tzinfo=UTC), "Calmly."))
    assert main(["--home", str(tmp_path), "squad", "begin"]) == 0
    plan = tmp_path / "squad.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace('# station = "left"', 'station = "left"', 1), encoding="utf-8")
    capsys.readouterr()
    assert main(["--home", str(tmp_path), "squad"]) == 0
    told = capsys.readouterr().out
    assert "Juniors (at left): what the ladder says" in told
    assert "Squad: what the ladder says" in told
    assert ", due" in told
    assert "step up: Millpond: the shore at dusk" in told
    assert told.count("step up") == 1
    assert "Next (at left): Wren, then Tarn" in told
    assert main(["--home", str(tmp_path), "squad", "away", "tarn"]) == 0
    assert "not here tonight" in capsys.readouterr().out
    for typed, why in (([], "'squad away' needs a name"), (["Tam"], "there are Wren, Tarn, Mika")):
        assert main(["--home", str(tmp_path), "squad", "away", *typed]) == 1
        assert why in capsys.readouterr().err
    assert main(["--home", str(tmp_path), "squad", "missed", "tarn"]) == 1
    assert "Tarn is away tonight, and was not called" in capsys.readouterr().err
    assert main(["--home", str(tmp_path), "squad"]) == 0
    told = capsys.readouterr().out
    assert "not here tonight" in told
    assert "missed" not in told


def test_who_joins_late_makes_a_plan_good_that_names_her(tmp_path: Path) -> None:
    (tmp_path / "squad.toml").write_text(
        '[[group]]\nname = "All"\nvaulters = ["Wren", "Pim"]\n', encoding="utf-8"
    )
    line = board(tmp_path, "left", Clock())
    assert line.calls() == ()
    assert "Pim" in line.notes[0]
    line.refresh([*NAMES, "Pim"])
    assert (line.calls(), line.notes) == (("Wren", "Pim"), ())
