"""``swaytrainer demo``: a simulated vaulter on a simulated board, from the wire to the mark.

Everything above the wire is what a real board meets: pyserial opens the pseudo-terminal, the
board is found by its hello, calibrated with a known mass, and read by the same link.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Final

import pygame

from swaytrainer.app.choices import no_level
from swaytrainer.app.listening import Arrivals, counts_of
from swaytrainer.app.play import open_player, play
from swaytrainer.app.window import Window, display_missing
from swaytrainer.board.calibration import Calibration
from swaytrainer.board.fit import fit
from swaytrainer.board.guided import Guide, few_spots
from swaytrainer.board.link import Link, find_board
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.calibrating import draw_calibrating
from swaytrainer.games.pictures import save_path_picture
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import BoardMake, SimulatedBoard
from swaytrainer.simulate.body import ORDINARY
from swaytrainer.simulate.scenario import (
    Empty,
    LeanToes,
    Scenario,
    Stand,
    StepOff,
    StepOn,
    Weight,
    corner_loads,
)
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.sitting.inputs import BoardFacts
from swaytrainer.sitting.sitting import Setup
from swaytrainer.sitting.view import Event, Happening, Phase, View
from swaytrainer.sound.player import Player
from swaytrainer.store.home import Home
from swaytrainer.store.session import Session
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.settling import SETTLE_LIMIT_S
from swaytrainer.training.trial import COUNTDOWN_S
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say, translated

MASS_KG: Final = 20.0
_SPOT_S: Final = 2.5
#: Off screen nobody waits: the simulated board runs at this many times real time.
_OFF_SCREEN_SPEED: Final = 4.0
_SHOW_RESULT_S: Final = 6.0
_GIVE_UP_S: Final = 600.0


def demo_steps(make: BoardMake, trial_s: float, calibrated: bool = False) -> Scenario:
    """What the simulated vaulter does on the board, and a helper before, unless it is known."""
    weights = [
        Weight(MASS_KG, spot.x_mm, spot.y_mm, _SPOT_S)
        for spot in few_spots(make.half_width_mm, make.half_depth_mm)
    ]
    if calibrated:
        weights = []
    lead_s = SETTLE_LIMIT_S + COUNTDOWN_S
    return Scenario(
        (
            Empty(3.0),
            *weights,
            Empty(0.5 if calibrated else 4.0),
            StepOn(),
            Stand(lead_s + 0.15 * trial_s - 4.0, ORDINARY),
            # On the toes for a while in the trial, so that there is something to see and to say.
            LeanToes(0.2 * trial_s, toe_share_percent=66.0),
            Stand(trial_s, ORDINARY),
            StepOff(),
            Empty(math.inf),
        )
    )


def demo(options: argparse.Namespace) -> int:
    """Run the command; its exit status."""
    if not 5.0 <= options.seconds <= 120.0:
        raise SwaytrainerError(
            say("A trial of {s:g} s is none.", s=options.seconds),
            say("Give --seconds from 5 to 120."),
        )
    if options.seed < 0:
        raise SwaytrainerError(
            say("A seed of {n} is none.", n=options.seed), say("Give --seed from 0 up.")
        )
    out: Path = options.out
    home = Home(options.home or out / "home")
    if options.home is not None and (home.vaulters() or any(home.recordings())):
        raise SwaytrainerError(
            say("{home} holds real vaulters or recordings.", home=Name(home.path)),
            say("Leave --home away: what is simulated must not stand among them."),
        )
    level = _level(home, options.level)
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SwaytrainerError(
            say("Can't make the folder {out}: {why}.", out=Name(out), why=Name(error.strerror)),
            say("Give another with --out."),
        ) from None
    off_screen = options.off_screen or display_missing()
    window = Window(off_screen=off_screen, full_screen=options.full_screen)
    player = open_player(options.mute, options.volume, options.sound_device, options.language)
    if off_screen:
        print(translated("No display here: pictures go to {out}.", out=Name(out)))
    make = BoardMake()
    board = SimulatedBoard(make, options.seed)
    loads = corner_loads(
        demo_steps(make, options.seconds, options.calibrated),
        JUNIOR,
        make.rate_hz,
        make.half_width_mm,
        make.half_depth_mm,
        options.seed,
    )
    speed = _OFF_SCREEN_SPEED if off_screen else 1.0
    over_tcp = options.tcp or sys.platform == "win32"
    serve = SimulatorServer.on_tcp if over_tcp else SimulatorServer.on_pty
    server = serve(board, loads, speed)
    try:
        return _Demo(options, out, home, window, player, speed).run(server.url, level)
    finally:
        server.close()
        player.close()
        window.close()


def _level(home: Home, wanted: str | None) -> Level:
    """The level to play: the first one, or the one of this id."""
    levels, _ = home.levels()
    if wanted is None:
        return levels[0]
    for level in levels:
        if level.id == wanted:
            return level
    raise no_level(wanted, [level.id for level in levels])


class _Demo:
    def __init__(
        self,
        options: argparse.Namespace,
        out: Path,
        home: Home,
        window: Window,
        player: Player,
        speed: float,
    ) -> None:
        self._out = out
        self._seed = options.seed
        self._calibrated: bool = options.calibrated
        self._seconds = options.seconds
        self._window = window
        self._player = player
        self._speed = speed
        self._home = home
        self._began_s = time.monotonic()
        self._outcome: Outcome | None = None
        self._view: View | None = None
        self._pictures = 0
        self._toes_kept = self._asked_on = False

    def _clock(self) -> float:
        """Host seconds at the pace of the simulated board, so that drift and jitter make sense."""
        return (time.monotonic() - self._began_s) * self._speed

    def run(self, url: str, wanted: Level) -> int:
        """Find, calibrate, train, tell."""
        print(translated("A simulated board is plugged in at {url}.", url=Name(url)))
        found = find_board([url], self._clock)
        told = translated(
            "Found board {board}, {rate:g} samples a second.",
            board=Name(found.hello.board_id),
            rate=found.hello.rate_hz,
        )
        print(told)
        hello = found.hello
        link = Link(found, self._clock, lambda: [url])
        try:
            stream = Arrivals(link.poll)
            if self._calibrated:
                calibration = SimulatedBoard(BoardMake(), self._seed).true_calibration()
                self._home.keep_calibration(calibration)
            else:
                calibration = self._calibrate(stream, hello.board_id, hello.rate_hz)
            vaulter = Vaulter("Romy", JUNIOR.foot_length_mm, JUNIOR.stance_width_mm)
            level = replace(wanted, seconds=self._seconds, trials=1)
            path = self._train(
                stream, calibration, BoardFacts(hello.board_id, hello.rate_hz), vaulter, level
            )
        finally:
            link.close()
        return self._tell(path, vaulter, level)

    def _calibrate(self, stream: Arrivals, board_id: str, rate_hz: float) -> Calibration:
        make = BoardMake()
        spots = few_spots(make.half_width_mm, make.half_depth_mm)
        guide = Guide(spots, MASS_KG)
        print(translated("Calibrating with {kg:g} kg on {n} marks …", kg=MASS_KG, n=len(spots)))

        give_up_s = time.monotonic() + _GIVE_UP_S

        def meanwhile() -> None:
            if time.monotonic() > give_up_s:
                raise SwaytrainerError(say("The demo came to no end."), say("Start it again."))
            self._window.wait()
            for happened in self._window.events():
                if happened.type == pygame.QUIT or (
                    happened.type == pygame.KEYDOWN and happened.key == pygame.K_ESCAPE
                ):
                    raise KeyboardInterrupt
            draw_calibrating(self._window.surface, guide, (make.half_width_mm, make.half_depth_mm))
            self._window.show()

        meanwhile()
        for time_s, counts in counts_of(stream.one_by_one(meanwhile), rate_hz):
            if guide.update(time_s, counts):
                meanwhile()
                if len(guide.placed) == 3:
                    self._keep("calibrating")
                if guide.done:
                    break
        board = SimulatedBoard(make, self._seed)
        fitted = fit(board_id, datetime.now().astimezone(), board.drawn_places, guide.readings)
        path = self._home.keep_calibration(fitted.calibration)
        fits = translated(
            "fits to {force:.3f} N and {place:.2f} mm, kept as {path}",
            force=fitted.residual_n,
            place=fitted.worst_place_mm,
            path=Name(path),
        )
        print(f"  {fits}")
        return fitted.calibration

    def _train(
        self,
        stream: Arrivals,
        calibration: Calibration,
        board: BoardFacts,
        vaulter: Vaulter,
        level: Level,
    ) -> Path:
        best = self._home.best_mark(level, vaulter, board.rate_hz)
        setup = Setup(calibration, level, vaulter, board, None, best)
        session = Session(setup, self._home.new_recorder, lambda: datetime.now().astimezone())
        trains = translated(
            "{name} trains: {level}, {s:g} s.",
            name=Name(vaulter.name),
            level=level.title,
            s=level.seconds,
        )
        print(trains)
        # A demo lasts no longer than its script, with time for a slow machine.
        give_up_s = time.monotonic() + _GIVE_UP_S

        def until(_events: list[Event]) -> bool:
            view = self._view
            if view is None or view.outcome is None:
                return time.monotonic() > give_up_s
            return view.phase is not Phase.RESULT or view.phase_s >= _SHOW_RESULT_S

        try:
            play(
                session,
                stream,
                self._window,
                self._player,
                self._seed,
                self._clock,
                until,
                self._on_frame,
            )
        finally:
            session.close()
        if session.recorder is None:
            raise SwaytrainerError(
                say("Nobody stepped on the board."), say("Start the demo again.")
            )
        return session.recorder.path

    def _on_frame(self, events: list[Event], view: View) -> None:
        self._view = view
        if view.phase is Phase.WAITING and not view.warnings and not self._asked_on:
            self._asked_on = True
            self._keep("step-on")
        if (
            view.phase is Phase.RUNNING
            and not self._toes_kept
            and view.toe_share_percent > view.level.band_high_percent
            and view.phase_s > 2.0
        ):
            self._toes_kept = True
            self._keep("toes-heavy")
        for event in events:
            if event.outcome is not None:
                self._outcome = event.outcome
            name = {
                Happening.STEPPED_ON: "stand-still",
                Happening.COUNTDOWN_TICK: "countdown" if event.number == 3 else None,
                Happening.HALF_TIME: "half-time",
                Happening.TRIAL_ENDED: "mark",
            }.get(event.happening)
            if name is not None:
                self._keep(name)

    def _keep(self, name: str) -> None:
        self._pictures += 1
        self._window.save(str(self._out / f"{self._pictures:02d}-{name}.png"))

    def _tell(self, path: Path, vaulter: Vaulter, level: Level) -> int:
        outcome, view = self._outcome, self._view
        if outcome is None or view is None:
            print(
                translated(
                    "The window was closed before the trial was over; what was recorded is kept:"
                )
            )
            print(f"  {path}")
            return 1
        picture = self._out / "sway-path.png"
        save_path_picture(view.path_mm, vaulter, level, picture)
        mark = say("no mark")
        if outcome.mark is not None:
            mark = say("{mark:.1f} of 10", mark=outcome.mark)
        print(translated("Mark: {mark}. {reason}", mark=mark, reason=outcome.reason))
        for part in outcome.parts:
            earned = translated(
                "{value:.1f}: {earned:.2f} of {possible:g}",
                value=part.value,
                earned=part.earned,
                possible=part.possible,
            )
            print(f"  {part.measure} {earned}")
        print(translated("Next: {advice}", advice=outcome.advice))
        pictures = translated(
            "Sway path: {picture}; pictures of the screen: {folder}",
            picture=Name(picture),
            folder=Name(self._out / "*.png"),
        )
        print(pictures)
        print(translated("Recording: {path}", path=Name(path)))
        us = "python -m swaytrainer" if sys.argv[0].endswith(".py") else sys.argv[0]
        print(translated("Try next:"))
        print(f"  {us} replay {path} --fast")
        print(f"  {us} analyse {path}")
        own = translated("(with your own board plugged in)")
        print(f"  {us}            {own}")
        return 0
