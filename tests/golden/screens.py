"""The screens of two kept sittings at their key moments: the README's pictures, and a test's.

``python -m tests.golden.screens`` draws them anew after a wanted change; look at each before
committing it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame

from swaytrainer.app.check import FIX_OFFERED
from swaytrainer.board import wire
from swaytrainer.board.acceptance import Check
from swaytrainer.board.findings import Step
from swaytrainer.board.guided import Guide
from swaytrainer.games import help_pages
from swaytrainer.games.calibrating import draw_calibrating, draw_residuals
from swaytrainer.games.catalogue import GAMES
from swaytrainer.games.checking import draw_cautions, draw_checking, draw_verdict
from swaytrainer.games.choosing import draw_choosing
from swaytrainer.games.condition import draw_condition
from swaytrainer.games.entry import Entry, draw_entry
from swaytrainer.games.guide import GuideState, Task, draw_guide
from swaytrainer.games.gym import GymState
from swaytrainer.games.help import draw_help
from swaytrainer.games.stage import Stage, draw_gym
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.fault import Fault
from swaytrainer.simulate.leaning import check_visit
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOn
from swaytrainer.sitting.board_watch import BoardWatch
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.sitting.view import Happening, Phase, View, Where
from swaytrainer.store.recording import Recording, read_recording
from swaytrainer.training import ladder
from swaytrainer.training.choosing import STILL_HINT
from swaytrainer.training.desk import Desk, Known
from swaytrainer.training.gesture import Readiness
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.risk import offered
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say
from tests.board.boards import GRAVITY, calibrate
from tests.board.verdicts import MASS_KG, calibration_of, verdict_of
from tests.games.test_legible import running, scene_of
from tests.streams import received

HERE = Path(__file__).parent
SESSIONS = HERE.parents[1] / "sessions"
SIZE = (1280, 720)
LEVELS = ladder.path_of(shipped_levels(), "millpond")
KEPT_SIZE = (640, 360)


def moments(view: View, happened: set[Happening]) -> Iterator[str]:
    """The names of the moments that this frame is."""
    if view.phase is Phase.WAITING and view.trial == 1 and view.phase_s > 0.5:
        yield "step-on"
    if view.phase is Phase.SETTLING and view.left_s < 0.7:
        yield "stand-still"
    if view.phase is Phase.COUNTDOWN and view.left_s < 1.5:
        yield "countdown"
    if view.phase is Phase.RUNNING and view.phase_s > 5.0 and view.where is Where.TOES:
        yield "toes"
    if view.phase is Phase.RUNNING and view.phase_s > 16.0 and view.where is Where.INSIDE:
        yield "calm"
    if view.phase is Phase.OFF and view.left_s < 3.6:
        yield "step-back-on"
    if Happening.TRIAL_ENDED in happened:
        yield f"mark-{view.trial}"
    if view.phase is Phase.RESTING:
        yield "rest"
    if view.phase is Phase.FINISHED:
        yield "finished"


def sitting_screens(recording: Recording) -> Iterator[tuple[str, pygame.Surface]]:
    """Each moment of a recording once, drawn by the stage."""
    surface = pygame.Surface(SIZE, 0, 32)
    sitting = Sitting(recording.setup)
    stage = Stage(surface, 1, sitting.feet)
    seen: set[str] = set()
    for item in recording.inputs:
        events = sitting.feed(item)
        for event in events:
            stage.notice(event)
        view = sitting.view()
        stage.draw(view, item.host_s)
        for name in moments(view, {e.happening for e in events}):
            if name not in seen:
                seen.add(name)
                yield name, surface


def gym_screens() -> Iterator[tuple[str, pygame.Surface]]:
    """The opening screen, with a board and without."""
    vaulters = tuple(Vaulter(name) for name in ("Mika", "Romy", "Jale", "Tjark"))
    surface = pygame.Surface(SIZE, 0, 32)
    ready = GymState(
        "Board ready · 80 samples a second",
        True,
        "Clear floor, mat, bare feet? Then step on.",
        vaulters,
        offered(LEVELS, spotter=False),
        suggestion=ladder.Suggestion(
            ladder.Step.UP, LEVELS[1], "Passed in 4 of the last 5, on two days: one up.", LEVELS[0]
        ),
        dose="Trials today 3 (1.0 min) · days this week 2 (4.2 min) · rested",
    )
    draw_gym(surface, ready)
    yield "gym", surface
    careful = replace(vaulters[0], caution="Old sprain of the left ankle: a spotter on that side.")
    known_of = (careful, *vaulters[1:])
    draw_gym(surface, replace(ready, calls=("Mika", "Romy"), vaulters=known_of))
    yield "gym-evening", surface
    known = Known(vaulters, vaulters[0], LEVELS[0], LEVELS[:2], (), "Mika", "Romy", LEVELS[1])
    desk = replace(Desk(None, known).view(), state=Readiness.READY, hint=STILL_HINT, still=0.6)
    draw_choosing(surface, desk)
    yield "desk", surface
    islet = next(level for level in LEVELS if level.base == "dome")
    draw_gym(surface, replace(ready, vaulters=known_of, levels=(islet,), reading=True))
    yield "cautions-dome", surface
    missing = GymState(
        "No board is plugged in.",
        False,
        "Plug it in and leave it empty. No board yet? G shows you all of it.",
        vaulters,
        offered(LEVELS, spotter=False),
    )
    draw_gym(surface, missing)
    yield "gym-without-a-board", surface


def first_screens() -> Iterator[tuple[str, pygame.Surface]]:
    """First steps on a new machine, what is typed there, and the gym's help."""
    surface = pygame.Surface(SIZE, 0, 32)
    board = say(
        "Board {board} at {port}", board=Name("0123456789ABCDEF"), port=Name("/dev/ttyACM0")
    )
    draw_guide(surface, GuideState(board, True, chosen=Task.NEWTONS))
    yield "first-steps", surface
    asked = "A pseudonym suffices. It stays on this machine."
    draw_entry(surface, Entry("What is the vaulter called?", asked, "Mika", fresh=False), True)
    yield "first-vaulter", surface
    draw_help(surface, help_pages.GYM, 0.0)
    yield "help", surface


