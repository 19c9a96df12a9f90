"""A competition on the gym screen with a board on a pseudo-terminal, cut off and gone on with."""

import argparse
import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pygame
import pytest

from swaytrainer.app.gym import Gym
from swaytrainer.app.gym_contest import GymContest, contest_choices
from swaytrainer.app.play import open_player
from swaytrainer.app.window import Window
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.frame import of_trials
from swaytrainer.games.stage import Stage as Screen
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.obliging import obliging_loads
from swaytrainer.simulate.scenario import Scenario, Stand, StepOn, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.sitting.view import Phase, View
from swaytrainer.squad.contest import Attempt, Ruling, Stage
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.contest_edit import add_ruling
from swaytrainer.store.home import Home
from swaytrainer.training.level_file import level_text
from swaytrainer.training.vaulter import Vaulter
from tests.streams import board_of, short_level

pytest.importorskip("pty")
FAST = 6.0
HALF = (220.0, 170.0)
NAMES = ("Wren", "Tarn", "=cmd / Ämy 🐎")


class CutError(Exception):
    """The power is gone."""


def now() -> datetime:
    return datetime.now(UTC)


@pytest.fixture(autouse=True)
def short_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("swaytrainer.app.sitting_over._ASK_AFTER_S", 1.0)
    monkeypatch.setattr("swaytrainer.app.sitting_over._WAITED_FOR_S", 1.0)
    monkeypatch.setattr("swaytrainer.app.sitting_over._LOOK_AT_MARKS_S", 1.0)


@pytest.fixture
def cup(tmp_path: Path) -> Path:
    home = Home(tmp_path / "home")
    for name in NAMES:
        home.add_vaulter(Vaulter(name))
    home.keep_calibration(board_of().true_calibration())
    (home.path / "levels").mkdir()
    (home.path / "levels" / "a.toml").write_text(
        level_text(short_level(5.0)).replace('id = "millpond-shore"', 'id = "short"')
    )
    path = tmp_path / "cup.toml"
    begin, end = (now() + timedelta(hours=h) for h in (-1, 3))
    path.write_text(
        f'title = "Pond cup"\nlevel = "short"\nsince = {begin.isoformat()}\n'
        f"until = {end.isoformat()}\nseed = 3\ntrials = 1\n\n[[class]]\n"
        f'name = "All"\nvaulters = ["Wren", "Tarn", "=cmd / Ämy 🐎"]\n',
        encoding="utf-8",
    )
    return path


class Hall:
    """One power-on: the gym, the board, and hands that press when something is so."""

    def __init__(self, cup: Path) -> None:
        self.home = Home(cup.parent / "home")
        self.book = ContestBook(self.home, cup)
        wanted = threading.Event()
        self.stays_away: set[str] = set()
        server = SimulatorServer.on_pty(board_of(), _loads(wanted), FAST)
        self.server = server
        self.window = _Hands()
        self.line = GymContest(self.book, now)

        def look(on: bool) -> None:
            vaulter = self.room.state.vaulter
            here = vaulter is not None and vaulter.name not in self.stays_away
            (wanted.set if on and here else wanted.clear)()

        self.room = Gym(
            self.home,
            server.url,
            contest_choices(self.home, self.book, False),
            self.window,
            open_player(mute=True),
            on_look=look,
            line=self.line,
        )

    def run(self, until: Callable[[], bool], cut: bool = False) -> None:
        """Until something is so; then the window is closed, or the power is gone."""

        def hand() -> list[pygame.event.Event]:
            calls = self.room.state.calls
            if self.room.state.can_go and calls and calls[0] in self.stays_away:
                self.stays_away.discard(calls[0])
                return [pygame.event.Event(pygame.KEYDOWN, key=pygame.K_m)]
            if not until():
                return []
            if cut:
                raise CutError
            return [pygame.event.Event(pygame.QUIT)]

        self.window.hand = hand
        try:
            self.room.run()
        finally:
            if cut:
                # A power cut ends threads, too: a search left behind takes other tests' board.
                self.room._board.close()
            else:
                self.room.close()
            self.server.close()
            self.window.close()


