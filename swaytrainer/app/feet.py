"""``swaytrainer feet NAME``: half a minute that finds a vaulter's heels and balls by doing."""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable
from datetime import datetime
from typing import Final

from swaytrainer.app.board_finder import find_only_board
from swaytrainer.app.listening import Arrivals
from swaytrainer.app.screen import Screen, open_screen
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.finding_feet import CAUTIONS, draw_finding, draw_found
from swaytrainer.games.help_pages import FEET
from swaytrainer.sitting.foot_sitting import FootSitting
from swaytrainer.store.home import Home
from swaytrainer.sway.feet import Feet
from swaytrainer.training.foot_finding import Found
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import say

_LOOK_S: Final = 60.0
STANCE: Final = "two feet"


def feet(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status: 0 if heels and balls were found."""
    vaulter = home.vaulter_called(options.name)
    home.check_writable()
    home.found_feet(vaulter.name, STANCE)  # a damaged file is told now, not at the end
    print("Before you step on:", *(f"  {caution}" for caution in CAUTIONS), sep="\n")
    screen = open_screen(options, FEET)
    try:
        _beware(screen)
        found, sitting = _find(options, home, vaulter, screen)
        return _tell(found, sitting, vaulter, home, screen)
    finally:
        if screen is not None:
            screen.close()


def _beware(screen: Screen | None) -> None:
    if screen is None:
        return
    from swaytrainer.games.checking import draw_cautions

    if screen.show(lambda surface: draw_cautions(surface, "", CAUTIONS), math.inf).left:
        raise SwaytrainerError("It was not begun.", "Start it again when all is ready.")


def _find(
    options: argparse.Namespace, home: Home, vaulter: Vaulter, screen: Screen | None
) -> tuple[Found, FootSitting]:
    from swaytrainer.board.link import Link

    found = find_only_board(options.port, time.monotonic)
    hello = found.hello
    try:
        calibration = home.calibration(hello.board_id)
        if calibration is None:
            raise SwaytrainerError(
                f"Board {hello.board_id} has no calibration.",
                "Run 'swaytrainer calibrate --mass KG' first.",
            )
        sitting = FootSitting(calibration, hello.board_id, hello.rate_hz, vaulter, STANCE)
        link = Link(found, time.monotonic)
    except SwaytrainerError:
        found.port.close()
        raise
    ruler = Feet.from_length(
        vaulter.foot_length_mm, vaulter.stance_width_mm, calibration.heel_line_mm
    )
    said = ""
    try:
        arrivals = Arrivals(link.poll)
        pieces = arrivals.one_by_one()
        if screen is not None:
            pieces = arrivals.one_by_one(_frames(screen, sitting, ruler, vaulter))
        for item in pieces:
            sitting.feed(item)
            if sitting.instruction != said:
                said = sitting.instruction
                print(said, flush=True)
            if sitting.finder.done:
                break
    finally:
        link.close()
    return sitting.finder.found(datetime.now().astimezone()), sitting


def _frames(
    screen: Screen, sitting: FootSitting, ruler: Feet, vaulter: Vaulter
) -> Callable[[], None]:
    def meanwhile() -> None:
        left = screen.frame(
            lambda surface: draw_finding(
                surface, sitting.finder, sitting.instruction, sitting.cop, ruler, vaulter.name
            )
        ).left
        if left:
            raise SwaytrainerError("It was broken off: nothing was changed.", "Start it again.")

    return meanwhile


def _tell(
    found: Found, sitting: FootSitting, vaulter: Vaulter, home: Home, screen: Screen | None
) -> int:
    lines: list[str] = [found.why_not]
    drawn = None
    if found.feet is not None:
        path = home.keep_feet(found.feet)
        drawn = found.feet.feet(sitting.heel_line_mm)
        middle = 0.5 * (drawn.heel_y_mm + drawn.ball_y_mm)
        lines = [
            say(
                "Heels {heel:.0f} mm and balls {ball:.0f} mm in front of the heel line.",
                heel=found.feet.heel_mm,
                ball=found.feet.ball_mm,
            ),
            say(
                "The two tries agree so that the toe share is good to ±{within:.1f} of 100 (95 %).",
                within=drawn.toe_share_within_percent(middle),
            ),
            "They hold while the heels stand on the line.",
        ]
        print(*lines, f"Kept in {path}.", sep="\n")
    else:
        print(found.why_not)
    if screen is not None:
        screen.show(
            lambda surface: draw_found(surface, drawn, lines, vaulter.name, found.feet is not None),
            _LOOK_S,
        )
    return 0 if found.feet is not None else 1
