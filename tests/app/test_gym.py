"""The gym screen with a board on a pseudo-terminal: a vaulter trains without touching anything."""

import argparse
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import chain, repeat
from pathlib import Path

import pygame
import pytest

from swaytrainer.app.gym import _Gym, choices
from swaytrainer.app.play import open_player
from swaytrainer.app.window import Window
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.scenario import (
    Empty,
    Scenario,
    Stand,
    StepOff,
    StepOn,
    corner_loads,
)
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from swaytrainer.store.recording import read_recording
from swaytrainer.store.trials import trials_of
from swaytrainer.training.level_file import level_text
from tests.streams import WREN, board_of, short_level

pytest.importorskip("pty")
FAST = 5.0


class ScriptedWindow(Window):
    """Presses keys when a condition has come true, and leaves at the end."""

    def __init__(self, presses: list[tuple[Callable[[], bool], int]]) -> None:
        super().__init__(off_screen=True)
        self._presses = presses
        self._give_up_s = time.monotonic() + 60.0

    def events(self) -> list[pygame.event.Event]:
        super().events()
        assert time.monotonic() < self._give_up_s, f"{len(self._presses)} presses are left"
        if not self._presses:
            return [pygame.event.Event(pygame.QUIT)]
        ready, key = self._presses[0]
        if not ready():
            return []
        self._presses.pop(0)
        return [pygame.event.Event(pygame.KEYDOWN, key=key)]


def options(**more: object) -> argparse.Namespace:
    given = {"spotter": False, "vaulter": None, "level": None, **more}
    return argparse.Namespace(**given)


def home_with_level(tmp_path: Path) -> Home:
    home = Home(tmp_path)
    home.add_vaulter(WREN)
    (tmp_path / "levels").mkdir()
    (tmp_path / "levels" / "a.toml").write_text(
        level_text(short_level(5.0)).replace('id = "millpond-shore"', 'id = "short"')
    )
    return home


def test_step_on_train_and_leave(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    board = board_of()
    home.keep_calibration(board.true_calibration())
    visit = Scenario((Empty(4.0), StepOn(), Stand(36.0), StepOff(), Empty(1e6)))
    loads = corner_loads(visit, JUNIOR, 80.0, 220.0, 170.0, 1)
    server = SimulatorServer.on_pty(board, loads, FAST)

    def done() -> bool:
        paths = home.recordings()
        return bool(paths) and bool(read_recording(paths[0]).shown)

    window = ScriptedWindow([(done, pygame.K_ESCAPE)])
    there = choices(home, options(level="short"))
    player = open_player(mute=True)
    room = _Gym(home, server.url, there, window, player)
    try:
        room.run()
    finally:
        room.close()
        server.close()
        window.close()
    [path] = home.recordings()
    assert "short-Wren" in path.name
    recording = read_recording(path)
    assert recording.damage == ()
    [trial] = trials_of(recording)
    assert trial.same_as_shown is True
    assert trial.outcome.mark is not None


def test_without_a_calibration_it_says_what_to_do(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    server = SimulatorServer.on_pty(board_of(), repeat((0.0, 0.0, 0.0, 0.0)), FAST)
    room: _Gym | None = None

    def told() -> bool:
        return room is not None and "no calibration" in room._state.board_line

    window = ScriptedWindow([(told, pygame.K_RETURN), (told, pygame.K_ESCAPE)])
    room = _Gym(home, server.url, choices(home, options()), window, open_player(mute=True))
    # Whatever was told before, of another port say, gives way to it.
    room._state = replace(room._state, board_line="/dev/ttyS0 is silent.")
    try:
        room.run()
    finally:
        room.close()
        server.close()
        window.close()
    assert "swaytrainer calibrate" in room._state.what_to_do
    assert not room._state.can_go
    assert home.recordings() == []


def test_without_a_board_it_goes_on_looking(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    room: _Gym | None = None

    def told() -> bool:
        return room is not None and "nothing at /dev/none" in room._state.board_line

    window = ScriptedWindow([(told, pygame.K_ESCAPE)])
    room = _Gym(home, "/dev/none", choices(home, options()), window, open_player(mute=True))
    try:
        room.run()
    finally:
        room.close()
        window.close()


def test_keys_choose_and_start_without_stepping_on(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    board = board_of()
    home.keep_calibration(board.true_calibration())
    server = SimulatorServer.on_pty(board, chain(repeat((0.0, 0.0, 0.0, 0.0))), FAST)
    room: _Gym | None = None

    def ready() -> bool:
        return room is not None and room._state.can_go

    always = lambda: True  # noqa: E731
    window = ScriptedWindow(
        [
            (ready, pygame.K_DOWN),
            (always, pygame.K_RIGHT),
            (ready, pygame.K_RETURN),
            (always, pygame.K_ESCAPE),
            (ready, pygame.K_ESCAPE),
        ]
    )
    room = _Gym(home, server.url, choices(home, options()), window, open_player(mute=True))
    try:
        room.run()
    finally:
        room.close()
        server.close()
        window.close()
    assert room._state.chosen_level == 1
    assert home.recordings() == [], "nobody stepped on: nothing to keep"


def test_choices(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    (tmp_path / "levels" / "b.toml").write_text(
        level_text(short_level())
        .replace('id = "millpond-shore"', 'id = "with-spotter"')
        .replace('eyes = "open"', 'eyes = "closed"')
        .replace("spotter = false", "spotter = true")
    )
    alone = choices(home, options())
    assert "with-spotter" not in [level.id for level in alone.levels]
    together = choices(home, options(spotter=True, level="with-spotter", vaulter="Wren"))
    assert together.levels[together.level].id == "with-spotter"
    with pytest.raises(SwaytrainerError, match="spotter"):
        choices(home, options(level="with-spotter"))
    nobody = choices(Home(tmp_path / "other"), options())
    assert [v.name for v in nobody.vaulters] == ["Guest"]
