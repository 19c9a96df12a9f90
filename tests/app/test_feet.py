"""``swaytrainer feet`` against a simulated board, and its screens at three sizes."""

import os
from pathlib import Path

import pytest

os.environ["SDL_VIDEODRIVER"] = "dummy"

import pygame

from swaytrainer.cli import main
from swaytrainer.games.canvas import MAIN_SHARE, Canvas
from swaytrainer.games.finding_feet import draw_finding, draw_found
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.leaning import feet_visit
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.foot_finding import FootFinder
from tests.streams import WREN, board_of

pytest.importorskip("pty")
FAST = 8.0
FEET = Feet.from_length(232.0, 180.0, -120.0)


def run_feet(home: Path, *more: str, name: str = "wren", **visit: float) -> int:
    board = board_of()
    Home(home).keep_calibration(board.true_calibration())
    loads = feet_visit(JUNIOR, 80.0, 220.0, 170.0, 3, **visit)
    server = SimulatorServer.on_pty(board, loads, FAST)
    try:
        return main(["--home", str(home), "--port", server.url, "feet", name, *more])
    finally:
        server.close()


@pytest.mark.parametrize("screen", ["--screen", "--no-screen"])
def test_found_feet_are_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], screen: str
) -> None:
    Home(tmp_path).add_vaulter(WREN)
    assert run_feet(tmp_path, screen) == 0
    told = capsys.readouterr().out
    assert told.index("Before you step on") < told.index("Lift your toes")
    assert "good to ±" in told
    found = Home(tmp_path).found_feet("Wren", "two feet")
    assert found is not None
    assert found.heel_mm == pytest.approx(0.135 * JUNIOR.foot_length_mm, abs=6.0)


def test_what_was_not_found_is_not_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Home(tmp_path).add_vaulter(WREN)
    assert run_feet(tmp_path, "--no-screen", reach=0.5) == 1
    assert "reckoned from foot length" in capsys.readouterr().out
    assert Home(tmp_path).found_feet("Wren", "two feet") is None


def test_a_stranger_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_feet(tmp_path, "--no-screen", name="Nobody") == 1
    assert "Add one at the desk, or with: swaytrainer vaulter NAME" in capsys.readouterr().err


def fits(canvas: Canvas) -> None:
    for box in canvas.boxes:
        assert not box.cut, box.words
        assert box.line_px >= MAIN_SHARE * canvas.height - 1, box.words


@pytest.mark.parametrize("size", [(1024, 768), (1280, 720), (3840, 2160)])
def test_every_step_fits_on_the_screen(size: tuple[int, int]) -> None:
    surface = pygame.Surface(size, 0, 32)
    finder = FootFinder("Wren", "two feet", 232.0, 180.0, -120.0)
    seen = set()
    t = 0.0
    for x, y in ((0, -55), (0, -89), (0, 50), (0, -89), (0, 50), (-90, -50), (90, -50)):
        for _ in range(30):
            t += 0.1
            cop = CopSample(t, 450.0, float(x), float(y), 0.0)
            if finder.update(cop):
                break
            fits(draw_finding(surface, finder, finder.instruction, cop, FEET, "Wren"))
        seen.add(pygame.image.tobytes(surface, "RGB"))
    assert len(seen) == 7
    finder.hint = "Further to the right, until the left foot bears nothing; hold still."
    fits(draw_finding(surface, finder, finder.instruction, cop, FEET, "Wren"))
    fits(draw_found(surface, FEET, ["Heels 31 mm in front of the heel line."] * 3, "Wren", True))
    why = (
        "From heels to balls it was 96 mm, too little for a foot of 232 mm: toes or heels stayed"
        " down, or the feet moved. Until it is done again, heels and balls are reckoned from foot"
        " length."
    )
    fits(draw_found(surface, None, [why], "Wren", False))
