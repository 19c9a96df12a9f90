"""``swaytrainer scoreboard FILE``: a contest's standings on the hall's screen, beside the gym's."""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Final

import pygame

from swaytrainer.app.window import Window, display_missing
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.help_pages import SCOREBOARD
from swaytrainer.games.scoreboard import ROWS, BoardState, Last, Page, Row, draw_scoreboard
from swaytrainer.squad.contest import Attempt, Contest, Stage, sort_out
from swaytrainer.squad.contest_places import WITHDRAWN, Standing, standings, team_marks
from swaytrainer.squad.contest_words import stage_words
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.home import Home
from swaytrainer.words import number, say, tr

_PAGE_S: Final = 10.0
_LOOK_S: Final = 1.0
_HEADS: Final = (say("mean"), say("best"), say("spread"))


# What it shows ------------------------------------------------------------------------------------


def board_state(book: ContestBook, now: datetime) -> BoardState:
    """All that the scoreboard shows of a contest as it stands.

    Args:
        book: of the contest.
        now: the wall clock: outside of its time nothing counts.
    """
    told = book.contest
    last = _last(told, book.attempts)
    pages: list[Page] = []
    for name, lines in standings(told, book.attempts).items():
        rows = [_row(line, last, told.trials) for line in _so_far(lines)]
        pages += _pages(name, _HEADS, rows)
    due = book.calls()
    # No team is first while one of a team has trials to do.
    members = {member for team in told.teams.values() for member in team}
    early = any(call.stage is Stage.ROUND and call.vaulter in members for call in due)
    teams = [
        Row("–" if early or place is None else str(place), team, (_number(mark, 2),))
        for place, team, mark, _ in team_marks(told, book.attempts)
    ]
    pages += _pages(say("Teams"), (say("mark"),), teams)
    # Outside of its time nobody is called: nothing would count.
    calls = due if told.is_on(now) else []
    coming = tuple((c.vaulter, stage_words(told, c.stage, c.number)) for c in calls)
    return BoardState(told.title, tuple(pages), last, coming, _note(book, now))


def _note(book: ContestBook, now: datetime) -> str:
    if not book.contest.is_on(now):
        return "It is not the contest's time"
    return "" if book.trouble is None else "The contest's file is wrong"


def _so_far(lines: Sequence[Standing]) -> Sequence[Standing]:
    """While trials are to come, by the mean so far and without places: nobody is first yet."""
    gone = {line.vaulter for line in lines if line.note.startswith(WITHDRAWN)}
    if all(line.place is not None for line in lines if line.vaulter not in gone):
        return lines
    there = sorted(
        (replace(line, place=None, close_to=()) for line in lines if line.vaulter not in gone),
        key=lambda line: (
            (False, -line.mean, -line.best, line.spread, line.vaulter)
            if line.marks
            else (True, 0.0, 0.0, 0.0, line.vaulter)
        ),
    )
    return [*there, *(line for line in lines if line.vaulter in gone)]


def _row(line: Standing, last: Last | None, trials: int) -> Row:
    place = "–" if line.place is None else str(line.place)
    # Of one mark there is no spread.
    spread = _number(line.spread, 1) if len(line.marks) > 1 else ""
    cells = (_number(line.mean, 2), _number(line.best, 1), spread)
    fresh = last is not None and last.name == line.vaulter
    name = line.vaulter
    if line.note.startswith(WITHDRAWN):
        name = f"{name} – {tr(say('withdrawn'))}"
    elif not math.isnan(line.stood_off):
        name = f"{name}  +{_number(line.stood_off, 1)}"
    elif line.place is None or len(line.marks) < trials:
        name = f"{name}  {len(line.marks)}/{trials}"
    return Row(place, name, cells, bool(line.close_to), fresh)


def _pages(title: str, heads: tuple[str, ...], rows: list[Row]) -> list[Page]:
    parts = [tuple(rows[n : n + ROWS]) for n in range(0, len(rows), ROWS)]
    return [Page(title, heads, part, n, len(parts)) for n, part in enumerate(parts, start=1)]


def _number(value: float, digits: int) -> str:
    return "" if math.isnan(value) else number(value, f".{digits}f")


