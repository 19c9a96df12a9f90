"""The check's and the condition's screens: every word fits at every size, and is the right one."""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

import pygame
import pytest

from swaytrainer.app.check import FIX_OFFERED
from swaytrainer.board.acceptance import CAUTIONS, LEANING_CAUTION, Check
from swaytrainer.board.findings import Finding, Step, Trouble, Verdict
from swaytrainer.board.pair import PairCalibration
from swaytrainer.games.canvas import MAIN_SHARE, Canvas
from swaytrainer.games.checking import draw_cautions, draw_checking, draw_trouble, draw_verdict
from swaytrainer.games.condition import draw_condition
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.fault import Fault
from swaytrainer.simulate.leaning import check_visit
from swaytrainer.sitting.board_report import CellWord, Delay, Floor
from swaytrainer.sitting.board_watch import BoardWatch
from swaytrainer.sway.cop import CopSample
from tests.board.boards import GRAVITY
from tests.board.verdicts import MASS_KG, calibration_of, verdict_of
from tests.games.scenes import SIZES
from tests.sitting.test_board_watch import MASS, hello_of, pair_watch
from tests.streams import board_of, received


def fits(canvas: Canvas) -> None:
    """Nothing is cut or leaves its place; what is no footnote is read from three metres."""
    for box in canvas.boxes:
        assert not box.cut, box.words
        assert box.area.contains(box.rect), box.words
        assert not box.main or box.line_px >= MAIN_SHARE * canvas.height


def words_of(canvas: Canvas) -> str:
    return " | ".join(box.words for box in canvas.boxes)


def steps() -> Iterator[Check]:
    """A whole check, now and then."""
    board = SimulatedBoard(DECENT, 5)
    check = Check(calibration_of(5), board.board_id, DECENT.rate_hz, MASS_KG, GRAVITY)
    board.wait(600.0)
    visit = check_visit(JUNIOR, MASS_KG, 80.0, 220.0, 170.0, 5, gravity_m_s2=GRAVITY)
    for n, loads in enumerate(visit):
        seen = board.observe(loads)
        assert seen is not None
        if check.update(seen.time_s, seen.counts, seen.status) or n % 100 == 0:
            yield check
        if check.verdict is not None:
            return


@pytest.mark.parametrize("size", SIZES)
def test_every_word_of_the_check_fits(size: tuple[int, int]) -> None:
    surface = pygame.Surface(size, 0, 32)
    fits(draw_cautions(surface))
    fits(draw_cautions(surface, "The data folder can't be written: a fix could not be kept."))
    seen = set()
    for check in steps():
        canvas = draw_checking(surface, check)
        fits(canvas)
        seen.add(check.step)
        assert check.instruction in words_of(canvas)
        # Whoever is to stand on it, or will be next, reads the caution, or why it waits.
        if check.step in (Step.EMPTY, Step.LEFT, Step.RIGHT, Step.HEELS, Step.TOES):
            assert LEANING_CAUTION in words_of(canvas) or check.hint in words_of(canvas)
    assert seen == {*Step, None}


@pytest.mark.parametrize("size", SIZES)
def test_every_word_of_the_verdicts_fits(size: tuple[int, int]) -> None:
    surface = pygame.Surface(size, 0, 32)
    good = verdict_of(3, None)
    assert good is not None
    canvas = draw_verdict(surface, good, MASS_KG, "Any key closes this.")
    fits(canvas)
    assert "PASS" in words_of(canvas)
    for fault in Fault:
        verdict = verdict_of(103, fault)
        assert verdict is not None
        canvas = draw_verdict(surface, verdict, MASS_KG, FIX_OFFERED)
        fits(canvas)
        for word in ("FAIL", verdict.findings[0].what, verdict.findings[0].remedy):
            assert word in words_of(canvas)


