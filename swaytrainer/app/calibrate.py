"""``swaytrainer calibrate``: teach a board its newtons, in the terminal or on the screen.

Nothing is written before all readings are taken and fit together; what was there before stays.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from swaytrainer.app.board_finder import find_only_board
from swaytrainer.app.listening import Arrivals, samples_of
from swaytrainer.app.screen import Screen, open_screen
from swaytrainer.board import wire
from swaytrainer.board.calibration import Calibration
from swaytrainer.board.ear import Heard
from swaytrainer.board.fit import CELL_NAMES, TOLD_AT_N, Assumed, Fit, fit
from swaytrainer.board.gravity import (
    ANYWHERE_UNCERTAINTY_M_S2,
    FORMULA_UNCERTAINTY_M_S2,
    STANDARD_GRAVITY,
    normal_gravity,
)
from swaytrainer.board.guided import Guide, check_masses, marked_spots
from swaytrainer.board.pair import PairCalibration, Plate
from swaytrainer.board.wire import Hello
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.help_pages import TEACHING
from swaytrainer.store.home import Home
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.board.link import Found

#: A cell that is missing for so long is no hiccup.
_MISSING_FOR_S: Final = 2.0
#: How long the picture of the residuals stays, if no key is pressed.
_LOOK_S: Final = 60.0


def gravity_of(options: argparse.Namespace) -> tuple[float, float]:
    """Gravity and its standard uncertainty (m/s²) from --latitude, --height-m or --gravity.

    Raises:
        SwaytrainerError: no such place, or gravity given twice.
    """
    if options.gravity is not None and options.latitude is not None:
        raise SwaytrainerError(
            "Gravity is given twice.", "Give --latitude and --height-m, or --gravity, not both."
        )
    if options.latitude is not None:
        return normal_gravity(options.latitude, options.height_m), FORMULA_UNCERTAINTY_M_S2
    if options.gravity is None:
        return STANDARD_GRAVITY, ANYWHERE_UNCERTAINTY_M_S2
    gravity = float(options.gravity)
    if not 9.76 <= gravity <= 9.84:
        raise SwaytrainerError(
            f"Gravity is nowhere {gravity:g} m/s².",
            "It is 9.76 to 9.84 m/s²; give --latitude if you don't know it.",
        )
    return gravity, FORMULA_UNCERTAINTY_M_S2


def assumed_of(options: argparse.Namespace) -> Assumed:
    """Gravity and the helper's uncertainties, from the options.

    "Within ±" becomes a standard uncertainty by a rectangular distribution (GUM 4.3.7).

    Raises:
        SwaytrainerError: a value that can't be, or gravity given twice.
    """
    gravity, u = gravity_of(options)
    for option, value, high in (
        ("--mass-within", options.mass_within, 1.0),
        ("--placed-within", options.placed_within, 20.0),
    ):
        if not (math.isfinite(value) and 0.0 < value <= high):
            raise SwaytrainerError(
                f"{option} {value:g} can't be.", f"Give it above 0 and up to {high:g}."
            )
    root3 = math.sqrt(3.0)
    return Assumed(
        gravity,
        u,
        mass_u_kg=options.mass_within / root3,
        placing_u_mm=options.placed_within / root3,
    )


@dataclass(frozen=True, slots=True)
class Teaching:
    """How a board is to be taught its newtons.

    Attributes:
        masses_kg: known masses; the first goes on all marks.
        assumed: gravity, and how well masses and places are known.
        half_size_mm: the cells stand at (±, ±) these.
        cell_kg: capacity of a cell.
        plate: which of two; None for a board with one.
        apart_mm: of two plates, from middle to middle.
        picture: where to keep a picture of the residuals; None for nowhere.
    """

    masses_kg: tuple[float, ...]
    assumed: Assumed
    half_size_mm: tuple[float, float] = (220.0, 170.0)
    cell_kg: float = 200.0
    plate: Plate | None = None
    apart_mm: float | None = None
    picture: Path | None = None


def calibrate(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status."""
    check_masses(options.mass)
    assumed = assumed_of(options)
    if not (math.isfinite(options.cell_kg) and 5.0 <= options.cell_kg <= 2000.0):
        raise SwaytrainerError(
            f"No cell of {options.cell_kg:g} kg is in such a board.", "Give --cell-kg in kilograms."
        )
    for option, half_mm in (
        ("--half-width", options.half_width),
        ("--half-depth", options.half_depth),
    ):
        if not 30.0 <= half_mm <= 1000.0:
            raise SwaytrainerError(
                f"{option} is {half_mm:g}: no load cell stands there.",
                "Give it in millimetres from the plate's centre, 30 to 1,000.",
            )
    home.check_writable()
    found = find_only_board(options.port, time.monotonic)
    if options.latitude is None and options.gravity is None:
        print("Gravity differs by 0.5 % over the world: give --latitude for a better calibration.")
    screen: Screen | None = None
    try:
        how = Teaching(
            tuple(options.mass),
            assumed,
            (options.half_width, options.half_depth),
            options.cell_kg,
            plate_of(options, found.hello),
            options.plates_apart,
            options.picture,
        )
        screen = open_screen(options, TEACHING)
        teach(found, home, how, screen)
    except KeyboardInterrupt:
        print("Broken off: nothing was changed.")
        raise
    finally:
        found.port.close()
        if screen is not None:
            screen.close()
    return 0