class _Hands(Window):
    def __init__(self) -> None:
        super().__init__(off_screen=True)
        self.hand: Callable[[], list[pygame.event.Event]] = list
        self._give_up_s = time.monotonic() + 240.0

    def events(self) -> list[pygame.event.Event]:
        super().events()
        assert time.monotonic() < self._give_up_s
        return self.hand()


def _loads(wanted: threading.Event) -> Iterator[tuple[float, float, float, float]]:
    standing = corner_loads(Scenario((StepOn(), Stand(3600.0))), JUNIOR, 80.0, *HALF, 1)
    for _ in range(160):
        next(standing)
    return obliging_loads(standing, wanted.is_set, 80.0)


def coming(cup: Path) -> list[tuple[str, Stage, int]]:
    book = ContestBook(Home(cup.parent / "home"), cup)
    return [(call.vaulter, call.stage, call.number) for call in book.calls()]


def test_the_power_is_cut_anywhere_and_it_goes_on_at_the_same_vaulter(
    cup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    heads: set[str] = set()
    draw = Screen.draw

    def watched(stage: Screen, view: View, now_s: float) -> None:
        heads.add(of_trials(view))
        draw(stage, view, now_s)

    monkeypatch.setattr(Screen, "draw", watched)
    order = [name for name, _, _ in coming(cup)]
    assert sorted(order) == sorted(NAMES)
    # In the countdown or the trial of the first: nothing of it counts, and she is next again.
    hall = Hall(cup)
    with pytest.raises(CutError):
        hall.run(lambda: bool(hall.home.recordings()), cut=True)
    assert [name for name, _, _ in coming(cup)] == order
    # When the first has her mark: it is kept, and the second is next.
    hall = Hall(cup)
    assert hall.room.state.title == "Pond cup"
    assert hall.room.state.calls[0] == order[0]
    with pytest.raises(CutError):
        hall.run(lambda: len(coming(cup)) == 2, cut=True)
    assert [name for name, _, _ in coming(cup)] == order[1:]
    # The second isn't there and is missed; the third trains first. Then all is done.
    hall = Hall(cup)
    assert hall.room.state.calls[0] == order[1]
    hall.stays_away = {order[1]}
    with pytest.raises(CutError):
        hall.run(lambda: len(coming(cup)) == 1, cut=True)
    assert [name for name, _, _ in coming(cup)] == [order[1]], "who was missed is still known"
    hall = Hall(cup)
    hall.run(lambda: not coming(cup))
    book = ContestBook(hall.home, cup)
    counted = [a for a in book.attempts if a.mark is not None]
    assert sorted(a.vaulter for a in counted) == sorted(NAMES), "nothing lost, nothing twice"
    assert heads == {"Round 1 of 1"}, "each screen of a trial says what it is for"


def test_whose_turn_it_is_above_the_marks_follows_rounds_and_rulings(
    cup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Last in a round and first in the next; then a judge takes back what is being shown."""
    monkeypatch.setattr("swaytrainer.app.gym.RELOAD_S", 0.1)
    text = cup.read_text(encoding="utf-8")
    cup.write_text(text.replace("trials = 1", "trials = 2"), encoding="utf-8")
    _, second, last = [name for name, _, number in coming(cup) if number == 1]
    said: list[tuple[str, str]] = []
    draw = Screen.draw

    def watched(stage: Screen, view: View, now_s: float) -> None:
        draw(stage, view, now_s)
        if view.phase is Phase.FINISHED:
            title = max(stage.canvas.boxes, key=lambda box: box.line_px)
            if said[-1:] != [(view.vaulter.name, title.words)]:
                said.append((view.vaulter.name, title.words))

    monkeypatch.setattr(Screen, "draw", watched)
    hall = Hall(cup)
    ruled: list[Attempt] = []

    def until() -> bool:
        if said[-1:] == [(last, f"Well done – now {second}")] and not ruled:
            ruled.append(max(hall.book.attempts, key=lambda a: a.at))
            why = Ruling(last, "repeat", "a cable", ruled[0].whole_name, ruled[0].number)
            add_ruling(cup, hall.home, why)
        return bool(ruled) and said[-1] == (last, "Step off – then once more you")

    hall.run(until)
    assert [ruled[0].vaulter] == [last]
    assert said[-3:] == [
        (last, "Step off – then once more you"),
        (last, f"Well done – now {second}"),
        (last, "Step off – then once more you"),
    ]


def test_who_joins_and_who_is_erased_while_the_screen_is_open_is_taken_over(
    cup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("swaytrainer.app.gym.RELOAD_S", 0.1)
    hall = Hall(cup)
    hall.stays_away = {*NAMES, "Pim"}
    text = cup.read_text(encoding="utf-8")
    seen: list[tuple[str, ...]] = []

    def until() -> bool:
        state = hall.room.state
        there = tuple(v.name for v in state.vaulters)
        seen.append(state.calls)
        if "Pim" not in there and len(there) == 3:
            if "Pim" not in {v.name for v in hall.home.vaulters()}:
                hall.home.add_vaulter(Vaulter("Pim", caution="an old sprain"))
                names = '"Wren", "Pim", "Tarn"'
                cup.write_text(text.replace('"Wren", "Tarn"', names), encoding="utf-8")
            return False
        if "Wren" in there:
            if any(v.name == "Wren" for v in hall.home.vaulters()):
                erase = ["person", "erase", "--yes", "Wren"]
                assert main(["--home", str(hall.home.path), *erase]) == 0
            return False
        return True

    hall.window.hand = lambda: [pygame.event.Event(pygame.QUIT)] if until() else []
    try:
        hall.room.run()
    finally:
        hall.room.close()
        hall.server.close()
        hall.window.close()
    assert {name for calls in seen for name in calls} == {*NAMES, "Pim"}
    state = hall.room.state
    assert {v.name for v in state.vaulters} == {"Pim", *NAMES} - {"Wren"}
    assert set(state.calls) == {"Pim", *NAMES} - {"Wren"}
    assert state.vaulter is not None
    assert state.vaulter.name == state.calls[0], "the one who is called is the one who is chosen"
    assert any("erased for good" in note for note in state.notes)


def test_a_level_that_needs_a_spotter_is_refused_without_one(cup: Path) -> None:
    home = Home(cup.parent / "home")
    text = cup.read_text(encoding="utf-8").replace('"short"', '"millpond-islet"')
    cup.write_text(text, encoding="utf-8")
    book = ContestBook(home, cup)
    with pytest.raises(SwaytrainerError, match="--spotter"):
        contest_choices(home, book, False)
    there = contest_choices(home, book, True)
    assert [level.id for level in there.levels] == ["millpond-islet"]
    assert there.levels[0].trials == 1
    assert there.shelf.refresh() is False


def test_the_line_says_which_turn_it_is_and_when_nothing_counts(cup: Path) -> None:
    home = Home(cup.parent / "home")
    text = cup.read_text(encoding="utf-8").replace("trials = 1", "trials = 2\nwarm_up = 1")
    cup.write_text(text, encoding="utf-8")
    line = GymContest(ContestBook(home, cup), now)
    first = line.calls()[0]
    assert line.told(first).turn == "Warm-up: does not count · All"
    assert line.planned(first) == ("short",)
    assert line.planned("Nobody") is None
    assert line.notes == ()
    time_s = [timedelta(days=2)]
    late = GymContest(ContestBook(home, cup), lambda: now() + time_s[0])
    assert any("nothing counts now" in note for note in late.notes)
    assert (late.calls(), late.planned(first)) == ((), None), "nobody is called in vain"
    time_s[0] = timedelta(0)
    late.refresh()
    assert late.calls()[0] == first
    cup.write_text(text.replace("seed = 3", "seed = x"), encoding="utf-8")
    line.refresh()
    notes: tuple[str, ...] = line.notes
    assert any("cup.toml" in note for note in notes)
    assert line.calls()[0] == first, "the last good file stays"


def test_the_options_lead_to_the_contests_gym(cup: Path) -> None:
    from swaytrainer.app.gym_command import who_and_what
    from swaytrainer.cli import parsed

    home = cup.parent / "home"
    options = parsed(["--home", str(home), "--contest", str(cup)])
    there, line = who_and_what(Home(home), options)
    assert isinstance(line, GymContest)
    assert {v.name for v in there.vaulters} == set(NAMES)
    assert isinstance(options, argparse.Namespace)