def test_further_findings_are_named() -> None:
    findings = tuple(
        Finding(t, f"{t} it is.", "Mend it.") for t in (Trouble.LOOSE, Trouble.NOISY, Trouble.ZERO)
    )
    canvas = draw_verdict(pygame.Surface((1024, 768), 0, 32), Verdict(findings), 20.0, "Any key.")
    fits(canvas)
    assert "Also: noisy supply, zero" in words_of(canvas)


def test_every_caution_is_on_one_page_with_what_begins() -> None:
    canvas = draw_cautions(pygame.Surface((1024, 768), 0, 32))
    for caution in CAUTIONS:
        assert caution in words_of(canvas)
    told = " ".join(CAUTIONS)
    for word in ("mat", "spotter", "clear", "shoes", "load limit", "pain", "dizziness", "coach"):
        assert word in told
    assert "Space" in words_of(canvas)


def test_trouble_is_told_in_full() -> None:
    what = "The board's signal broke off."
    canvas = draw_trouble(pygame.Surface((1024, 768), 0, 32), what, "Check its cable, start again.")
    fits(canvas)
    assert what in words_of(canvas)


def watch_of() -> BoardWatch:
    board = board_of(4)
    watch = BoardWatch(hello_of(board), board.true_calibration())
    for item in received(board, MASS):
        watch.feed(item)
        watch.worked_off(item.host_s + 0.004)
    return watch


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("word", CellWord)
def test_every_word_of_the_condition_fits(size: tuple[int, int], word: CellWord) -> None:
    surface = pygame.Surface(size, 0, 32)
    watch = watch_of()
    plain = watch.report()
    fits(draw_condition(surface, plain, watch.calibration, watch.cop))
    cells = tuple(c._replace(word=word) for c in plain.cells)
    worst = replace(
        plain,
        cells=cells,
        mass_kg=118.4,
        force_n=1161.0,
        x_mm=-118.0,
        y_mm=-121.0,
        lost=1234,
        corrupt=56,
        jitter=Delay(12.3, 148.7),
        queue=Delay(16.6, 138.4),
        drift_ppm=-1234.0,
        floor=Floor(why="Too little."),
        warnings=(
            "10 samples a second announced; sway needs at least 40: set the converters' fast rate.",
        ),
    )
    fits(draw_condition(surface, worst, watch.calibration, watch.cop))
    fits(draw_condition(surface, worst, None, watch.cop))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("calibrated", [True, False])
def test_two_plates_fit_too(size: tuple[int, int], calibrated: bool) -> None:
    watch, items, _ = pair_watch(calibrated)
    for item in items[:600]:
        watch.feed(item)
    surface = pygame.Surface(size, 0, 32)
    canvas = draw_condition(surface, watch.report(), watch.calibration, watch.cop)
    fits(canvas)
    assert words_of(canvas).count("front") == 2
    assert isinstance(watch.calibration, PairCalibration) == calibrated


def point(canvas_of: Callable[[CopSample], Canvas], x_mm: float, y_mm: float) -> bytes:
    canvas = canvas_of(CopSample(0.0, 200.0, x_mm, y_mm, 0.0))
    return pygame.image.tobytes(canvas.surface, "RGB")


def test_the_point_lies_where_the_pressure_is_and_never_off_the_plate() -> None:
    watch = watch_of()
    report = watch.report()
    surface = pygame.Surface((1280, 720), 0, 32)

    def drawn(cop: CopSample) -> Canvas:
        return draw_condition(surface, report, watch.calibration, cop)

    nowhere = point(drawn, math.nan, math.nan)
    middle = point(drawn, 0.0, 0.0)
    assert middle != nowhere
    # The plate's middle is at 0.28 of the width and 0.51 of the height.
    drawn(CopSample(0.0, 200.0, 0.0, 0.0, 0.0))
    from swaytrainer.games.palette import PAPER

    assert surface.get_at((round(0.28 * 1280), round(0.51 * 720)))[:3] == PAPER
    assert point(drawn, 5000.0, 0.0) == point(drawn, 9000.0, 0.0)