def calibration_screens() -> Iterator[tuple[str, pygame.Surface]]:
    """The guided calibration of a simulated board at its sixth mark, and its residuals."""
    surface = pygame.Surface(SIZE, 0, 32)
    half_size_mm = (DECENT.half_width_mm, DECENT.half_depth_mm)

    def at_the_sixth(guide: Guide) -> None:
        if len(guide.placed) == 5:
            draw_calibrating(surface, guide, half_size_mm)

    _, fitted = calibrate(7, on_step=at_the_sixth)
    yield "calibration", surface
    draw_residuals(surface, fitted, half_size_mm)
    yield "calibrated", surface


def check_screens() -> Iterator[tuple[str, pygame.Surface]]:
    """The one-minute check: its cautions, its first lean, and a board whose cables are swapped."""
    surface = pygame.Surface(SIZE, 0, 32)
    draw_cautions(surface)
    yield "check-cautions", surface
    board = SimulatedBoard(DECENT, 5)
    check = Check(calibration_of(5), board.board_id, DECENT.rate_hz, MASS_KG, GRAVITY)
    visit = check_visit(JUNIOR, MASS_KG, 80.0, 220.0, 170.0, 5, gravity_m_s2=GRAVITY)
    while check.step is not Step.HEELS:
        seen = board.observe(next(visit))
        assert seen is not None
        check.update(seen.time_s, seen.counts, seen.status)
    draw_checking(surface, check)
    yield "check-heels", surface
    verdict = verdict_of(103, Fault.SWAPPED)
    assert verdict is not None
    draw_verdict(surface, verdict, MASS_KG, FIX_OFFERED)
    yield "check-failed", surface


def board_screens() -> Iterator[tuple[str, pygame.Surface]]:
    """A board's condition, somebody standing on it."""
    surface = pygame.Surface(SIZE, 0, 32)
    board = SimulatedBoard(DECENT, 4)
    [hello] = wire.Decoder().feed(board.hello())
    assert isinstance(hello, wire.Hello)
    watch = BoardWatch(hello, board.true_calibration())
    scenario = Scenario((Empty(12.0), StepOn(), Stand(10.0)))
    for item in received(board, scenario):
        watch.feed(item)
        watch.worked_off(item.host_s + 0.004)
    draw_condition(surface, watch.report(), watch.calibration, watch.cop)
    yield "board", surface


def game_screens() -> Iterator[tuple[str, pygame.Surface]]:
    """Each game after seven seconds of a lively stand, as its easiest level shows it."""
    surface = pygame.Surface(SIZE, 0, 32)
    for game in GAMES:
        level = next(level for level in shipped_levels() if level.game == game)
        stage = Stage(surface, 3)
        # Twice: what comes and goes with time has begun by then.
        for seconds in (6.5, 7.0):
            stage.draw(running(level, seconds, scene_of(level, seconds)), seconds)
        yield f"game-{game}", surface


def all_screens() -> Iterator[tuple[str, pygame.Surface]]:
    """Name and surface of every screen; each surface holds only until the next is asked for."""
    yield from gym_screens()
    yield from first_screens()
    mika = read_recording(SESSIONS / "1-mika-toes-then-even.sway")
    yield from calibration_screens()
    yield from check_screens()
    yield from board_screens()
    yield from game_screens()
    yield from sitting_screens(mika)
    jale = read_recording(SESSIONS / "3-jale-steps-off.sway")
    for name, surface in sitting_screens(jale):
        if name == "step-back-on":
            yield name, surface


def kept(surface: pygame.Surface) -> pygame.Surface:
    """A screen as it is kept: half the size, which a page shows well."""
    return pygame.transform.smoothscale(surface, KEPT_SIZE)


def main() -> None:
    """Draw all anew."""
    for name, surface in all_screens():
        pygame.image.save(kept(surface), str(HERE / f"{name}.png"))
        print(name)


if __name__ == "__main__":
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    main()
