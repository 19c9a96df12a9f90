"""With made events: no pad is plugged in here, and none of what pads differ in is tried."""

from __future__ import annotations

from typing import Any

import pygame
import pytest

from swaytrainer.games.gamepad import Gamepads
from swaytrainer.training.choosing import Move


def event(kind: int, **values: Any) -> pygame.event.Event:
    return pygame.event.Event(kind, instance_id=0, **values)


@pytest.mark.parametrize(
    ("button", "move"),
    [(0, Move.TAKE), (1, Move.BACK), (13, Move.BEFORE), (14, Move.AFTER), (7, None)],
)
def test_buttons(button: int, move: Move | None) -> None:
    assert Gamepads().heed(event(pygame.JOYBUTTONDOWN, button=button), 0.0) is move


def test_the_cross_moves_and_repeats_while_it_is_held() -> None:
    pads = Gamepads()
    assert pads.heed(event(pygame.JOYHATMOTION, hat=0, value=(1, 0)), 0.0) is Move.AFTER
    assert pads.tick(0.5) is None
    assert pads.tick(0.7) is Move.AFTER
    assert pads.tick(0.8) is None
    assert pads.tick(1.01) is Move.AFTER
    assert pads.heed(event(pygame.JOYHATMOTION, hat=0, value=(0, 0)), 1.1) is None
    assert pads.tick(9.0) is None


def test_the_stick_moves_once_until_it_is_let_go() -> None:
    pads = Gamepads()
    found = [
        pads.heed(event(pygame.JOYAXISMOTION, axis=0, value=value), n / 50)
        for n, value in enumerate((-0.3, -0.7, -0.9, -0.5, -0.9, -0.1, -0.8, 0.9))
    ]
    assert found == [None, Move.BEFORE, None, None, None, None, Move.BEFORE, Move.AFTER]
    assert pads.heed(event(pygame.JOYAXISMOTION, axis=1, value=-1.0), 1.0) is None


def test_a_pad_that_is_pulled_out_lets_go() -> None:
    pads = Gamepads()
    pads.heed(event(pygame.JOYAXISMOTION, axis=0, value=1.0), 0.0)
    pads.heed(event(pygame.JOYDEVICEREMOVED), 0.1)
    assert pads.tick(5.0) is None


def test_a_pad_that_is_gone_before_it_is_opened_is_no_trouble() -> None:
    pads = Gamepads()
    pads.open()
    try:
        assert pads.heed(pygame.event.Event(pygame.JOYDEVICEADDED, device_index=9), 0.0) is None
        assert pads.count == 0
    finally:
        pads.close()


def test_other_events_say_nothing() -> None:
    assert Gamepads().heed(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_LEFT), 0.0) is None
