"""The contributors' guide's recipes, each followed once: a measure, a game, a level, a board."""

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

os.environ["SDL_VIDEODRIVER"] = "dummy"

import pygame

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.catalogue import GAMES
from swaytrainer.games.stage import Stage
from swaytrainer.simulate.board import BoardMake
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.sitting.view import Phase, View
from swaytrainer.store.home import Home
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.live import LiveSway
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES
from swaytrainer.training.level import Level, MarkPart
from swaytrainer.training.level_file import level_text, read_level, shipped_levels
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.tasks.task import COMMON, Markable
from tests.streams import board_of, one_visit, received, run, setup_for, short_level


class Steps:
    """The toy measure of the guide: how often the COP crosses its first x."""

    def __init__(self) -> None:
        self._first = self._last = float("nan")
        self._count = 0

    def update(self, x_mm: float) -> None:
        if np.isnan(self._first):
            self._first = x_mm
        elif (self._last - self._first) * (x_mm - self._first) < 0:
            self._count += 1
        self._last = x_mm

    def get(self) -> float:
        return float(self._count)


def crossings(x_mm: np.ndarray) -> float:
    """Its batch twin."""
    about = x_mm - x_mm[0]
    return float((about[:-1] * about[1:] < 0).sum())


def test_a_measure_has_a_batch_twin_that_agrees() -> None:
    x = np.random.default_rng(3).normal(size=500).cumsum()
    stream = Steps()
    for value in x:
        stream.update(float(value))
    assert stream.get() == crossings(x) > 0


def test_what_can_be_marked_is_measured_live_and_documented() -> None:
    live = LiveSway(Feet(-80.0, 40.0, -100.0, 100.0), 30.0, 55.0)
    for n in range(100):
        live.update(CopSample(n / 80, 500.0, float(n % 3), float(n % 5), 0.0))
    assert set(COMMON) <= set(live.get()) <= set(MEASURES) | set(FOOT_MEASURES)


def test_another_measure_can_be_marked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(COMMON, "rms_ap_mm", Markable("mm", False, "Small"))
    level = replace(short_level(), parts=(MarkPart("rms_ap_mm", 20.0, 1.0, 1.0),))
    assert read_level(level_text(level), "x") == level
    board = board_of()
    sitting = Sitting(setup_for(board, level))
    run(sitting, received(board, one_visit()))
    outcome = sitting.view().outcome
    assert outcome is not None
    assert outcome.mark == pytest.approx(10 * (20 - outcome.measures["rms_ap_mm"]) / 19)


class Blank:
    """The toy game of the guide: a grey field."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        self.seed = seed
        self.drawn = 0

    def draw(self, view: View, now_s: float) -> int:
        self.canvas.surface.fill((90, 90, 90))
        self.drawn += 1
        return 1

    def draw_still(self) -> None:
        self.canvas.surface.fill((90, 90, 90))


def test_a_game_is_a_small_file_and_an_entry(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(KINDS, "blank", replace(KINDS["millpond"], name="blank"))
    level = read_level(level_text(replace(short_level(), game="blank")), "x")
    board = board_of()
    sitting = Sitting(setup_for(board, level))
    surface = pygame.Surface((1280, 720), 0, 32)
    stage = Stage(surface, 1, sitting.feet, {**GAMES, "blank": Blank})
    seen = set()
    for item in received(board, one_visit()):
        sitting.feed(item)
        view = sitting.view()
        stage.draw(view, item.host_s)
        seen.add(view.phase)
        if view.phase is Phase.RUNNING:
            assert stage.arrived == 1
            assert surface.get_at((640, 360))[:3] == (90, 90, 90)
    assert {Phase.WAITING, Phase.SETTLING, Phase.COUNTDOWN, Phase.RUNNING, Phase.RESULT} <= seen


def test_every_game_that_a_level_may_name_is_there() -> None:
    assert set(KINDS) == set(GAMES)
    assert {level.game for level in shipped_levels()} <= set(GAMES)


def test_a_level_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "levels").mkdir()
    own = level_text(shipped_levels()[0]).replace("millpond-shore", "our-own")
    (tmp_path / "levels" / "our-own.toml").write_text(own, encoding="utf-8")
    found, troubles = Home(tmp_path).levels()
    assert "our-own" in [level.id for level in found]
    assert troubles == []


def test_a_faster_smaller_board_goes_the_same_way() -> None:
    """1,000 samples a second, cells elsewhere, a clock that runs fast: only its hello differs."""
    make = BoardMake(half_width_mm=180.0, half_depth_mm=190.0, rate_hz=1000.0, clock_ppm=80.0)
    board = board_of(9, make)
    sitting = Sitting(setup_for(board))
    run(sitting, received(board, one_visit()))
    outcome = sitting.view().outcome
    assert outcome is not None
    assert outcome.counts
    assert outcome.terms.rate_hz == 1000.0
    assert sitting.view().signal.lost == 0
