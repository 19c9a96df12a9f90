"""Why it stopped, on a window: whoever clicked an icon sees no terminal."""

from __future__ import annotations

import math
import traceback
from pathlib import Path

from swaytrainer.errors import SwaytrainerError


def apologize(error: Exception, folder: Path) -> None:
    """Show an error until a key is pressed; print it where there is no display.

    Args:
        error: a user's, or a mistake of the program's, whose trace is kept for those who mend it.
        folder: the data folder.
    """
    told = error if isinstance(error, SwaytrainerError) else _kept(error, folder)
    from swaytrainer.app.window import Window, display_missing

    if display_missing():
        print(f"swaytrainer: {told}")
        return
    from swaytrainer.app.screen import Screen
    from swaytrainer.games.checking import draw_trouble

    screen = Screen(Window(off_screen=False))
    try:
        screen.show(lambda s: draw_trouble(s, told.what, told.remedy), math.inf)
    finally:
        screen.close()


def _kept(error: Exception, folder: Path) -> SwaytrainerError:
    path = folder / "last-error.txt"
    what = f"A mistake in swaytrainer itself: {error or type(error).__name__}."
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_text("".join(traceback.format_exception(error)), encoding="utf-8")
    except OSError:
        return SwaytrainerError(what, "Start it again. All trials that were done are kept.")
    return SwaytrainerError(
        what, f"Start it again; all trials that were done are kept. For whoever mends it: {path}"
    )