def teach(found: Found, home: Home, how: Teaching, screen: Screen | None) -> None:
    """Teach a board its newtons and keep what it learnt. Its port is closed at the end.

    Raises:
        SwaytrainerError: it was broken off, or the readings don't fit together; nothing is changed.
    """
    from swaytrainer.board.link import Link

    hello = found.hello
    print(f"Board {hello.board_id} at {found.url}.")
    before = _before(home, hello.board_id, how.plate)
    print("Use something that can't roll or topple; mind your back and your toes.")
    guide = Guide(
        marked_spots(*how.half_size_mm),
        how.masses_kg,
        how.assumed.gravity_m_s2,
        before,
        how.cell_kg,
    )
    link = Link(found, time.monotonic)
    try:
        arrivals = Arrivals(link.poll)
        pieces = arrivals.one_by_one()
        if screen is not None:
            pieces = arrivals.one_by_one(_frames(screen, guide, how.half_size_mm))
        _follow(samples_of(pieces, hello.rate_hz, hello.board_id, how.plate), guide)
    finally:
        link.close()
    places = CellPlaces.rectangle(*how.half_size_mm)
    now = datetime.now().astimezone()
    fitted = fit(hello.board_id, now, places, guide.readings, how.assumed)
    print(report(fitted))
    print(keep_words(home, fitted.calibration, how.plate, how.apart_mm))
    if how.picture is not None:
        _save_picture(fitted, how.half_size_mm, how.picture)
    if screen is not None:
        _show_residuals(fitted, how.half_size_mm, screen)


def _frames(screen: Screen, guide: Guide, half_size_mm: tuple[float, float]) -> Callable[[], None]:
    from swaytrainer.games.calibrating import draw_calibrating

    def meanwhile() -> None:
        if screen.frame(lambda surface: draw_calibrating(surface, guide, half_size_mm)).left:
            raise SwaytrainerError(
                say("The calibration was broken off: nothing was changed."),
                say("Start it again when there is time for all the marks."),
            )

    return meanwhile


def _show_residuals(fitted: Fit, half_size_mm: tuple[float, float], screen: Screen) -> None:
    from swaytrainer.games.calibrating import draw_residuals

    screen.show(lambda surface: draw_residuals(surface, fitted, half_size_mm), _LOOK_S)


def plate_of(options: argparse.Namespace, hello: Hello) -> Plate | None:
    """Which of two plates is meant; None for a board with one.

    Raises:
        SwaytrainerError: it must be said and isn't, or is said of a board with one.
    """
    if (hello.cells == 2 * 4) == (options.plate is not None):
        return None if options.plate is None else Plate(options.plate)
    if options.plate is not None:
        raise SwaytrainerError(
            f"Board {hello.board_id} has one plate.", "Leave --plate out for this board."
        )
    raise SwaytrainerError(
        f"Board {hello.board_id} has two plates, and each is calibrated and checked by itself.",
        "Say which one is meant: --plate left, then --plate right.",
    )


