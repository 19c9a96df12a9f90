"""The gym screen with a board on a pseudo-terminal: a vaulter trains without touching anything."""

import argparse
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import chain, repeat
from pathlib import Path

import pygame
import pytest

from swaytrainer.app.choices import choices
from swaytrainer.app.gym import Gym
from swaytrainer.app.play import open_player
from swaytrainer.app.window import Window
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.gym import GymState
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
from swaytrainer.store.trials import replayed, trials_of
from swaytrainer.training.choosing import Move
from swaytrainer.training.desk import Desk
from swaytrainer.training.gesture import Readiness
from swaytrainer.training.ladder import CoachWord
from swaytrainer.training.level_file import level_text, shipped_levels
from swaytrainer.training.vaulter import Vaulter
from tests.app.puppet import Act, Puppet
from tests.index.made import outcome, sitting
from tests.streams import NOON, WREN, board_of, short_level

pytest.importorskip("pty")
FAST = 5.0


@pytest.fixture(autouse=True)
def short_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    """The simulated board runs faster than the wall: marks need not be looked at as long."""
    monkeypatch.setattr("swaytrainer.app.sitting_over._ASK_AFTER_S", 1.0)
    monkeypatch.setattr("swaytrainer.app.sitting_over._WAITED_FOR_S", 1.0)
    monkeypatch.setattr("swaytrainer.app.sitting_over._LOOK_AT_MARKS_S", 2.0)


class ScriptedWindow(Window):
    """Presses keys when a condition has come true, and leaves at the end."""

    def __init__(self, presses: list[tuple[Callable[[], bool], int]]) -> None:
        super().__init__(off_screen=True)
        self._presses = presses
        self._give_up_s = time.monotonic() + 240.0  # a watchdog, however busy the machine is

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


VISIT = (StepOn(), Stand(36.0), StepOff())


class Evening:
    """A gym with a simulated board: keys by condition, and what came of it."""

    def __init__(
        self,
        home: Home,
        script: Sequence[Empty | StepOn | Stand | StepOff],
        level: str | None,
        spotter: bool = False,
        puppet: Puppet | None = None,
    ) -> None:
        board = board_of()
        home.keep_calibration(board.true_calibration())
        loads = (
            corner_loads(Scenario(tuple(script)), JUNIOR, 80.0, 220.0, 170.0, 1)
            if puppet is None
            else iter(puppet)
        )
        self.home = home
        self.server = SimulatorServer.on_pty(board, loads, FAST)
        self.presses: list[tuple[Callable[[], bool], int]] = []
        self.window = ScriptedWindow(self.presses)
        there = choices(home, options(level=level, spotter=spotter))
        self.room = Gym(home, self.server.url, there, self.window, open_player(mute=True))

    @property
    def state(self) -> GymState:
        return self.room._state

    def ready(self) -> bool:
        return self.state.can_go

    def reading(self) -> bool:
        return self.state.reading

    def marked(self) -> bool:
        paths = self.home.recordings()
        return bool(paths) and bool(read_recording(paths[0]).shown)

    def run(self, *presses: tuple[Callable[[], bool], int]) -> None:
        self.presses.extend(presses)
        try:
            self.room.run()
        finally:
            self.room.close()
            self.server.close()
            self.window.close()


