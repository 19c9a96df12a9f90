"""The ribbon's rules, on forces whose answer is known."""

import math
from collections.abc import Callable
from dataclasses import replace
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.players import ribbon as player
from swaytrainer.players import ribbon_barrel
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import part_earned
from swaytrainer.training.tasks.ribbon import RIBBON, RibbonScene, RibbonTask
from swaytrainer.training.tasks.task import Ground

LEVEL = next(level for level in shipped_levels() if level.id == "ribbon-longer")
BARREL = next(level for level in shipped_levels() if level.id == "ribbon-barrel")
FEET = Feet(-80.0, 40.0, -90.0, 90.0)
BODY_N = 450.0
RATE = 80.0
EVEN_Y = -30.0
#: In weights, at a time.
Force = Callable[[float], float]


def sine(size: float, lag: float = 0.3, harmonic: float = 0.0, cadence: float = 1.6) -> Force:
    """The force in weights at a time: rms ``size`` at the cadence."""

    def force(t: float) -> float:
        turn = 2.0 * math.pi * (cadence * t - lag)
        wave = math.cos(turn) + harmonic * math.cos(3.0 * turn)
        return 1.0 + size * math.sqrt(2.0) * wave

    return force


def ridden(
    force: Force,
    seconds: float = 30.0,
    level: Level = LEVEL,
    x_mm: float = 0.0,
    y_mm: float = EVEN_Y,
    rate: float = RATE,
) -> RibbonTask:
    task = RibbonTask(Ground(level, FEET, rate, BODY_N, 7))
    for n in range(round(seconds * rate)):
        task.update(CopSample(n / rate, BODY_N * force(n / rate), x_mm, y_mm, 0.0), n / rate, False)
    return task


def smooth(task: RibbonTask) -> float:
    return task.measures()["ribbon_smooth_percent"]


@pytest.mark.parametrize("rate", [80.0, 1000.0])
@pytest.mark.parametrize("lag", [0.0, 0.3, 0.77])
def test_the_asked_movement_swallows_all_whatever_the_lag(lag: float, rate: float) -> None:
    task = ridden(sine(0.07, lag), 15.0, rate=rate)
    assert smooth(task) == pytest.approx(100.0, abs=3.0)
    assert task.measures()["ribbon_even_percent"] == 100.0
    scene = task.scene
    assert (scene.verdict, scene.lean) == ("smooth", "")
    assert max(abs(lift) for lift in scene.trail) < 0.15


@pytest.mark.parametrize(
    ("force", "expected", "verdict"),
    [
        (sine(0.0), 0.0, "stiff"),
        (sine(0.035), 50.0, "fair"),  # half the movement swallows half
        (sine(0.07 * 1.4), 100.0, "smooth"),  # somewhat more is no fault
        (sine(0.07 * 2.5), 0.0, "rough"),
        (sine(0.07, harmonic=0.3), 70.0, "smooth"),  # what is jerky is left of the ride
        (sine(0.07, cadence=1.75), 5.0, "off beat"),
    ],
)
def test_what_is_left_of_the_ride(force: Force, expected: float, verdict: str) -> None:
    task = ridden(force)
    assert smooth(task) == pytest.approx(expected, abs=5.0)
    assert task.scene.verdict == verdict


def test_a_stiff_body_goes_with_the_horse_and_earns_nothing() -> None:
    task = ridden(sine(0.0))
    assert task.scene.lift == pytest.approx(task.scene.ride, abs=1e-6)
    assert max(task.scene.trail) == pytest.approx(1.0, abs=0.02)
    assert task.measures()["ribbon_even_percent"] == 0.0
    assert sum(
        part_earned(part, task.measures()[part.measure]).earned for part in LEVEL.parts
    ) == pytest.approx(0.0)


@given(st.floats(0.0, 0.12), st.floats(0.0, 0.12))
@settings(max_examples=12)
def test_more_jerk_never_marks_higher(one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert smooth(ridden(sine(0.07, harmonic=more / 0.07), 8.0)) <= (
        smooth(ridden(sine(0.07, harmonic=less / 0.07), 8.0)) + 1e-6
    )


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "lean"),
    [(30.0, EVEN_Y, "right"), (-30.0, EVEN_Y, "left"), (0.0, 10.0, "toes"), (0.0, -60.0, "heels")],
)
def test_a_lean_is_told_and_no_stride_is_even(x_mm: float, y_mm: float, lean: str) -> None:
    task = ridden(sine(0.07), x_mm=x_mm, y_mm=y_mm)
    assert task.scene.lean == lean
    assert task.measures()["ribbon_even_percent"] == 0.0
    assert smooth(task) > 95.0
    assert task.scene.birds == 0


def test_a_hand_on_the_rail_spoils_the_stride() -> None:
    task = ridden(lambda t: sine(0.07)(t) - 0.06)
    assert smooth(task) == 0.0
    assert task.scene.verdict == "held"


def test_swallows_come_with_smooth_strides_and_go_with_spoilt_ones() -> None:
    force = sine(0.07)
    task = ridden(lambda t: force(t) if t < 15.0 else 1.0, 14.9)
    came = task.scene.birds
    assert came == pytest.approx(15 * 1.6 / 3, abs=2.0)
    task = ridden(lambda t: force(t) if t < 15.0 else 1.0, 30.0)
    assert task.scene.birds == 0


