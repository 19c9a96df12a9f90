"""Bad luck in any state of any game: nothing is lost, the screen says so, and it goes on.

The board is unplugged and plugged in again, a ball falls on it, a second person steps onto it, the
wall clock is set back: in each phase of a sitting that is fed, recorded and drawn as in the gym.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pygame
import pytest

from swaytrainer.board.arrivals import LinkBroken, Received, Silence
from swaytrainer.games.catalogue import GAMES
from swaytrainer.games.stage import Stage
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOff, StepOn, corner_loads
from swaytrainer.sitting.inputs import Input
from swaytrainer.sitting.sitting import Setup
from swaytrainer.sitting.view import Happening, Phase
from swaytrainer.store.recording import Recorder, read_recording
from swaytrainer.store.session import Session
from swaytrainer.store.trials import trials_of
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from tests.streams import NOON, board_of, setup_for

#: One set, and whatever a mishap adds to it.
SCENARIO = Scenario(
    (Empty(3.0), StepOn(), Stand(48.0), StepOff(), Empty(6.0), StepOn(), Stand(40.0), StepOff())
)
AWAY_S = 1.5
_LOADS = list(corner_loads(SCENARIO, JUNIOR, 80.0, 220.0, 170.0, 1))
Loads = tuple[float, float, float, float]


def level_of(game: str) -> Level:
    level = next(level for level in shipped_levels() if level.game == game)
    return replace(level, seconds=8.0, trials=1, rest_s=2.0)


def ball(loads: Loads, seconds: float) -> Loads:
    """Four kilograms fall on the right front corner and roll off."""
    front_left, front_right, rear_left, rear_right = loads
    return front_left, front_right + (600.0 if seconds < 0.05 else 40.0), rear_left, rear_right


def second_person(loads: Loads, _seconds: float) -> Loads:
    front_left, front_right, rear_left, rear_right = loads
    return front_left, front_right + 200.0, rear_left, rear_right + 200.0


MISHAPS: dict[str, tuple[Callable[[Loads, float], Loads], float] | None] = {
    "unplugged": None,
    "ball": (ball, 1.0),
    "second person": (second_person, 5.0),
}


PHASES = (Phase.SETTLING, Phase.COUNTDOWN, Phase.LESSON, Phase.RUNNING, Phase.RESULT)


class Sat:
    """A sitting with one mishap, drawn sixty times a second."""

    def __init__(self, game: str, when: Phase, mishap: str, path: Path) -> None:
        self.happened: list[Happening] = []
        self.seen: set[Phase] = set()
        self.said_lost = False
        setup = replace(setup_for(board_of(), level_of(game)), lesson=True)
        late = iter((NOON, *[NOON - timedelta(days=400)] * 9))  # the clock is set back by a year

        def recorder(setup: Setup, _now: object) -> Recorder:
            return Recorder(path, setup, next(late).isoformat())

        self.session = Session(setup, recorder, lambda: NOON)
        self._stage = Stage(pygame.Surface((640, 360)), 1, self.session.sitting.feet)
        self._when, self._mishap = when, mishap
        self._due: float | None = None
        for item in self._items():
            self._take(item)
        self.session.close()

    def _take(self, item: Input) -> None:
        for event in self.session.feed(item):
            self.happened.append(event.happening)
            self._stage.notice(event)
        view = self.session.sitting.view()
        self.seen.add(view.phase)
        if self._due is None and view.phase is self._when and view.phase_s > 0.3:
            self._due = item.host_s
        if self.session.sitting.samples % 16 == 0 or not isinstance(item, Received):
            self._stage.draw(view, item.host_s)
            said = " ".join(box.words for box in self._stage.canvas.boxes)
            self.said_lost |= "signal" in said.lower() and not view.signal.connected

    def _items(self) -> Iterator[Input]:
        board = board_of()
        change = MISHAPS[self._mishap]
        began: float | None = None

        def loads() -> Iterator[Loads]:
            nonlocal began
            for n, each in enumerate(_LOADS):
                now_s = 100.0 + n / 80.0
                if change is not None and self._due is not None and now_s - self._due < change[1]:
                    yield change[0](each, now_s - self._due)
                else:
                    yield each

        gone_until = 0.0
        for n, data in enumerate(board.stream(loads())):
            now_s = 100.0 + (n + 1) / 80.0
            if change is None and self._due is not None and began is None:
                began = now_s
                gone_until = now_s + AWAY_S
                yield LinkBroken(now_s, "pulled out")
            if now_s < gone_until:
                assert began is not None
                yield Silence(now_s, now_s - began)
            elif data:
                yield Received(now_s, data)


@pytest.mark.parametrize("mishap", list(MISHAPS))
@pytest.mark.parametrize("game", list(GAMES))
def test_in_every_phase_it_goes_on_and_nothing_is_lost(
    game: str, mishap: str, tmp_path: Path
) -> None:
    for when in PHASES if mishap == "unplugged" else (Phase.RUNNING,):
        path = tmp_path / f"{when.value}.sway"
        sat = Sat(game, when, mishap, path)
        if mishap == "unplugged":
            assert Happening.SIGNAL_LOST in sat.happened, when
            assert Happening.SIGNAL_BACK in sat.happened, when
            assert sat.said_lost, when
        assert Happening.TRIAL_ENDED in sat.happened, when
        recording = read_recording(path)
        assert recording.damage == ()
        again = trials_of(recording)
        assert len(again) == sat.happened.count(Happening.TRIAL_ENDED)
        assert all(trial.same_as_shown for trial in again), when
        if mishap == "second person" and when is Phase.RUNNING:
            assert not again[0].outcome.counts or again[0].outcome.reason