def keep_words(home: Home, new: Calibration, plate: Plate | None, apart_mm: float | None) -> str:
    """Keep what was found, and say where and what is still to do."""
    if plate is None:
        return f"Kept as {home.keep_calibration(new)}; older calibrations stay beside it."
    said = [f"Kept as {home.keep_plate(plate, new)}; older calibrations stay beside it."]
    other = Plate.LEFT if plate is Plate.RIGHT else Plate.RIGHT
    before = home.calibration(new.board_id)
    if apart_mm is None and isinstance(before, PairCalibration):
        apart_mm = before.apart_mm
    theirs = home.plate(new.board_id, other)
    if theirs is None:
        said.append(f"Now calibrate the other plate, with --plate {other}.")
    elif apart_mm is None:
        said.append("How far apart do the plates lie? Calibrate again with --plates-apart MM.")
    else:
        left, right = (new, theirs) if plate is Plate.LEFT else (theirs, new)
        path = home.keep_calibration(PairCalibration(left, right, apart_mm))
        said.append(f"Both plates are known, {apart_mm:g} mm apart: {path}.")
    return "\n".join(said)


def _before(home: Home, board_id: str, plate: Plate | None) -> Calibration | None:
    try:
        if plate is not None:
            return home.plate(board_id, plate)
        before = home.calibration(board_id)
        return before if isinstance(before, Calibration) else None
    except SwaytrainerError as error:
        print(f"The older calibration is of no use: {error.what}")
        return None


def _follow(heard: Iterator[Heard], guide: Guide) -> None:
    said = hinted = ""
    missing_since_s: float | None = None
    for sample in heard:
        if guide.instruction != said:
            said, hinted = guide.instruction, ""
            print(f"{len(guide.readings) + 1} of {len(guide.tasks)}: {said}", flush=True)
        missing = sample.status & wire.STATUS_MISSING
        if missing:
            if missing_since_s is None:
                missing_since_s = sample.time_s
            if sample.time_s - missing_since_s > _MISSING_FOR_S:
                cell = next(n for i, n in enumerate(CELL_NAMES) if missing >> i & 1)
                raise SwaytrainerError(
                    say("No signal from the {cell} cell.", cell=cell),
                    say("Check its cable, then calibrate again; nothing was changed."),
                )
            continue
        missing_since_s = None
        if sample.status & wire.STATUS_MIXED:
            continue
        guide.update(sample.time_s, sample.counts)
        if guide.done:
            return
        if guide.hint and guide.hint != hinted:
            hinted = guide.hint
            print(f"  {hinted}", flush=True)


def report(fitted: Fit) -> str:
    """What the fit says, as lines of text."""
    lines = ["Residuals, what the board shows less what lay there:"]
    for r in fitted.residuals:
        lines.append(
            f"  {r.spot.name:<12} {r.mass_kg:5g} kg  {r.force_n:+6.2f} N"
            f"  right {r.x_mm:+5.2f} mm  forward {r.y_mm:+5.2f} mm"
        )
    area = fitted.foot_area
    lines += [
        f"Fits to {fitted.residual_n:.2f} N and {fitted.worst_place_mm:.1f} mm; zeros drifted by"
        f" {fitted.drift_n:.2f} N; condition number {fitted.condition:.1f}.",
        f"Under {TOLD_AT_N:.0f} N in the foot area, force is good to ±{area.force_n:.1f} N"
        f" ({area.force_n / TOLD_AT_N:.1%}), the centre of pressure to ±{area.x_mm:.1f} mm across"
        f" and ±{area.y_mm:.1f} mm along (95 %).",
    ]
    return "\n".join([*lines, *(f"Note: {note}" for note in fitted.notes)])


def _save_picture(fitted: Fit, half_size_mm: tuple[float, float], path: Path) -> None:
    import pygame

    from swaytrainer.games.calibrating import draw_residuals

    surface = pygame.Surface((1280, 720), 0, 32)
    draw_residuals(surface, fitted, half_size_mm)
    try:
        pygame.image.save(surface, str(path))
    except (pygame.error, OSError) as error:
        raise SwaytrainerError(
            f"Can't write the picture {path}: {error}. The calibration itself is kept.",
            "Give another path with --picture, ending in .png.",
        ) from None
    print(f"Picture of the residuals: {path}")
