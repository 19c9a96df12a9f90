"""A whole competition of a simulated squad on the real gym screen, with all that goes wrong.

``python -m tests.app.a_competition FOLDER`` plays it at several times its pace, keeps pictures of
the gym and of the hall's scoreboard, to be looked at one by one, and prints what happened. Somebody
isn't there when called (M), the power is cut in the middle of a trial and again between two, one
withdraws, the judges take a trial back after a pulled cable, and neighbours stand off.
"""

from __future__ import annotations

import os
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("SDL_AUDIODRIVER", "dummy")

import pygame

from swaytrainer.app.gym import Gym
from swaytrainer.app.gym_contest import GymContest, contest_choices
from swaytrainer.app.play import open_player
from swaytrainer.app.scoreboard import board_state
from swaytrainer.app.window import Window
from swaytrainer.cli import main as command
from swaytrainer.games.scoreboard import draw_scoreboard
from swaytrainer.simulate.athlete import Athlete
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.body import MANNERS
from swaytrainer.simulate.obliging import obliging_loads
from swaytrainer.simulate.scenario import Scenario, Stand, StepOn, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.squad.contest_places import open_places, standings
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter

SPEED = 6.0
PICTURE_EVERY_S = 1.5
HALF = (DECENT.half_width_mm, DECENT.half_depth_mm)
BEGIN = datetime(2026, 11, 28, 10, tzinfo=UTC)
#: Name, mass, height, foot, manner.
ENTRIES = (
    ("Wren", 31.0, 1.32, 208.0, "ordinary"),
    ("Tarn", 33.0, 1.36, 212.0, "calm"),
    ("Ämy Örtel", 34.0, 1.38, 214.0, "calm"),
    ("Juno", 52.0, 1.61, 240.0, "ordinary"),
    ("Mika", 45.0, 1.52, 231.0, "restless"),
    ("Romy", 49.0, 1.58, 236.0, "ordinary"),
)
CUP = f"""\
title = "Autumn cup"
level = "millpond-open-water"
since = {(BEGIN - timedelta(hours=1)).isoformat()}
until = {(BEGIN + timedelta(hours=8)).isoformat()}
seed = 4711
trials = 3
warm_up = 1
team_counts = 2

[[class]]
name = "Under 140 cm"
height_mm = [0, 1400]

[[class]]
name = "140 cm and more"
height_mm = [1400, 2500]

[[team]]
name = "Otters"
vaulters = ["Wren", "Tarn", "Juno"]

[[team]]
name = "Herons"
vaulters = ["Ämy Örtel", "Mika", "Romy"]
"""


class PowerCutError(Exception):
    """The power is gone."""


class Day:
    """What stays when the power is gone: folder, file, clock, and what is still to go wrong."""

    def __init__(self, folder: Path, pictures: Path) -> None:
        self.home = Home(folder / "home")
        for name, _, height, foot, _ in ENTRIES:
            self.home.add_vaulter(Vaulter(name, foot, 180.0, 1000.0 * height))
        self.home.keep_calibration(SimulatedBoard(DECENT, 7).true_calibration())
        self.cup = folder / "cup.toml"
        self.cup.write_text(CUP, encoding="utf-8")
        self.pictures = pictures
        self.taken = 0
        self.late = {"Mika"}
        self.cuts = [5, 9]
        self.ruled: list[str] = []
        self._begun_s = time.monotonic()

    def now(self) -> datetime:
        """The day's clock, at the board's pace."""
        return BEGIN + timedelta(seconds=(time.monotonic() - self._begun_s) * SPEED)

    def book(self) -> ContestBook:
        """The contest as its file and recordings tell it now."""
        return ContestBook(self.home, self.cup)

    def rule(self, *arguments: str) -> None:
        """A command of the judges'."""
        print(f"{self.now():%H:%M} contest {' '.join(arguments)}")
        code = command(["--home", str(self.home.path), "contest", str(self.cup), *arguments])
        assert code == 0