def test_nothing_is_measured_of_a_trial_without_strides() -> None:
    task = RibbonTask(Ground(LEVEL, FEET, RATE, BODY_N, 7))
    assert math.isnan(smooth(task))
    task.update(CopSample(0.0, math.nan, math.nan, math.nan, 0.0), 0.0, False)
    task.update(CopSample(0.5, math.inf, 0.0, 0.0, 0.0), 0.5, True)
    assert math.isnan(smooth(task))
    assert math.isnan(task.measures()["ribbon_even_percent"])
    assert isinstance(task.scene, RibbonScene)


def test_a_gap_costs_its_own_stride_alone() -> None:
    task = RibbonTask(Ground(LEVEL, FEET, RATE, BODY_N, 7))
    force = sine(0.07)
    for n in range(1600):
        t = n / RATE
        if not 10.0 <= t < 10.3:
            sample = CopSample(t, BODY_N * force(t), 0.0, EVEN_Y, 0.0)
            task.update(sample, t, 10.3 <= t < 10.3 + 1 / RATE)
    whole = ridden(force, 20.0).measures()["ribbon_strides"]
    assert task.measures()["ribbon_strides"] == pytest.approx(whole - 1.0, abs=1.0)
    assert smooth(task) > 95.0


def test_strides_off_the_board_count_and_earn_nothing() -> None:
    task = RibbonTask(Ground(LEVEL, FEET, RATE, BODY_N, 7))
    for n in range(800):
        t = n / RATE
        task.update(CopSample(t, 0.0, math.nan, math.nan, 0.0), t, False)
    assert smooth(task) == 0.0
    assert math.isnan(task.scene.lift)
    assert task.measures()["ribbon_off_strides"] == task.measures()["ribbon_strides"] > 5.0


@given(st.lists(st.floats(allow_nan=True, allow_infinity=True, width=32), max_size=200))
@settings(max_examples=30)
def test_whatever_comes_no_measure_leaves_its_range(forces: list[float]) -> None:
    for level in (LEVEL, BARREL):
        task = RibbonTask(Ground(level, FEET, RATE, BODY_N, 7))
        for n, force in enumerate(forces * 3):
            task.update(CopSample(n / RATE, force, force, force, 0.0), n / RATE, n % 50 == 49)
            assert not abs(task.scene.lift) > 1.6
        for key in RIBBON.measures:
            value = task.measures()[key]
            assert math.isnan(value) or 0.0 <= value <= 100.0


def test_on_a_moving_base_the_ripple_is_what_is_left() -> None:
    """A stiff body on 25 mm at 1.6 Hz ripples by 0.025·(2π·1.6)²/(g·√2) = 18.2 %."""
    stiff = 0.025 * (2.0 * math.pi * 1.6) ** 2 / 9.80665 / math.sqrt(2.0)
    assert stiff == pytest.approx(0.1822, abs=1e-4)
    for share in (1.0, 0.5, 0.2):
        task = ridden(sine(share * stiff), level=BARREL)
        assert smooth(task) == pytest.approx(100.0 * (1.0 - share), abs=2.0)
    assert task.scene.verdict == "smooth"


def test_a_base_that_nobody_moves_is_not_swallowed() -> None:
    for force in (sine(0.0), sine(0.008), sine(0.06, cadence=0.9)):
        task = ridden(force, level=BARREL)
        assert smooth(task) == 0.0
        assert task.scene.verdict == "unmoved"


@pytest.mark.parametrize("module", [player, ribbon_barrel])
def test_replayed_it_marks_the_same(module: ModuleType) -> None:
    assert module.play(0.8, 3) == module.play(0.8, 3) != module.play(0.8, 4)


def test_the_skilled_pass_and_the_unskilled_do_not() -> None:
    for level in shipped_levels():
        if level.game != "ribbon":
            continue
        module = ribbon_barrel if level.base == "moving barrel" else player
        skilled = [module.outcome(1.0, seed, level=level).mark for seed in range(2)]
        unskilled = [module.outcome(0.0, 0, level=level).mark]
        assert min(skilled) >= level.pass_mark, level.id
        assert max(unskilled) < level.pass_mark, level.id


@pytest.mark.parametrize("cheat", player.CHEATS)
def test_no_trick_wins(cheat: str) -> None:
    honest = [player.play(0.9, seed) for seed in range(2)]
    tricky = [player.play(0.9, seed, cheat) for seed in range(2)]
    assert sum(tricky) <= sum(honest) + 1e-9


@pytest.mark.parametrize("cheat", ribbon_barrel.CHEATS)
def test_no_trick_wins_on_the_barrel(cheat: str) -> None:
    assert ribbon_barrel.play(0.95, 1, cheat) < ribbon_barrel.play(0.95, 1)


@pytest.mark.parametrize("cheat", [None, "stiff", "own tempo", "corner", "rail", "hopping"])
def test_a_mark_is_explained_by_what_was_done(cheat: str | None) -> None:
    said = {
        None: "crease",
        "stiff": "Stiff in",
        "own tempo": "Beside the canter",
        "corner": "Too far right",
        "rail": "eld on",
        "hopping": "Jerky",
    }[cheat]
    outcome = player.outcome(1.0, 1, cheat, replace(LEVEL, pass_mark=9.9))
    assert said in outcome.reason
    assert outcome.advice
