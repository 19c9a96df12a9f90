"""The scoreboard's state from a contest's recordings, and its keys."""

import shutil
import time
from datetime import UTC, datetime
from pathlib import Path

import pygame
import pytest

from swaytrainer.app.scoreboard import Scoreboard, board_state, last_recording
from swaytrainer.app.window import Window
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.scoreboard import ROWS, BoardState, Page, Row, draw_scoreboard
from swaytrainer.squad.contest import Ruling
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.contest_edit import add_ruling
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter

SESSIONS = Path(__file__).parents[2] / "sessions"
NAMES = ("Romy", "Tjark", "Wren", "Mika", "Juno", "Tarn", "=cmd / Ämy", "W" * 300)
NOW = datetime(2026, 9, 12, 12, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    made = Home(tmp_path)
    for name in NAMES:
        made.add_vaulter(Vaulter(name))
    (tmp_path / "recordings" / "2026-09-12").mkdir(parents=True)
    names = ", ".join(f'"{name}"' for name in NAMES)
    (tmp_path / "cup.toml").write_text(
        'title = "Autumn cup"\nlevel = "millpond-open-water"\n'
        "since = 2026-09-01T00:00:00+00:00\nuntil = 2026-10-01T00:00:00+00:00\ntrials = 1\n"
        f'team_counts = 1\n[[class]]\nname = "All"\nvaulters = [{names}]\n'
        '[[team]]\nname = "Otters"\nvaulters = ["Romy", "Mika"]\n',
        encoding="utf-8",
    )
    return made


def book_of(home: Home) -> ContestBook:
    return ContestBook(home, home.path / "cup.toml")


def arrive(home: Home) -> None:
    shutil.copy(SESSIONS / "2-romy-calm.sway", home.path / "recordings" / "2026-09-12")


def test_before_the_first_trial(home: Home) -> None:
    state = board_state(book_of(home), NOW)
    assert state.last is None
    assert [page.title for page in state.pages] == ["All", "All", "Teams"]
    assert [len(page.rows) for page in state.pages] == [ROWS, len(NAMES) - ROWS, 1]
    assert state.pages[0].rows[0].place == "–"
    assert len(state.coming) == len(NAMES)
    assert state.note == ""
    assert last_recording(book_of(home), home) is None


def test_a_trial_is_seen_when_its_recording_is_there(home: Home) -> None:
    book = book_of(home)
    arrive(home)
    book.refresh()
    state = board_state(book, NOW)
    assert state.last is not None
    assert (state.last.name, f"{state.last.turn}") == ("Romy", "Round 1 of 1")
    first = state.pages[0].rows[0]
    assert (first.place, first.name, first.fresh) == ("–", "Romy  1/1", True), "others are to come"
    assert first.cells[2] == "", "of one mark there is no spread"
    assert state.pages[-1].rows[0].place == "–", "another of the team is to come"
    assert first.cells[0] == f"{state.last.mark:.2f}"
    assert state.pages[-1].rows[0].cells == (first.cells[0],)
    assert "Romy" not in [name for name, _ in state.coming]
    path = last_recording(book, home)
    assert path is not None
    assert path.name == "2-romy-calm.sway"


def test_places_stand_when_all_are_done_and_before_the_better_mean_is_on_top(home: Home) -> None:
    cup = home.path / "cup.toml"
    text = cup.read_text(encoding="utf-8")
    a = text.index("vaulters = [")
    three = f'{text[:a]}vaulters = ["Wren", "Romy", "Tjark"]\n'
    cup.write_text(three, encoding="utf-8")
    arrive(home)
    rows = board_state(book_of(home), NOW).pages[0].rows
    assert [(row.place, row.name) for row in rows] == [
        ("–", "Romy  1/1"),
        ("–", "Tjark  0/1"),
        ("–", "Wren  0/1"),
    ]
    for name in ("Wren", "Tjark"):
        add_ruling(cup, home, Ruling(name, "withdrawn", "ill"))
    rows = board_state(book_of(home), NOW).pages[0].rows
    assert (rows[0].place, rows[0].name) == ("1", "Romy")
    assert "withdrawn" in rows[1].name


def test_a_team_has_its_place_when_all_of_all_teams_are_done(home: Home) -> None:
    arrive(home)
    cup = home.path / "cup.toml"
    names = [name for name in NAMES if name not in ("Romy", "Mika")]
    for name in names:
        add_ruling(cup, home, Ruling(name, "withdrawn", "ill"))
    [otters] = board_state(book_of(home), NOW).pages[-1].rows
    assert otters.place == "–", "Mika may still lift them"
    add_ruling(cup, home, Ruling("Mika", "withdrawn", "ill"))
    [otters] = board_state(book_of(home), NOW).pages[-1].rows
    assert otters.place == "1"


def test_what_the_sign_of_close_places_means_stands_below_them() -> None:
    def said(close: bool, rows: int) -> list[str]:
        page = Page("All", ("mean",), (Row("1", "Wren", ("9.1",), close),) * rows)
        state = BoardState("Cup", (page,))
        return [b.words for b in draw_scoreboard(pygame.Surface((1280, 720)), state, 0).boxes]

    assert "~ too close to tell apart" in said(True, 2)
    assert "~ too close to tell apart" not in said(False, 2)
    assert "~ too close to tell apart" not in said(True, ROWS), "there is no room"


def test_it_says_when_it_is_not_the_time_and_when_the_file_is_wrong(home: Home) -> None:
    book = book_of(home)
    assert "time" in board_state(book, datetime(2027, 1, 1, tzinfo=UTC)).note
    (home.path / "cup.toml").write_text("title = 3", encoding="utf-8")
    book.refresh()
    state = board_state(book, NOW)
    assert "file is wrong" in state.note
    assert len(state.coming) == len(NAMES), "the last good file stays in force"


class Hands(Window):
    def __init__(self, keys: list[int]) -> None:
        super().__init__(off_screen=True)
        self.keys = keys
        self.pages: list[int] = []
        self.board: Scoreboard | None = None
        self._give_up_s = time.monotonic() + 60.0

    def events(self) -> list[pygame.event.Event]:
        super().events()
        assert time.monotonic() < self._give_up_s
        if self.board is not None:
            self.pages.append(self.board.page)
        if not self.keys:
            return [pygame.event.Event(pygame.QUIT)]
        return [pygame.event.Event(pygame.KEYDOWN, key=self.keys.pop(0))]


def test_the_keys_turn_pages_and_leave(home: Home) -> None:
    keys = [pygame.K_RIGHT, pygame.K_RIGHT, pygame.K_LEFT, pygame.K_SPACE, pygame.K_ESCAPE]
    window = Hands(keys)
    window.board = Scoreboard(book_of(home), home, window)
    window.board.run()
    window.close()
    assert window.pages == [0, 1, 2, 1, 1]
    assert window.help is not None
    assert "scoreboard" in window.help.title


def test_a_protest_is_seen_again_to_the_same_mark(
    home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    arrive(home)
    seen: list[float | None] = []

    def shown_on(window: object, player: object, recording: object, speed: float) -> None:
        from swaytrainer.store.recording import Recording
        from swaytrainer.store.trials import replayed

        assert isinstance(recording, Recording)
        seen.extend(trial.outcome.mark for trial in replayed(recording).trials)

    monkeypatch.setattr("swaytrainer.app.replay.shown_on", shown_on)
    book = book_of(home)
    window = Hands([pygame.K_r])
    Scoreboard(book, home, window).run()
    window.close()
    state = board_state(book, NOW)
    assert state.last is not None
    assert seen == [state.last.mark]


def test_without_a_display_it_says_what_to_do(home: Home) -> None:
    from swaytrainer.app.scoreboard import scoreboard
    from swaytrainer.cli import parsed

    options = parsed(["scoreboard", str(home.path / "cup.toml")])
    with pytest.raises(SwaytrainerError, match="contest FILE"):
        scoreboard(options, home)