class PowerOn:
    """From one switching on to the power cut, or to the end."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self._wanted = threading.Event()
        self._bodies = {entry[0]: _body(n) for n, entry in enumerate(ENTRIES)}
        loads = obliging_loads(self._standing(), self._wanted.is_set, DECENT.rate_hz)
        self.server = SimulatorServer.on_tcp(SimulatedBoard(DECENT, 7), loads, SPEED)
        self.window = _Camera(self)
        self._called_s: float | None = None
        self._book = day.book()
        self.line = GymContest(day.book(), day.now)
        self.room = Gym(
            day.home,
            self.server.url,
            contest_choices(day.home, day.book(), False),
            self.window,
            open_player(mute=True),
            now=day.now,
            on_look=self._look,
            line=self.line,
        )

    @property
    def name(self) -> str:
        """Whose turn it is."""
        vaulter = self.room.state.vaulter
        return vaulter.name if vaulter else ENTRIES[0][0]

    def _standing(self) -> Iterator[tuple[float, ...]]:
        while True:
            yield next(self._bodies[self.name])

    def _look(self, on: bool) -> None:
        here = on and self.name not in self.day.late
        (self._wanted.set if here else self._wanted.clear)()

    def hand(self) -> list[pygame.event.Event]:
        """What the coach does now, and what befalls the hall."""
        day, book = self.day, self._book
        book.refresh()
        counted = len(book.attempts)
        if day.cuts and counted >= day.cuts[0]:
            # The first cut falls into the next trial, the second between two.
            if len(day.cuts) == 1 or len(day.home.recordings()) > counted:
                day.cuts.pop(0)
                raise PowerCutError
            return []
        if counted >= 10 and "withdrawn" not in day.ruled:
            day.ruled.append("withdrawn")
            day.rule("rule", "withdrawn", "Juno", "--reason", "a sore throat")
        if counted >= 14 and "repeat" not in day.ruled:
            day.ruled.append("repeat")
            last = book.attempts[-1]
            day.rule(
                "rule", "repeat", last.recording, str(last.number), "--reason", "a cable was pulled"
            )  # fmt: skip
        coming = book.calls()
        if not coming and "stand-off" not in day.ruled and self.room.state.can_go:
            day.ruled.append("stand-off")
            lines = standings(book.contest, book.attempts).values()
            close = [names for some in lines for names in open_places(some)]
            print(f"may stand off: {close}")
            if close:
                day.rule("stand-off", *close[0])
                return []
        book.refresh()
        if not book.calls() and self.room.state.can_go:
            return [pygame.event.Event(pygame.QUIT)]
        if not coming or coming[0].vaulter not in day.late or not self.room.state.called:
            self._called_s = None
            return []
        self._called_s = self._called_s or time.monotonic()
        if (time.monotonic() - self._called_s) * SPEED < 10.0:
            return []
        day.late.discard(coming[0].vaulter)
        print(f"{day.now():%H:%M} M: {coming[0].vaulter} isn't here")
        return [pygame.event.Event(pygame.KEYDOWN, key=pygame.K_m)]

    def play(self) -> bool:
        """True if the power was cut."""
        try:
            self.room.run()
        except PowerCutError:
            print(f"{self.day.now():%H:%M} the power is cut")
            self.room._board.close()
            return True
        else:
            self.room.close()
            return False
        finally:
            self.server.close()
            self.window.close()


def _body(n: int) -> Iterator[tuple[float, ...]]:
    name, mass, height, foot, manner = ENTRIES[n]
    standing = Scenario((StepOn(), Stand(36000.0, MANNERS.get(manner, MANNERS["ordinary"]))))
    athlete = Athlete(name, mass, height, foot, 180.0)
    loads = corner_loads(standing, athlete, DECENT.rate_hz, *HALF, 11 + n)
    for _ in range(160):
        next(loads)
    return loads


class _Camera(Window):
    def __init__(self, power: PowerOn) -> None:
        super().__init__(off_screen=True)
        self._power = power
        self._next_s = self._hand_s = 0.0

    def events(self) -> list[pygame.event.Event]:
        super().events()
        if time.monotonic() < self._hand_s:
            return []
        self._hand_s = time.monotonic() + 0.3
        return self._power.hand()

    def show(self) -> None:
        super().show()
        if time.monotonic() >= self._next_s:
            self._next_s = time.monotonic() + PICTURE_EVERY_S
            day = self._power.day
            day.taken += 1
            self.save(str(day.pictures / f"gym-{day.taken:03d}.png"))
            if day.taken % 10 == 0:
                hall(day, day.taken)


def hall(day: Day, number: int) -> None:
    """Pictures of the scoreboard, a page each."""
    state = board_state(day.book(), day.now())
    for page in range(len(state.pages)):
        surface = pygame.Surface((1280, 720))
        draw_scoreboard(surface, state, page)
        pygame.image.save(surface, str(day.pictures / f"hall-{number:03d}-{page}.png"))


def main() -> None:
    """Play it and tell."""
    pictures = Path(sys.argv[1])
    pictures.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        day = Day(Path(folder), pictures)
        while PowerOn(day).play():
            order = [call.vaulter for call in day.book().calls()]
            print(f"to come: {', '.join(order[:3])} …")
        hall(day, 999)
        results = [f"--{kind}={pictures / f'results.{kind}'}" for kind in ("csv", "html", "pdf")]
        day.rule("--trials", *results)
        book = day.book()
        for path in day.home.recordings():
            print(path.name)
        print(f"{day.taken} pictures, {(day.now() - BEGIN).total_seconds() / 60.0:.0f} minutes,")
        print(f"{len(book.attempts)} attempts, to come: {book.calls()}")


if __name__ == "__main__":
    main()
