from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pygame
import pytest

from swaytrainer.games import gym, stage
from swaytrainer.games.canvas import Canvas
from swaytrainer.games.gym_screen import draw_gym_screen
from swaytrainer.games.palette import GOLD, contrast
from swaytrainer.games.stage import Stage
from swaytrainer.sitting.view import Event, Happening, Phase, Signal, View, Where
from swaytrainer.sway.feet import Feet
from tests.games.scenes import LEVEL, LONG_NAME, NO_MARK, OUTCOME, SIZES, pixels, trial, view
from tests.games.test_gym import NO_BOARD, STATE

LONG = (
    "A rather long sentence that a measure or a board might one day come up with, longer than"
    " anybody ought to have to read from three metres away while standing on a balance board."
)


def awkward_views() -> list[View]:
    """Every phase as it usually is, then with everything longer, missing or extreme."""
    views = [view(phase) for phase in Phase]
    wordy_level = replace(
        LEVEL, title="Millpond: the wide water behind the old mill", purpose=LONG, spotter=True
    )
    long_outcome = replace(OUTCOME, reason=LONG, advice=LONG, step_offs=12, deduction=7.9)
    for phase in Phase:
        views.append(
            view(
                phase,
                vaulter=LONG_NAME,
                level=wordy_level,
                trial=2,
                outcome=long_outcome,
                warnings=(LONG, LONG),
                best_mark=None,
                marks=tuple([9.9, None, 10.0] * 5),
            )
        )
        views.append(
            view(phase, left_s=math.nan, outcome=NO_MARK, path_mm=(), marks=(), best_mark=10.0)
        )
        views.append(view(phase, level=replace(LEVEL, eyes="closed", feedback="sound")))
    views.append(view(Phase.RUNNING, signal=Signal()))
    views.append(view(Phase.RUNNING, toe_share_percent=400.0, where=Where.TOES))
    views.append(view(Phase.RUNNING, toe_share_percent=-400.0, where=Where.HEELS))
    views.append(view(Phase.RUNNING, toe_share_percent=math.nan, where=Where.NOWHERE))
    views.append(view(Phase.RESULT, outcome=None))
    return views


def check_boxes(canvas: Canvas) -> None:
    screen = canvas.surface.get_rect()
    assert canvas.boxes
    for box in canvas.boxes:
        assert box.area.contains(box.rect), box
        assert screen.contains(box.rect), box
        if box.main:
            assert box.line_px >= canvas.height / 20, box
    assert sum(not box.main for box in canvas.boxes) <= 1, "only the signal's line is small"


@pytest.mark.parametrize("size", SIZES)
def test_every_screen_draws_with_large_text_inside_the_surface(size: tuple[int, int]) -> None:
    surface = pygame.Surface(size, 0, 32)
    one = Stage(surface, 3)
    for awkward in awkward_views():
        one.draw(awkward, 5.0)
        check_boxes(one.canvas)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("state", [STATE, NO_BOARD, replace(STATE, chosen_vaulter=2)])
def test_the_opening_screen_draws_with_large_text(
    size: tuple[int, int], state: gym.GymState
) -> None:
    canvas = Canvas(pygame.Surface(size, 0, 32))
    draw_gym_screen(canvas, state)
    check_boxes(canvas)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("phase", list(Phase))
def test_ordinary_words_are_never_cut(size: tuple[int, int], phase: Phase) -> None:
    one = Stage(pygame.Surface(size, 0, 32), 3)
    for trial_number in (1, 2):
        one.draw(view(phase, trial=trial_number), 5.0)
        assert [box.words for box in one.canvas.boxes if box.cut] == []


@pytest.mark.parametrize(
    ("marks", "best", "words"),
    [
        ((9.2,), 9.4, "Your best: 9.4"),
        ((9.4,), 9.4, "Your best: 9.4"),
        ((None, 9.2), 9.4, "Your best: 9.4"),
        ((9.1, 9.2), 9.4, "Best of these: 9.2 · best ever: 9.4"),
        ((9.1, 9.2), None, "Best of these: 9.2 · best ever: 9.2"),
        ((None,), 9.4, "Step off, and come again another day"),
    ],
)
def test_the_last_screen_tells_the_best_of_more_than_one_and_ever(
    marks: tuple[float | None, ...], best: float | None, words: str
) -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 3)
    one.draw(view(Phase.FINISHED, marks=marks, best_mark=best), 5.0)
    assert words in [box.words for box in one.canvas.boxes]


@pytest.mark.parametrize(
    ("marks", "best", "golden"),
    [((9.2,), 9.4, []), ((9.4,), 9.4, ["9.4"]), ((9.1, 9.2), 9.4, ["9.2"])],
)
def test_one_mark_alone_is_golden_only_as_the_best_ever(
    marks: tuple[float, ...], best: float, golden: list[str]
) -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 3)
    one.draw(view(Phase.FINISHED, marks=marks, best_mark=best), 5.0)
    shown = [f"{mark:.1f}" for mark in marks]
    assert [b.words for b in one.canvas.boxes if b.words in shown and b.colour == GOLD] == golden