def test_read_the_cautions_step_on_train_and_leave(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    evening = Evening(home, (Empty(6.0), *VISIT, Empty(1e6)), "short")
    evening.run(
        (evening.ready, pygame.K_RETURN),
        (evening.reading, pygame.K_RETURN),
        (evening.marked, pygame.K_ESCAPE),
    )
    [path] = home.recordings()
    assert "short-Wren" in path.name
    recording = read_recording(path)
    assert recording.damage == ()
    [trial] = trials_of(recording)
    assert trial.same_as_shown is True
    assert trial.outcome.mark is not None
    # What was done is told, and the cautions were read for today.
    assert evening.state.dose.startswith("Trials today 1")
    assert not evening.state.due


def test_without_hands_the_cautions_are_read_between_two_steps_on(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    first = (Empty(6.0), StepOn(), Stand(3.0), StepOff(), Empty(6.0))
    evening = Evening(home, (*first, *VISIT, Empty(1e6)), "short")
    evening.run((evening.marked, pygame.K_ESCAPE))
    [path] = home.recordings()
    [trial] = trials_of(read_recording(path))
    assert trial.same_as_shown is True
    assert trial.outcome.mark is not None


class AtTheDesk:
    """What somebody who looks at the screen can tell."""

    def __init__(self) -> None:
        self.evening: Evening | None = None
        self.seen: list[str] = []

    @property
    def desk(self) -> Desk | None:
        return None if self.evening is None else self.evening.room._desk

    def shows(self, title: str, question: str) -> Callable[[], bool]:
        """Whether this is in the middle of that question, and the board understands."""

        def told() -> bool:
            if self.desk is None:
                return False
            view = self.desk.view()
            there = view.question.words == question and view.entry.title == title
            return there and view.state is Readiness.READY and view.saying is None

        return told

    def marks(self, count: int) -> Callable[[], bool]:
        def made() -> bool:
            assert self.evening is not None
            paths = self.evening.home.recordings()
            return sum(len(read_recording(path).shown) for path in paths) >= count

        return made


def test_a_whole_sitting_without_hands(tmp_path: Path) -> None:
    """Who I am, what I do, start, again, done: by weight shift, knee bends, step on and off."""
    home = home_with_level(tmp_path)
    home.add_vaulter(Vaulter("Tarn", foot_length_mm=235))
    home.keep_word(CoachWord("Tarn", "short", NOON, "begins here"))
    look = AtTheDesk()
    ready = lambda: look.evening is not None and look.evening.ready()  # noqa: E731
    reading = lambda: look.evening is not None and look.evening.reading()  # noqa: E731
    me, now = "Is it you?", "And now?"
    acts: list[Act] = [
        (ready, "on"),
        (reading, "off"),
        (reading, "on"),
        (look.shows("Wren", me), "left"),
        (look.shows("Somebody else", me), "bends"),
        (look.shows("Tarn", "Who are you?"), "bends"),
        # The ready question stands; standing still begins.
        (look.marks(1), "off"),
        (lambda: True, "on"),
        (look.shows("Again", now), "bends"),
        (look.marks(2), "off"),
        (lambda: True, "on"),
        (look.shows("Again", now), "left"),
        (look.shows("Done", now), "bends"),
    ]
    evening = look.evening = Evening(home, (), "short", puppet=Puppet(acts))
    over = lambda: not acts and look.desk is None and evening.ready()  # noqa: E731
    evening.run((over, pygame.K_ESCAPE))
    paths = home.recordings()
    assert len(paths) == 2
    for path in paths:
        assert "short-Tarn" in path.name
        [trial] = trials_of(read_recording(path))
        assert trial.same_as_shown is True
        assert trial.outcome.mark is not None
        # The empty board came before, although it was chosen later who would train.
        assert trial.outcome.counts


def test_a_window_that_is_closed_in_a_trial_leaves_a_whole_recording(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    look = AtTheDesk()
    ready = lambda: look.evening is not None and look.evening.ready()  # noqa: E731
    reading = lambda: look.evening is not None and look.evening.reading()  # noqa: E731
    acts: list[Act] = [(ready, "on"), (reading, "off"), (reading, "on")]
    evening = look.evening = Evening(home, (), "short", puppet=Puppet(acts))

    def in_trial() -> bool:
        paths = home.recordings()
        return bool(paths) and replayed(read_recording(paths[0])).under_way is not None

    # The window is closed once no press is left.
    evening.run((in_trial, pygame.K_F1))
    [path] = home.recordings()
    recording = read_recording(path)
    assert recording.damage == ()
    assert replayed(recording).under_way is not None


def test_a_gamepad_chooses_begins_and_leaves_the_cautions(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    home.add_vaulter(Vaulter("Tarn", foot_length_mm=235))
    evening = Evening(home, (Empty(1e6),), "short")
    seen: list[tuple[str, bool]] = []

    def pad(*moves: Move) -> Callable[[], bool]:
        def pressed() -> bool:
            if not evening.ready():
                return False
            for move in moves:
                evening.room._move(move)
            assert evening.state.vaulter is not None
            seen.append((evening.state.vaulter.name, evening.state.reading))
            return True

        return pressed

    evening.run(
        (pad(Move.AFTER), pygame.K_F1),
        (pad(Move.BACK), pygame.K_F1),
        (pad(Move.TAKE), pygame.K_F1),
        (evening.reading, pygame.K_F1),
        (pad(Move.BACK), pygame.K_F1),
    )
    assert seen[0] == ("Tarn", False)
    assert seen[1] == ("Tarn", False), "back does not close the gym"
    assert seen[-1] == ("Tarn", False), "it leaves the cautions"


def risky(home: Home) -> None:
    text = level_text(short_level(5.0)).replace('base = "firm"', 'base = "dome"')
    text = text.replace("spotter = false", "spotter = true").replace("millpond-shore", "tippy")
    (home.path / "levels" / "b.toml").write_text(text, encoding="utf-8")


def test_on_a_risky_base_only_a_key_begins(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    risky(home)
    short = (StepOn(), Stand(4.0), StepOff(), Empty(6.0))
    script = (Empty(6.0), *short, *short, *VISIT, Empty(1e6))
    evening = Evening(home, script, "tippy", True)
    read: list[bool] = []

    def stepped_on_twice() -> bool:
        on = evening.state.on_board
        if evening.reading() and (not read or read[-1] is not on):
            read.append(on)
        return read.count(True) >= 2

    evening.run((stepped_on_twice, pygame.K_RETURN), (evening.marked, pygame.K_ESCAPE))
    assert len(home.recordings()) == 1, "nothing was recorded before the key"


def test_escape_leaves_the_cautions_not_the_gym(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    evening = Evening(home, (Empty(1e6),), "short")
    left = lambda: not evening.reading()  # noqa: E731
    evening.run(
        (evening.ready, pygame.K_RETURN),
        (evening.reading, pygame.K_ESCAPE),
        (left, pygame.K_ESCAPE),
    )
    assert evening.state.due
    assert home.recordings() == []


def test_a_spotter_brings_the_risky_levels_and_takes_them_along(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    risky(home)
    evening = Evening(home, (Empty(1e6),), "short")
    offered: list[list[str]] = []

    def look() -> bool:
        offered.append([level.id for level in evening.state.levels])
        return evening.ready()

    evening.run((look, pygame.K_s), (look, pygame.K_s), (look, pygame.K_ESCAPE))
    alone, together, again = offered[-3:]
    assert "tippy" not in alone
    assert "tippy" in together
    assert again == alone


def test_level_files_are_read_again_while_the_gym_is_open(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    file = tmp_path / "levels" / "a.toml"
    evening = Evening(home, (Empty(1e6),), "short")
    good = file.read_text(encoding="utf-8")
    told: list[tuple[str, ...]] = []

    def breaks() -> bool:
        if not evening.ready():
            return False
        file.write_text(good.replace("seconds = 5.0", "seconds = 500"), encoding="utf-8")
        return True

    def broken() -> bool:
        if not evening.state.notes:
            return False
        told.append(evening.state.notes)
        assert evening.state.level is not None
        assert evening.state.level.seconds == 5.0, "the last good one stays"
        file.write_text(good.replace("seconds = 5.0", "seconds = 7"), encoding="utf-8")
        return True

    def mended() -> bool:
        level = evening.state.level
        return level is not None and level.seconds == 7.0

    evening.run((breaks, pygame.K_F1), (broken, pygame.K_F1), (mended, pygame.K_ESCAPE))
    [note] = told[0]
    for words in ("a.toml", "line", "'seconds'", "between 5 and 120", "last good version"):
        assert words in note
    assert evening.state.notes == ()


def test_an_evening_calls_one_after_the_other(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    home.add_vaulter(Vaulter("Tarn", foot_length_mm=235))
    (tmp_path / "squad.toml").write_text(
        '[[group]]\nname = "All"\nvaulters = ["Tarn", "Wren"]\nlevels = ["short"]\n'
    )
    look = AtTheDesk()
    ready = lambda: look.evening is not None and look.evening.ready()  # noqa: E731
    reading = lambda: look.evening is not None and look.evening.reading()  # noqa: E731
    calls: list[tuple[str, ...]] = []

    def called(name: str) -> Callable[[], bool]:
        def so() -> bool:
            assert look.evening is not None
            state = look.evening.state
            calls.append(state.calls)
            return state.called and state.calls[0] == name and look.desk is None

        return so

    acts: list[Act] = [
        (ready, "on"),
        (reading, "off"),
        (reading, "on"),
        (look.shows("Tarn", "Is it you?"), "left"),
        (look.shows("Not here", "Is it you?"), "bends"),
        # Wren is asked now, stands still, and trains.
        (look.marks(1), "off"),
        (called("Tarn"), "on"),
        (look.marks(2), "off"),
    ]
    evening = look.evening = Evening(home, (), None, puppet=Puppet(acts))
    over = lambda: not acts and evening.ready() and not evening.state.calls  # noqa: E731
    evening.run((over, pygame.K_ESCAPE))
    names = [read_recording(path).setup.vaulter.name for path in home.recordings()]
    assert names == ["Wren", "Tarn"]
    assert ("Tarn",) in calls, "who was missed is called once more"
    assert all(read_recording(p).setup.level.id == "short" for p in home.recordings())


def test_a_level_that_is_changed_between_two_trials_is_taken_over_at_once(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    file = tmp_path / "levels" / "a.toml"
    good = file.read_text(encoding="utf-8").replace("trials = 1", "trials = 2")
    good = good.replace("rest_s = 2", "rest_s = 30")
    file.write_text(good, encoding="utf-8")
    look = AtTheDesk()
    ready = lambda: look.evening is not None and look.evening.ready()  # noqa: E731
    reading = lambda: look.evening is not None and look.evening.reading()  # noqa: E731

    def changed() -> bool:
        if not look.marks(1)():
            return False
        file.write_text(good.replace("seconds = 5.0", "seconds = 6"), encoding="utf-8")
        return True

    def reloaded() -> bool:
        level = None if look.evening is None else look.evening.state.level
        return level is not None and level.seconds == 6.0

    acts: list[Act] = [
        (ready, "on"),
        (reading, "off"),
        (reading, "on"),
        (changed, "off"),
        (reloaded, "on"),
    ]
    evening = look.evening = Evening(home, (), "short", puppet=Puppet(acts))
    evening.run((look.marks(2), pygame.K_ESCAPE), (evening.ready, pygame.K_ESCAPE))
    first, second = (read_recording(path) for path in home.recordings())
    assert (first.setup.level.seconds, second.setup.level.seconds) == (5.0, 6.0)
    assert len(first.shown) == 1


def test_what_comes_next_is_chosen_with_the_vaulter(tmp_path: Path) -> None:
    home = Home(tmp_path)
    home.add_vaulter(WREN)
    home.keep_word(CoachWord("Wren", "millpond-unseen", NOON, "knows it from the barrel"))
    window = ScriptedWindow([])
    room = Gym(home, "/dev/none", choices(home, options()), window, open_player(mute=True))
    room.close()
    window.close()
    assert room._state.level is not None
    assert room._state.level.id == "millpond-unseen"
    assert room._state.suggestion is not None
    assert "knows it from the barrel" in room._state.suggestion.reason


def test_without_a_calibration_it_says_what_to_do(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    server = SimulatorServer.on_pty(board_of(), repeat((0.0, 0.0, 0.0, 0.0)), FAST)
    room: Gym | None = None

    def told() -> bool:
        return room is not None and "no calibration" in room._state.board_line

    window = ScriptedWindow([(told, pygame.K_RETURN), (told, pygame.K_ESCAPE)])
    room = Gym(home, server.url, choices(home, options()), window, open_player(mute=True))
    # Whatever was told before, of another port say, gives way to it.
    room._state = replace(room._state, board_line="/dev/ttyS0 is silent.")
    try:
        room.run()
    finally:
        room.close()
        server.close()
        window.close()
    assert "Press G" in room._state.what_to_do
    assert not room._state.can_go
    assert home.recordings() == []


def test_a_newcomer_begins_with_the_first_game_not_with_somebody_elses(tmp_path: Path) -> None:
    home = Home(tmp_path)
    home.add_vaulter(WREN)
    home.add_vaulter(Vaulter("Newcomer"))
    picnic = next(level for level in shipped_levels() if level.game == "picnic")
    sitting(tmp_path, WREN.name, 0, [outcome(1)], picnic)
    seen: dict[str, str] = {}
    room: Gym | None = None

    def look() -> bool:
        assert room is not None
        state = room.state
        if state.vaulter is not None and state.level is not None:
            seen[state.vaulter.name] = state.level.game
        return True

    presses = [(look, pygame.K_RIGHT), (look, pygame.K_LEFT), (look, pygame.K_F5)]
    window = ScriptedWindow(presses)
    room = Gym(home, "/dev/none", choices(home, options()), window, open_player(mute=True))
    try:
        room.run()
    finally:
        room.close()
        window.close()
    assert seen == {WREN.name: "picnic", "Newcomer": "millpond"}


def test_without_a_board_it_goes_on_looking(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    room: Gym | None = None

    def told() -> bool:
        return room is not None and "nothing at /dev/none" in room._state.board_line

    window = ScriptedWindow([(told, pygame.K_ESCAPE)])
    room = Gym(home, "/dev/none", choices(home, options()), window, open_player(mute=True))
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
    room: Gym | None = None

    def ready() -> bool:
        return room is not None and room._state.can_go

    always = lambda: True  # noqa: E731
    window = ScriptedWindow(
        [
            (ready, pygame.K_DOWN),
            (always, pygame.K_RIGHT),
            (ready, pygame.K_RETURN),
            (lambda: room is not None and room._state.reading, pygame.K_RETURN),
            (always, pygame.K_ESCAPE),
            (ready, pygame.K_ESCAPE),
        ]
    )
    room = Gym(home, server.url, choices(home, options()), window, open_player(mute=True))
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


def test_a_coach_s_note_is_read_though_another_has_just_read_the_cautions(tmp_path: Path) -> None:
    home = home_with_level(tmp_path)
    home.add_vaulter(Vaulter("Tarn", caution="Old sprain: somebody on the left."))
    evening = Evening(home, (Empty(1.0),), "short")
    room = evening.room
    try:
        assert room._may_begin(go=False) is False  # shown
        assert room._may_begin(go=True)  # and read, by Wren
        for name, read in (("Tarn", False), ("Wren", True)):
            names = [v.name for v in room._state.vaulters]
            room._state = replace(room._state, chosen_vaulter=names.index(name))
            room._read_too()
            vaulter, level = room._state.vaulter, room._state.level
            assert room._coaching.cautions_due(vaulter, level) is not read
    finally:
        evening.run()
