"""Picnic's picture: whole words at every size, and each state seen by its shape."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import pygame
import pytest
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.picnic import Picnic
from swaytrainer.games.stage import Stage
from swaytrainer.players.picnic import Player
from swaytrainer.players.weight import FEET, play_trial
from swaytrainer.sitting.view import Phase, View, Where
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.gusts import WAYS
from swaytrainer.training.tasks.picnic import PICNIC, Corner, PicnicScene, State
from swaytrainer.training.trial import Trial
from tests.games.looking import changed_px, check_words, largest_flash, light
from tests.games.scenes import SIZES, view

LEVELS = {level.id: level for level in shipped_levels() if level.game == "picnic"}
LEVEL = LEVELS["picnic-hilltop"]
SLEEPS = Corner(1.0, "asleep")
SCENE = PicnicScene(
    elapsed_s=12.0,
    side=0.0,
    forward=0.0,
    aim_side=0.0,
    aim_forward=0.0,
    corners=(SLEEPS, SLEEPS, SLEEPS, SLEEPS),
    wind=None,
    wind_s=4.0,
    returning=False,
    answers=(1.0, 0.0),
    planned=10,
    on_plate=True,
    stepped=False,
)


def seen(scene: PicnicScene, **changes: object) -> View:
    return view(Phase.RUNNING, level=LEVEL, scene=scene, left_s=21.0, **changes)


def corner(which: int, state: State, full: float) -> PicnicScene:
    corners = list(SCENE.corners)
    corners[which] = Corner(full, state)
    one, two, three, four = corners
    return replace(SCENE, corners=(one, two, three, four))


STATES: dict[str, PicnicScene] = {
    "even": SCENE,
    "away": replace(SCENE, side=12.0, forward=-9.0, on_plate=False),
    "back": replace(SCENE, side=12.0, on_plate=False, returning=True),
    "stepped": replace(SCENE, side=45.0, on_plate=False, stepped=True),
    "far out": replace(SCENE, side=-400.0, forward=400.0, on_plate=False),
    "nobody": replace(SCENE, side=math.nan, forward=math.nan, on_plate=False, stepped=True),
    "held": replace(SCENE, wind="left", aim_side=-20.0, side=-20.0),
    "no gusts": replace(SCENE, planned=0, answers=()),
    "many gusts": replace(SCENE, planned=16, answers=(1.0,) * 16),
    **{way: replace(SCENE, wind=way, on_plate=False) for way in WAYS},
}


@pytest.mark.parametrize("size", SIZES)
def test_all_words_are_whole_large_and_plain(size: tuple[int, int]) -> None:
    one = Stage(Surface(size, 0, 32), 3)
    # Large screens draw slowly here; all states are on the smallest, the hardest to fit.
    every = {1024: 1, 1280: 2}.get(size[0], 8)
    for k, scene in enumerate(list(STATES.values())[::every]):
        one.draw(seen(scene, best_mark=10.0 if k % 2 else None), 5.0)
        check_words(one.canvas)


@pytest.mark.parametrize("size", SIZES[:2])
def test_the_lesson_s_panel_covers_nothing_that_is_played_with(size: tuple[int, int]) -> None:
    one = Stage(Surface(size, 0, 32), 3)
    for until_s, words in PICNIC.lesson:
        lesson = seen(SCENE, lesson=words, phase_s=until_s)
        one.draw(replace(lesson, phase=Phase.LESSON), 5.0)
        assert not any(box.cut for box in one.canvas.boxes)
    game = Picnic(one.canvas, LEVEL, Feet(-70.0, 50.0, -90.0, 90.0), 3)
    assert game.cloth.bottom <= 0.775 * size[1]


def drawn(scene: PicnicScene) -> tuple[Picnic, Surface]:
    surface = Surface((1280, 720), 0, 32)
    game = Picnic(Canvas(surface), LEVEL, FEET, 3)
    game.draw(seen(scene), 0.0)
    return game, surface


def test_the_apple_goes_where_the_weight_goes_and_the_plate_where_it_ought_to() -> None:
    game, _ = drawn(SCENE)
    x, y = game.place(0.0, 0.0)
    assert game.place(10.0, 0.0)[0] > x + 40
    assert game.place(0.0, 10.0)[1] < y - 40
    assert game.cloth.collidepoint(game.place(-900.0, 900.0))
    away = light(drawn(replace(SCENE, side=20.0, forward=20.0))[1])
    spot = Rect(0, 0, 40, 40)
    spot.center = game.place(20.0, 20.0)
    assert changed_px(light(drawn(SCENE)[1]), away, spot) > 500


@pytest.mark.parametrize("which", range(4))
def test_a_guest_s_three_states_differ_in_shape_at_its_own_corner_alone(which: int) -> None:
    game, surface = drawn(SCENE)
    half = game.cloth.width // 2
    at = Rect(
        game.cloth.left + half * (which % 2), game.cloth.top + half * (which // 2), half, half
    )
    asleep = light(surface)
    stirring = light(drawn(corner(which, "stirring", 1.0))[1])
    awake = light(drawn(corner(which, "awake", 1.0))[1])
    for one, other in ((asleep, stirring), (stirring, awake), (asleep, awake)):
        assert changed_px(one, other, at) > 150
        # The marks stand out over the cloth's edge a little; the others' quarters stay.
        far = Rect(
            game.cloth.left + half * (1 - which % 2) + 30 * (which % 2 == 0),
            at.top,
            half - 60,
            half,
        )
        assert changed_px(one, other, far) == 0
    folded = light(drawn(corner(which, "asleep", 0.6))[1])
    assert changed_px(asleep, folded, at) > 1500


def test_the_plate_s_rim_is_whole_only_under_the_apple() -> None:
    game, surface = drawn(SCENE)
    at = Rect(0, 0, 160, 160)
    at.center = game.place(0.0, 0.0)
    broken = light(drawn(replace(SCENE, on_plate=False))[1])
    assert changed_px(light(surface), broken, at) > 300


def test_each_wind_is_seen_where_it_comes_from_and_named() -> None:
    calm = light(drawn(SCENE)[1])
    for way in WAYS:
        game, surface = drawn(replace(SCENE, wind=way, on_plate=False))
        blown = light(surface)
        cloth = game.cloth
        sides = {
            "left": Rect(0, cloth.top, cloth.left + 40, cloth.height),
            "right": Rect(cloth.right - 40, cloth.top, 1280 - cloth.right + 40, cloth.height),
            "front": Rect(cloth.left, 0, cloth.width, cloth.top + 90),
            "back": Rect(cloth.left, cloth.bottom - 90, cloth.width, 90),
        }
        marks = {name: changed_px(calm, blown, area) for name, area in sides.items()}
        named = way.split()
        assert all(marks[name] > 60 for name in named), (way, marks)
        assert max(marks, key=lambda name: marks[name]) in named
        words = [box.words for box in game.canvas.boxes]
        assert any(all(name in text for name in named) for text in words), words


def test_answers_are_ticks_crosses_and_rings() -> None:
    game, surface = drawn(replace(SCENE, answers=()))
    board = Rect(1280 - 220, 0, 220, 220)
    none = light(surface)
    held = light(drawn(replace(SCENE, answers=(1.0,)))[1])
    missed = light(drawn(replace(SCENE, answers=(0.0,)))[1])
    assert (
        min(changed_px(a, b, board) for a, b in ((none, held), (none, missed), (held, missed))) > 60
    )
    # A held gust is told once.
    assert game.draw(seen(replace(SCENE, answers=(0.0, 0.4))), 0.1) == 1
    assert game.draw(seen(replace(SCENE, answers=(0.0, 0.4))), 0.2) == 0


class Watched(Player):
    """Draws what the vaulter would see, twenty times a second."""

    stage: Stage
    frames: list[Surface]

    def sample(self, time_s: float, trial: Trial) -> tuple[float, float, float]:
        played = super().sample(time_s, trial)
        if trial.task is not None and trial.left_s < 13.9 and self._count % 4 == 0:
            shown = seen(trial.task.scene, where=Where.INSIDE)  # type: ignore[arg-type]
            self.stage.draw(replace(shown, left_s=trial.left_s), time_s)
            self.frames.append(self.stage.canvas.surface.copy())
        return played


def played() -> Iterator[Surface]:
    level = replace(LEVEL, seconds=14.0)
    body = Watched(level, 0.2, 5)
    body.stage = Stage(Surface((640, 360), 0, 32), 3, FEET)
    body.frames = []
    play_trial(level, body, 5)
    yield from body.frames


def test_nothing_large_flashes_in_a_clumsy_trial() -> None:
    mean, tiles = largest_flash(played())
    assert 0.0 < mean < 0.01
    assert tiles < 0.06


def test_equal_seeds_draw_equal_frames() -> None:
    def frame(seed: int) -> bytes:
        surface = Surface((640, 360), 0, 32)
        Picnic(Canvas(surface), LEVEL, FEET, seed).draw(seen(SCENE), 1.5)
        return pygame.image.tobytes(surface, "RGB")

    assert frame(1) == frame(1)
    assert frame(1) != frame(2)
