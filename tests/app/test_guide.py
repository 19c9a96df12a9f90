"""First steps with a board on a pseudo-terminal: from an empty folder to the first mark."""

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pygame
import pytest

from swaytrainer.app.choices import choices
from swaytrainer.app.guide import Guide, wants_guide
from swaytrainer.app.gym import Gym
from swaytrainer.app.play import open_player
from swaytrainer.app.rehearsal import rehearse
from swaytrainer.app.window import Window
from swaytrainer.board.guided import marked_spots
from swaytrainer.games.guide import Task
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.obliging import obliging_loads
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOn, Weight, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from swaytrainer.store.recording import read_recording
from swaytrainer.training.vaulter import Vaulter
from tests.app.test_gym import options
from tests.streams import board_of

pytest.importorskip("pty")
FAST = 5.0
HALF = (220.0, 170.0)
Loads = tuple[float, float, float, float]
Press = tuple[Callable[[], bool], pygame.event.Event]


def key(code: int) -> pygame.event.Event:
    return pygame.event.Event(pygame.KEYDOWN, key=code)


def letters(text: str) -> pygame.event.Event:
    return pygame.event.Event(pygame.TEXTINPUT, text=text)


ENTER, ESC = key(pygame.K_RETURN), key(pygame.K_ESCAPE)


class Hands(Window):
    """One thing after the other, each when its time has come; closes the window at the end."""

    def __init__(self, presses: list[Press]) -> None:
        super().__init__(off_screen=True)
        self.presses = presses
        self.helps: list[str] = []
        self._give_up_s = time.monotonic() + 240.0

    def events(self) -> list[pygame.event.Event]:
        super().events()
        assert time.monotonic() < self._give_up_s, f"{len(self.presses)} presses are left"
        if not self.presses:
            return [pygame.event.Event(pygame.QUIT)]
        ready, event = self.presses[0]
        if not ready():
            return []
        self.presses.pop(0)
        return [] if self.helped(event) else [event]

    def show(self) -> None:
        super().show()
        if self.help is not None and self.help.title not in self.helps:
            self.helps.append(self.help.title)


def always() -> bool:
    return True


def loads(weighing: threading.Event, wanted: threading.Event) -> Iterator[Loads]:
    while not weighing.is_set():
        yield 0.0, 0.0, 0.0, 0.0
    weights = (Weight(20.0, s.x_mm, s.y_mm, 3.0) for s in marked_spots(*HALF))
    yield from corner_loads(Scenario((Empty(4.0), *weights, Empty(3.0))), JUNIOR, 80.0, *HALF, 1)
    standing = corner_loads(Scenario((StepOn(), Stand(600.0))), JUNIOR, 80.0, *HALF, 1)
    for _ in range(160):
        next(standing)
    yield from obliging_loads(standing, wanted.is_set, 80.0)


def test_from_an_empty_folder_to_the_first_mark(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert wants_guide(home)
    weighing, wanted = threading.Event(), threading.Event()
    server = SimulatorServer.on_pty(board_of(), loads(weighing, wanted), FAST)
    window = Hands([])
    steps = Guide(home, server.url, window, lambda: pytest.fail("nobody asked for it"))

    def at(task: Task) -> Callable[[], bool]:
        return lambda: steps.state.chosen is task

    def weigh() -> bool:
        weighing.set()
        return bool(home.calibrated_boards())

    window.presses += [
        (at(Task.NEWTONS), ENTER),
        (always, letters("five")),  # takes the place of the 20 kg that are offered
        (always, ENTER),
        (always, key(pygame.K_BACKSPACE)),
        (always, key(pygame.K_BACKSPACE)),
        (always, key(pygame.K_BACKSPACE)),
        (always, key(pygame.K_BACKSPACE)),
        (always, letters("19,5")),
        (always, key(pygame.K_UP)),
        (always, ENTER),
        (weigh, key(pygame.K_SPACE)),  # away from the residuals
        (at(Task.VAULTER), key(pygame.K_F1)),
        (always, ENTER),  # the help goes, and nothing else happens
        (at(Task.VAULTER), ENTER),
        (always, ENTER),  # without a name
        (always, letters("Tärn ")),
        (always, ENTER),
        (always, letters("221")),
        (always, ENTER),
        (at(Task.MARK), ENTER),
    ]
    try:
        assert steps.run() == ("Tärn", False)
        assert not wants_guide(home)
        assert home.vaulters() == [Vaulter("Tärn", 221.0)]
        assert "First steps" in window.helps
        assert "Typing something in" in window.helps
        assert "Teaching the board its newtons" in window.helps

        def marked() -> bool:
            paths = home.recordings()
            return bool(paths) and bool(read_recording(paths[0]).shown)

        window.presses.append((marked, pygame.event.Event(pygame.QUIT)))

        def look(on: bool) -> None:
            (wanted.set if on else wanted.clear)()

        there = choices(home, options(vaulter="Tärn"))
        room = Gym(home, server.url, there, window, open_player(mute=True), on_look=look)
        try:
            assert room.run() is False
        finally:
            room.close()
    finally:
        window.close()
        server.close()
    (recording,) = (read_recording(path) for path in home.recordings())
    assert recording.setup.vaulter.name == "Tärn"
    assert recording.shown[0]["counts"] is True


def test_a_name_twice_a_foot_too_long_and_giving_up(tmp_path: Path) -> None:
    home = Home(tmp_path)
    home.add_vaulter(Vaulter("Wren"))
    window = Hands([])
    steps = Guide(home, "socket://127.0.0.1:9", window, lambda: pytest.fail("nobody asked"))
    window.presses += [
        (always, key(pygame.K_DOWN)),
        (always, key(pygame.K_DOWN)),
        (lambda: steps.state.chosen is Task.VAULTER, ENTER),
        (always, letters("wren")),
        (always, ENTER),
        (always, ESC),
        (lambda: steps.state.chosen is Task.BOARD, key(pygame.K_DOWN)),
        (always, key(pygame.K_DOWN)),
        (always, ENTER),
        (always, letters("Mika")),
        (always, ENTER),
        (always, letters("24")),
        (always, ENTER),
        (always, ESC),
        (always, ESC),
    ]
    try:
        assert steps.run() == (None, False)
    finally:
        window.close()
    assert [v.name for v in home.vaulters()] == ["Wren"]


def test_a_step_that_cannot_be_done_yet_leads_to_the_one_that_can(tmp_path: Path) -> None:
    window = Hands([])
    steps = Guide(Home(tmp_path), "socket://127.0.0.1:9", window, lambda: True)
    window.presses += [(always, key(pygame.K_DOWN))] * 3
    window.presses += [
        (lambda: steps.state.chosen is Task.MARK, ENTER),
        (lambda: steps.state.chosen is Task.BOARD, key(pygame.K_t)),
    ]
    try:
        assert steps.run() == (None, True)  # the rehearsal was closed by its window
    finally:
        window.close()


def test_a_rehearsal_comes_to_a_mark_and_keeps_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))

    def marked() -> bool:
        paths = list(tmp_path.glob("*/recordings/*/*.sway"))
        return bool(paths) and bool(read_recording(paths[0]).shown)

    window = Hands([(marked, ESC)])
    try:
        # Whoever breaks off and leaves is back at the first steps; here the window is closed.
        assert rehearse(window, open_player(mute=True), FAST) is True
    finally:
        window.close()
    assert list(tmp_path.iterdir()) == []
