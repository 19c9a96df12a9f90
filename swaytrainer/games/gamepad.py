"""A gamepad as a way to choose: cross or stick to the sides, one button takes, one goes back.

Only what pygame and pygame-ce both offer (``pygame.joystick`` of pygame 2). Pads come and go while
the program runs. Button 0 takes and button 1 goes back: on the pads in pygame's documentation
("pygame.joystick", common controller axis and button mappings) these are the lower and the right
one (lower A and right B of Xbox 360, cross and circle of PlayStation 4 and 5; A and B of the Switch
Pro). Some report their cross as a hat, some as buttons 13 (left) and 14 (right).
"""

from __future__ import annotations

from typing import Final

import pygame

from swaytrainer.training.choosing import Move

_BUTTONS: Final = {0: Move.TAKE, 1: Move.BACK}
#: Of pads that have no hat.
_CROSS_BUTTONS: Final = {13: Move.BEFORE, 14: Move.AFTER}
#: The stick is pushed beyond this, and let go below that.
_PUSHED: Final = 0.6
_LET_GO: Final = 0.35
#: A stick or cross that is held repeats after the first, then after every second of these.
_FIRST_S: Final = 0.6
_REPEAT_S: Final = 0.3


class Gamepads:
    """All pads that are plugged in, as one."""

    def __init__(self) -> None:
        self._pads: dict[int, pygame.joystick.JoystickType] = {}
        self._stick: dict[int, int] = {}
        self._side = 0
        self._due_s = 0.0

    @property
    def count(self) -> int:
        """How many pads are open."""
        return len(self._pads)

    def open(self) -> None:
        """Let pygame look for pads from now on; events tell of those already there, too."""
        pygame.joystick.init()

    def close(self) -> None:
        """Let them go."""
        self._pads.clear()
        self._stick.clear()
        self._side = 0
        pygame.joystick.quit()

    def heed(self, happened: pygame.event.Event, now_s: float) -> Move | None:
        """What an event asks for, None for one that is no pad's.

        Args:
            happened: of pygame's queue.
            now_s: a time that never runs backwards.
        """
        if happened.type == pygame.JOYDEVICEADDED:
            self._plug(happened.device_index)
        elif happened.type == pygame.JOYDEVICEREMOVED:
            self._pads.pop(happened.instance_id, None)
            self._stick.pop(happened.instance_id, None)
            self._side = 0
        elif happened.type == pygame.JOYBUTTONDOWN:
            if self._has_hat(happened) and happened.button in _CROSS_BUTTONS:
                return None  # on a pad with a hat these are something else
            return {**_BUTTONS, **_CROSS_BUTTONS}.get(happened.button)
        elif happened.type == pygame.JOYHATMOTION and happened.hat == 0:
            return self._push(int(happened.value[0]), now_s)
        elif happened.type == pygame.JOYAXISMOTION and happened.axis == 0:
            return self._tilt(happened, now_s)
        return None

    def tick(self, now_s: float) -> Move | None:
        """Once a frame: what a stick or a cross that is held asks for again."""
        if self._side == 0 or now_s < self._due_s:
            return None
        self._due_s = now_s + _REPEAT_S
        return _to(self._side)

    def _plug(self, index: int) -> None:
        try:
            pad = pygame.joystick.Joystick(index)
            self._pads[pad.get_instance_id()] = pad
        except pygame.error:
            return  # it is gone again already

    def _has_hat(self, happened: pygame.event.Event) -> bool:
        pad = self._pads.get(happened.instance_id)
        return pad is not None and pad.get_numhats() > 0

    def _tilt(self, happened: pygame.event.Event, now_s: float) -> Move | None:
        before = self._stick.get(happened.instance_id, 0)
        limit = _LET_GO if before else _PUSHED
        side = 0 if abs(happened.value) < limit else (1 if happened.value > 0.0 else -1)
        self._stick[happened.instance_id] = side
        return None if side == before else self._push(side, now_s)

    def _push(self, side: int, now_s: float) -> Move | None:
        if side == self._side:
            return None
        self._side = side
        self._due_s = now_s + _FIRST_S
        return _to(side) if side else None


def _to(side: int) -> Move:
    return Move.AFTER if side > 0 else Move.BEFORE
