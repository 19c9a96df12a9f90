"""``swaytrainer check``: accept or refuse a board, in a minute, in a terminal or on a screen."""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from swaytrainer.app.board_finder import find_only_board
from swaytrainer.app.calibrate import gravity_of, keep_words, plate_of
from swaytrainer.app.listening import Arrivals, samples_of
from swaytrainer.app.screen import Pressed, Screen, open_screen
from swaytrainer.board.acceptance import CAUTIONS, Check, check_mass
from swaytrainer.board.calibration import Calibration
from swaytrainer.board.ear import Heard
from swaytrainer.board.findings import Verdict
from swaytrainer.board.pair import PairCalibration, Plate
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.help_pages import CHECK
from swaytrainer.store.home import Home
from swaytrainer.words import tr, translated

if TYPE_CHECKING:
    from swaytrainer.board.link import Found

#: How long a verdict stays on the screen, if no key is pressed.
_LOOK_S: Final = 120.0
_KEEP: Final = "f"
FIX_OFFERED: Final = "F keeps a corrected calibration, the old one stays. Any other key: no change."


class _LeftError(SwaytrainerError):
    """Somebody left on purpose: that needs no picture."""


def check(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status: 0 if the board has passed."""
    check_mass(options.mass)
    gravity, _ = gravity_of(options)
    note = ""
    try:
        home.check_writable()
    except SwaytrainerError as error:
        if options.fix:
            raise
        # The verdict is worth having all the same, but a fix would be lost.
        print(error.what)
        note = "The data folder can't be written: a corrected calibration could not be kept."
    screen = open_screen(options, CHECK)
    try:
        _beware(note, screen)
        verdict, plate = _checked(options, home, gravity, screen)
        print(report(verdict, options.mass))
        _offer(verdict, options, home, plate, screen)
    except SwaytrainerError as error:
        if screen is not None and not isinstance(error, _LeftError):
            _show_trouble(error, screen)
        raise
    finally:
        if screen is not None:
            screen.close()
    return 0 if verdict.passed else 1


def _beware(note: str, screen: Screen | None) -> None:
    """The cautions, before the board is looked for: nobody stands on it yet."""
    print(translated("Before you step on:"), *(f"  {tr(c)}" for c in CAUTIONS), sep="\n")
    if note:
        print(tr(note))
    if screen is None:
        return
    from swaytrainer.games.checking import draw_cautions

    pressed = screen.show(lambda surface: draw_cautions(surface, note), math.inf)
    if pressed.left:
        raise _LeftError("The check was not begun.", "Start it again when all is ready.")


def _checked(
    options: argparse.Namespace, home: Home, gravity_m_s2: float, screen: Screen | None
) -> tuple[Verdict, Plate | None]:
    from swaytrainer.board.link import Link

    found = find_only_board(options.port, time.monotonic)
    try:
        hello = found.hello
        plate, calibration = _calibration(found, options, home)
        steps = Check(calibration, hello.board_id, hello.rate_hz, options.mass, gravity_m_s2)
        link = Link(found, time.monotonic)
    except SwaytrainerError:
        found.port.close()
        raise
    try:
        arrivals = Arrivals(link.poll)
        pieces = arrivals.one_by_one()
        if screen is not None:
            pieces = arrivals.one_by_one(_frames(screen, steps))
        return follow(samples_of(pieces, hello.rate_hz, hello.board_id, plate), steps), plate
    finally:
        link.close()


def _frames(screen: Screen, steps: Check) -> Callable[[], None]:
    from swaytrainer.games.checking import draw_checking

    def meanwhile() -> None:
        if screen.frame(lambda surface: draw_checking(surface, steps)).left:
            raise _LeftError(
                "The check was broken off: nothing was changed.",
                "Start it again; the board is neither passed nor failed.",
            )

    return meanwhile


def _calibration(
    found: Found, options: argparse.Namespace, home: Home
) -> tuple[Plate | None, Calibration]:
    """Which plate is meant, if the board has two, and its calibration.

    Raises:
        SwaytrainerError: it has none.
    """
    board_id = found.hello.board_id
    print(f"Board {board_id} at {found.url}.")
    calibration = home.calibration(board_id)
    if calibration is None:
        known = home.calibrated_boards()
        what = f"Board {board_id} has no calibration"
        raise SwaytrainerError(
            f"{what}, but {' and '.join(known)} {'has' if len(known) == 1 else 'have'} one."
            if known
            else f"{what}.",
            "If this should be one of them, its id is wrong: see its label. Otherwise run"
            " 'swaytrainer calibrate' first."
            if known
            else "Run 'swaytrainer calibrate --mass KG' first.",
        )
    plate = plate_of(options, found.hello)
    if isinstance(calibration, PairCalibration):
        assert plate is not None
        calibration = calibration.plate(plate)
    print(f"Calibrated {calibration.made:%Y-%m-%d %H:%M}.")
    return plate, calibration


def follow(heard: Iterator[Heard], steps: Check) -> Verdict:
    """Prompt until there is a verdict."""
    said = hinted = ""
    for sample in heard:
        if steps.instruction != said:
            said, hinted = steps.instruction, ""
            print(said, flush=True)
        steps.update(sample.time_s, sample.counts, sample.status)
        if steps.verdict is not None:
            return steps.verdict
        if steps.hint and steps.hint != hinted:
            hinted = steps.hint
            print(f"  {hinted}", flush=True)
    raise SwaytrainerError("The board fell silent.", "Check its cable, then start again.")


def report(verdict: Verdict, mass_kg: float) -> str:
    """The verdict as text."""
    if verdict.passed:
        return (
            f"PASS: {mass_kg:g} kg read {verdict.force_error:+.2%} and lie"
            f" {verdict.cop_error_mm:.1f} mm beside the middle; noise {verdict.noise_n:.3f} N rms."
        )
    return "\n".join(f"FAIL: {f.what} {f.remedy}" for f in verdict.findings)


def _offer(
    verdict: Verdict,
    options: argparse.Namespace,
    home: Home,
    plate: Plate | None,
    screen: Screen | None,
) -> None:
    """Show the verdict, offer its fix if it has one, and keep that if it is wanted."""
    fix = verdict.fix
    wanted = fix is not None and bool(options.fix)
    seen = screen is not None and not screen.off_screen
    if screen is not None:
        foot = "Any key closes this."
        if wanted:
            foot = "A corrected calibration is kept, the old one stays. Run the check once more."
        elif fix is not None:
            foot = FIX_OFFERED
        wanted |= _KEEP in _show(verdict, options, screen, foot).keys
    if fix is None:
        return
    if not wanted and (seen or not _yes_in_terminal()):
        print("Nothing was changed.")
        return
    fix = replace(fix, made=datetime.now().astimezone())
    print(f"{keep_words(home, fix, plate, None)}\nRun the check once more.")
    if screen is not None and not options.fix:
        _show(verdict, options, screen, "Kept; the old one stays. Run the check once more.")


def _show(verdict: Verdict, options: argparse.Namespace, screen: Screen, foot: str) -> Pressed:
    from swaytrainer.games.checking import draw_verdict

    return screen.show(lambda s: draw_verdict(s, verdict, options.mass, foot), _LOOK_S)


def _show_trouble(error: SwaytrainerError, screen: Screen) -> None:
    from swaytrainer.games.checking import draw_trouble

    screen.show(lambda s: draw_trouble(s, error.what, error.remedy), _LOOK_S)


def _yes_in_terminal() -> bool:
    if not sys.stdin.isatty():
        print("A corrected calibration is offered: run the check again with --fix to keep it.")
        return False
    try:
        answer = input("Keep a corrected calibration instead? The old one stays. [y/N] ")
    except EOFError:
        answer = ""
    return answer.strip().lower() in ("y", "yes")
