"""``swaytrainer`` alone: the gym screen, and before it the first steps where nothing is set up."""

from __future__ import annotations

import argparse
import platform
from contextlib import ExitStack
from datetime import datetime

from swaytrainer.app.choices import Choices, choices
from swaytrainer.app.guide import Guide, wants_guide
from swaytrainer.app.gym import Gym
from swaytrainer.app.gym_contest import GymContest, contest_choices
from swaytrainer.app.gym_line import Line
from swaytrainer.app.past import catch_up
from swaytrainer.app.play import open_player
from swaytrainer.app.rehearsal import rehearse
from swaytrainer.app.window import Window, display_missing
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.home import Home


def gym(options: argparse.Namespace) -> int:
    """Open the gym screen and stay until it is left; first steps first where nothing is set up."""
    home = Home(options.home) if options.home else Home.usual()
    who_and_what(home, options)  # what can't be used is told before a window opens
    window = Window(off_screen=display_missing(), full_screen=options.full_screen)
    player = open_player(options.mute, options.volume, options.sound_device, options.language)
    if window.off_screen:
        print("No display: the gym screen runs off screen. Ctrl-C ends it.")
    with ExitStack() as closing:
        # Each is closed whatever another's closing says.
        closing.callback(window.close)
        closing.callback(player.close)
        closing.callback(catch_up(home))
        station = platform.node() if options.station is None else options.station
        new = not window.off_screen and options.vaulter is None and wants_guide(home)
        guide = options.first_steps or new
        while True:
            if guide:
                steps = Guide(home, options.port, window, lambda: rehearse(window, player))
                added, ended = steps.run()
                if ended:
                    return 0
                if added is not None:
                    options = argparse.Namespace(**{**vars(options), "vaulter": added})
            there, line = who_and_what(home, options)
            for note in (*there.shelf.troubles, *there.shelf.notes):
                print(note)
            room = Gym(home, options.port, there, window, player, station=station, line=line)
            try:
                guide = room.run()
            finally:
                room.close()
            if not guide:
                return 0


def who_and_what(home: Home, options: argparse.Namespace) -> tuple[Choices, Line | None]:
    """Who and what there is to choose from, and who calls; None for the evening's plan.

    Raises:
        SwaytrainerError: a name, a level, or a contest's file can't be used.
    """
    if options.contest is None:
        return choices(home, options), None
    book = ContestBook(home, options.contest)
    there = contest_choices(home, book, options.spotter)
    return there, GymContest(book, lambda: datetime.now().astimezone())
