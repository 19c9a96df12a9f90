"""A process on call: it has loaded what the tables need, and runs the one command it is then told.

``python -m swaytrainer.on_call FOLDER``. The desk keeps one. Loading takes longer than answering;
so a table opens as soon as it is asked for, and each command still has a process of its own. It
brings the data folder's index up to date meanwhile, and reads one line from its standard input, a
JSON list of arguments; at the end of the input without one it ends.
"""

from __future__ import annotations

import contextlib
import gc
import json
import os
import sys
from pathlib import Path
from typing import NoReturn


def main() -> NoReturn:
    """Load, wait, run, and end with the command's exit status."""
    from swaytrainer.cli import main as command

    # Whatever is wrong is told by the command itself.
    with contextlib.suppress(Exception):
        _get_ready(Path(sys.argv[1]))
    # All that is loaded stays: nobody need look through it while an answer is waited for.
    gc.freeze()
    line = sys.stdin.readline()
    code = command(json.loads(line)) if line.strip() else 0
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:  # as it is where there was no room left for the output
            with contextlib.suppress(OSError):
                stream.flush()
    # To take down all that was loaded would keep the answer waiting.
    os._exit(code)


def _get_ready(folder: Path) -> None:
    """Ask what is asked most, for nobody: then all of it is loaded."""
    from datetime import datetime

    from swaytrainer.app import ladder, progress, squad, squad_table  # noqa: F401 - loaded
    from swaytrainer.store.home import Home

    if folder.is_dir():
        squad_table.squad_sheet(Home(folder), datetime.now().astimezone().date())


if __name__ == "__main__":
    main()