def _entered(told: Contest, attempts: Iterable[Attempt]) -> list[Attempt]:
    names = set(told.vaulters)
    here = (a for a in attempts if a.vaulter in names and told.since <= a.at <= told.until)
    return sorted(here, key=lambda a: (a.at, a.number))


def _last(told: Contest, attempts: Iterable[Attempt]) -> Last | None:
    entered = _entered(told, attempts)
    if not entered:
        return None
    attempt = entered[-1]
    done = sort_out(told, entered)[attempt.vaulter]
    was = done.was_for(attempt)
    turn = "" if attempt.mark is None else "Does not count"
    turn = turn if was is None else stage_words(told, *was)
    return Last(attempt.vaulter, turn, attempt.mark, attempt.reason)


def last_recording(book: ContestBook, home: Home) -> Path | None:
    """Where the last trial is kept; None before the first."""
    entered = _entered(book.contest, book.attempts)
    if not entered:
        return None
    last = entered[-1]
    named = (p for p in home.recordings() if f"{p.parent.name}/{p.name}" == last.whole_name)
    return next(named, None)


# The loop -----------------------------------------------------------------------------------------


def scoreboard(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status.

    Raises:
        SwaytrainerError: the file can't be used, or there is no display.
    """
    book = ContestBook(home, options.file)
    if display_missing():
        raise SwaytrainerError(
            say("There is no display for the scoreboard."),
            say(
                "Start it on a screen; 'swaytrainer contest FILE' tells the standings without one."
            ),
        )
    window = Window(off_screen=False, full_screen=options.full_screen)
    try:
        Scoreboard(book, home, window).run()
    finally:
        window.close()
    return 0


class Scoreboard:
    """The screen and its keys.

    Args:
        book: of the contest.
        home: the data folder, for the recording that is seen again.
        window: to draw on.
    """

    def __init__(self, book: ContestBook, home: Home, window: Window) -> None:
        self._book = book
        self._home = home
        self._window = window
        self._page = 0
        self._held = False
        self._refused = ""
        self._refused_s = -math.inf
        self._turned_s = self._looked_s = time.monotonic()
        self._state = board_state(book, datetime.now().astimezone())

    @property
    def page(self) -> int:
        """The number of the page that is shown; it only grows."""
        return self._page

    def run(self) -> None:
        """Until somebody leaves."""
        while True:
            self._window.wait()
            for happened in self._window.events():
                if happened.type == pygame.VIDEORESIZE:
                    self._window.surface = pygame.display.get_surface() or self._window.surface
                elif happened.type == pygame.QUIT or self._heed(happened):
                    return
            self._look()
            draw_scoreboard(self._window.surface, self._state, self._page)
            self._window.help = SCOREBOARD
            self._window.show()

    def _heed(self, happened: pygame.event.Event) -> bool:
        """Do what a key asks for; True to leave."""
        if happened.type != pygame.KEYDOWN:
            return False
        if happened.key in (pygame.K_LEFT, pygame.K_RIGHT):
            self._turn(1 if happened.key == pygame.K_RIGHT else -1)
        elif happened.key == pygame.K_SPACE:
            self._held = not self._held
            self._turned_s = time.monotonic()
        elif happened.key == pygame.K_r:
            self._see_again()
        return bool(happened.key == pygame.K_ESCAPE)

    def _turn(self, by: int) -> None:
        self._page = (self._page + by) % max(1, len(self._state.pages))
        self._turned_s = time.monotonic()

    def _look(self) -> None:
        now_s = time.monotonic()
        if now_s - self._looked_s >= _LOOK_S:
            self._looked_s = now_s
            self._book.refresh()
            self._state = board_state(self._book, datetime.now().astimezone())
            if self._refused and now_s - self._refused_s < _PAGE_S:
                self._state = replace(self._state, note=self._refused)
        if not self._held and now_s - self._turned_s >= _PAGE_S:
            self._turn(1)

    def _see_again(self) -> None:
        """The last trial, before all."""
        path = last_recording(self._book, self._home)
        if path is None:
            return
        from swaytrainer.app.play import open_player
        from swaytrainer.app.replay import shown_on
        from swaytrainer.store.recording import read_recording

        player = open_player(mute=True)
        try:
            shown_on(self._window, player, read_recording(path), 1.0)
        except SwaytrainerError as error:
            print(error)
            self._refused, self._refused_s = "This trial can't be shown again", time.monotonic()
        finally:
            player.close()
