"""``python -m tests.scope.asking_window PATH``: a coach's window that has asked what never ends.

The process id of whom it asks is written to PATH.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from swaytrainer.app import scope
from swaytrainer.scope.editor import Editor
from swaytrainer.store.home import Home
from tests.scope.test_editor import never_done


class _Asks(Editor):
    def __init__(self, folder: Path, try_it: object, _effect: object) -> None:
        super().__init__(folder, lambda *_: None, never_done)
        self.ask()
        Path(sys.argv[1]).write_text(str(self._asking.pid), encoding="utf-8")


if __name__ == "__main__":
    import swaytrainer.scope.editor as room

    room.Editor = _Asks  # type: ignore[assignment,misc]
    folder = Path(sys.argv[1]).parent
    scope.scope(argparse.Namespace(files=[], plate_mass=None), Home(folder / "home"))