def test_marks_stand_in_one_line_above_their_columns() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 3)
    one.draw(view(Phase.FINISHED, marks=(2.5, 9.5, 10.0)), 5.0)
    found = {box.words: box.rect for box in one.canvas.boxes}
    assert len({found[mark].bottom for mark in ("2.5", "9.5", "10.0")}) == 1


def test_the_head_tells_what_a_trial_is_for() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 3)
    for shown, words in (
        (view(Phase.COUNTDOWN), "Trial 1 of 3"),
        (view(Phase.COUNTDOWN, trials=1), "One trial"),
        (view(Phase.COUNTDOWN, trials=1, occasion="Warm-up"), "Warm-up"),
        (view(Phase.COUNTDOWN, tries=True), "Just try: no mark yet"),
    ):
        one.draw(shown, 5.0)
        said = [box.words for box in one.canvas.boxes]
        assert words in said
        assert ("Just try: no mark yet" in said) == shown.tries


@pytest.mark.parametrize("phase", list(Phase))
def test_words_stand_out_from_what_is_really_behind_them(phase: Phase) -> None:
    surface = pygame.Surface((1280, 720), 0, 32)
    one = Stage(surface, 3)
    one.draw(view(phase, warnings=("The plate rocks.",)), 5.0)
    for box in one.canvas.boxes:
        rows = pygame.surfarray.array3d(surface.subsurface(box.rect)).reshape(-1, 3)
        # Glyphs cover less than half of their box, so the commonest colour is the ground.
        colours, counts = np.unique(rows, axis=0, return_counts=True)
        red, green, blue = (int(c) for c in colours[counts.argmax()])
        assert contrast(box.colour, (red, green, blue)) >= 4.5, box


def test_frames_depend_on_seed_and_views_alone() -> None:
    def frames(seed: int) -> list[bytes]:
        surface = pygame.Surface((640, 480), 0, 32)
        one = Stage(surface, seed)
        seen = []
        for k, (shown, now_s) in enumerate(trial(12.0, 20.0)):
            one.draw(shown, now_s)
            if k % 20 == 0:
                seen.append(pixels(surface))
        return seen

    first = frames(5)
    assert first == frames(5)
    assert first != frames(6)


def test_nothing_flashes_over_large_areas() -> None:
    surface = pygame.Surface((640, 360), 0, 32)
    one = Stage(surface, 1)
    small = (64, 36)
    means, tiles = [], []
    for shown, now_s in trial(20.0, 30.0):
        one.draw(shown, now_s)
        grid = pygame.surfarray.array3d(pygame.transform.smoothscale(surface, small)) / 255.0
        light = grid @ np.array([0.2126, 0.7152, 0.0722])
        means.append(light.mean())
        tiles.append(light)
    steps = np.abs(np.diff(means))
    # A flash is a tenth of full luminance up and down, over a quarter of the view (WCAG 2.3.1):
    # 0.025 of the whole. The lantern's change of shape is the largest step here.
    assert steps.max() < 0.01
    changed = [float((np.abs(b - a) > 0.1).mean()) for a, b in pairwise(tiles)]
    assert max(changed) < 0.05


def test_the_lantern_follows_the_weight_up_and_to_the_right() -> None:
    def light(toes: float, right: float) -> tuple[float, float]:
        surface = pygame.Surface((640, 480), 0, 32)
        one = Stage(surface, 1)
        shown = view(Phase.RUNNING, toe_share_percent=toes, right_share_percent=right)
        one.draw(replace(shown, toe_share_percent=math.nan, where=Where.NOWHERE), 0.0)
        empty = pygame.surfarray.array3d(surface).astype(int)
        one.draw(shown, 0.0)
        changed = np.abs(pygame.surfarray.array3d(surface) - empty).sum(axis=2) > 250
        xs, ys = np.nonzero(changed)
        return float(xs.mean()), float(ys.mean())

    middle_x, middle_y = light(43.0, 50.0)
    forward_x, forward_y = light(48.0, 50.0)
    right_x, right_y = light(43.0, 60.0)
    assert forward_y < middle_y - 20
    assert forward_x == pytest.approx(middle_x, abs=3)
    assert right_x > middle_x + 20
    assert right_y == pytest.approx(middle_y, abs=3)


def test_a_millimetre_is_as_long_forward_as_sideways() -> None:
    from swaytrainer.games.pond import PondScale

    feet = Feet(-70.0, 74.0, -95.0, 95.0)
    scale = PondScale.of((1280, 720), LEVEL, feet)
    x, y = scale.place(50.0, 42.5)
    forward = scale.place(50.0, 42.5 + feet.toe_share_percent(2.0) - feet.toe_share_percent(-6.0))
    right = scale.place(50.0 + 100 * 8.0 / 190.0, 42.5)
    assert y - forward[1] == pytest.approx(right[0] - x, abs=1)
    assert scale.place(50.0, LEVEL.band_high_percent)[1] == pytest.approx(scale.lane.top, abs=1)
    assert scale.place(50.0, LEVEL.band_low_percent)[1] == pytest.approx(scale.lane.bottom, abs=1)


