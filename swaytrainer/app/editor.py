"""A level from the coach's editor, tried at once by the demo's simulated vaulter."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from swaytrainer.errors import SwaytrainerError
from swaytrainer.training.level import Level


def try_on_simulator(level: Level, text: str) -> subprocess.Popen[bytes]:
    """Start ``swaytrainer demo`` on this level, in a data folder of its own.

    Raises:
        SwaytrainerError: the folder can't be made or the process can't be started.
    """
    try:
        folder = Path(tempfile.mkdtemp(prefix="swaytrainer-level-"))
        levels = folder / "home" / "levels"
        levels.mkdir(parents=True)
        # The demo takes the first level of its list, and 0 comes before all that are shipped.
        (levels / f"0-{level.id}.toml").write_text(text, encoding="utf-8")
        return subprocess.Popen(command(level, folder))
    except OSError as error:
        raise SwaytrainerError(
            f"The simulator can't be started: {error.strerror}.", "Free some space and try again."
        ) from None


def command(level: Level, folder: Path) -> list[str]:
    """The command line that shows a level in ``folder``."""
    return [
        *(sys.executable, "-m", "swaytrainer", "--home", str(folder / "home"), "--mute", "demo"),
        *("--seconds", f"{level.seconds:g}", "--out", str(folder / "out")),
    ]