@pytest.mark.parametrize("feedback", ["none", "sound"])
def test_without_the_picture_s_feedback_the_weight_does_not_show(feedback: str) -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    one = Stage(surface, 1)
    level = replace(LEVEL, feedback=feedback)
    seen = set()
    for toes, where, still in ((43.0, Where.INSIDE, 0.9), (70.0, Where.TOES, 0.0)):
        shown = view(
            Phase.RUNNING, level=level, toe_share_percent=toes, where=where, stillness=still
        )
        one.draw(shown, 1.0)
        seen.add(pixels(surface))
    assert len(seen) == 1
    one.draw(view(Phase.RUNNING, level=level, left_s=12.5), 1.0)
    assert pixels(surface) not in seen


def test_guests_are_announced_once_and_counted_on_the_screen() -> None:
    one = Stage(pygame.Surface((640, 480), 0, 32), 1)
    arrived = 0
    for k in range(301):
        t = k / 20
        one.draw(view(Phase.RUNNING, phase_s=t, calm_s=t, left_s=30 - t), t)
        arrived += one.arrived
    assert arrived == 6
    assert "6" in [box.words for box in one.canvas.boxes]


def words_of(one: Stage) -> str:
    return " | ".join(box.words for box in one.canvas.boxes)


def test_a_new_best_is_told_against_the_best_from_before() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 1)
    one.draw(view(Phase.RUNNING, best_mark=6.5), 0.0)
    one.draw(view(Phase.RESULT, best_mark=6.9), 1.0)
    assert "New best!" in words_of(one)
    one = Stage(pygame.Surface((1280, 720), 0, 32), 1)
    one.draw(view(Phase.RUNNING, best_mark=7.1), 0.0)
    one.draw(view(Phase.RESULT, best_mark=7.1), 1.0)
    assert "New best!" not in words_of(one)
    assert "Best: 7.1" in words_of(one)
    one.draw(view(Phase.RESULT, outcome=replace(OUTCOME, mark=9.0, counts=False)), 1.0)
    assert "New best!" not in words_of(one)
    assert "not counted" in words_of(one)


def test_the_result_says_all_that_there_is_to_say() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 1)
    one.draw(view(Phase.RESULT), 0.0)
    words = words_of(one)
    for part in ("6.9", "4.20 / 5", "3.70 / 5", "−1.0", OUTCOME.reason, OUTCOME.advice):
        assert part in words


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("floor", "words"),
    [
        (0.31, "board's own noise 0.3 mm/s"),
        (6.1, "near the board's noise, 6.1 mm/s"),
        (math.nan, None),
    ],
)
def test_the_board_s_own_noise_stands_under_the_speed(
    size: tuple[int, int], floor: float, words: str | None
) -> None:
    one = Stage(pygame.Surface(size, 0, 32), 1)
    shown = view(Phase.RESULT, signal=Signal(True, 80.0, 0, 0, 0.0, 1.0, floor))
    one.draw(shown, 0.0)
    boxes = [b for b in one.canvas.boxes if "noise" in b.words and "Hz" not in b.words]
    assert [b.words for b in boxes] == ([] if words is None else [words])
    assert not any(b.cut for b in boxes)


def test_a_lost_signal_is_shown_until_it_is_back() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 1)
    one.notice(Event(Happening.SIGNAL_LOST, 1.0))
    one.draw(view(Phase.SETTLING), 0.0)
    assert "Signal lost" in words_of(one)
    one.notice(Event(Happening.SIGNAL_BACK, 2.0))
    one.draw(view(Phase.SETTLING), 0.1)
    assert "Signal lost" not in words_of(one)


def test_the_counters_are_on_every_screen() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 1)
    for phase in Phase:
        one.draw(view(phase), 0.0)
        assert "80 Hz · lost 3 · corrupt 1 · drift +12 ppm · jitter 1.8 ms" in words_of(one)


def test_all_cautions_come_up_before_the_first_trial_and_not_later() -> None:
    one = Stage(pygame.Surface((1024, 768), 0, 32), 1)
    seen = ""
    for k in range(8):
        one.draw(view(Phase.WAITING), 7.0 * k + 1)
        seen += words_of(one)
    for caution in LEVEL.cautions:
        assert caution in seen
    one.draw(view(Phase.WAITING, trial=2), 0.0)
    assert LEVEL.cautions[0] not in words_of(one)


def test_a_level_with_a_spotter_says_so_first() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 1)
    one.draw(view(Phase.WAITING, level=replace(LEVEL, spotter=True, cautions=())), 0.0)
    assert "A spotter stands beside you." in words_of(one)


def test_warnings_are_shown_worst_first() -> None:
    one = Stage(pygame.Surface((1280, 720), 0, 32), 1)
    for phase in Phase:
        one.draw(view(phase, warnings=("Cell 2 is open.", "The plate rocks.")), 0.0)
        assert "Cell 2 is open." in words_of(one)


def test_the_opening_screen_s_canvas_is_kept_for_its_surface() -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    stage.draw_gym(surface, STATE)
    first = pixels(surface)
    stage.draw_gym(pygame.Surface((1280, 720), 0, 32), NO_BOARD)
    stage.draw_gym(surface, STATE)
    assert pixels(surface) == first
