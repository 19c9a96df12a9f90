"""``swaytrainer scope``: the coach's window beside the game, fed by the recording it writes."""

from __future__ import annotations

import argparse
import ctypes
import os
import signal
import sys
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.words import SOURCE, Name, language, say

if TYPE_CHECKING:
    from PySide6 import QtCore

#: Qt comes without these system libraries; on a bare Debian they are in packages of their own.
_PACKAGES: Final = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
}
#: ... and these for a window under X11. Without one of them Qt ends the process, so each is tried.
_X11_PACKAGES: Final = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
#: Only so many of the newest recordings are asked whether they grow.
_NEWEST: Final = 20


def scope(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status."""
    files: list[Path] = options.files
    if len(files) > 2:
        raise SwaytrainerError(
            say("{n} recordings don't fit side by side.", n=len(files)),
            say("Give one or two."),
        )
    for path in files:
        if not path.is_file():
            raise SwaytrainerError(
                say("There is no recording {path}.", path=Name(path)),
                say("Check the path; 'swaytrainer list' shows all."),
            )
    require_qt()
    from PySide6 import QtWidgets

    from swaytrainer.app.editor import Tries, try_for_squad
    from swaytrainer.scope.editor import Editor
    from swaytrainer.scope.source import Source
    from swaytrainer.scope.window import ScopeWindow

    def new_source(path: Path) -> Source:
        return Source(path, options.plate_mass or 0.0)

    def find_next() -> Path | None:
        return newest(home)

    application = QtWidgets.QApplication.instance() or QtWidgets.QApplication(["swaytrainer"])
    paths = files or [path for path in [find_next()] if path is not None]
    translators = qt_speaks(application)
    tries = Tries()
    editor = Editor(home.path / "levels", tries.begin, partial(try_for_squad, home.path))
    try:
        window = ScopeWindow(paths, new_source, None if files else find_next, editor)
        window.show()
        window.start()
        # Python hears Ctrl-C while the window's timer runs; without this it would be an error in
        # it. Whoever ends the process otherwise must not leave others behind either.
        for ending in (signal.SIGINT, signal.SIGTERM):
            signal.signal(ending, lambda *_: application.quit())
        return int(application.exec())
    finally:
        editor.close_down()
        tries.close()
        for translator in translators:
            application.removeTranslator(translator)


def qt_speaks(application: QtCore.QCoreApplication) -> list[QtCore.QTranslator]:
    """Let Qt's own dialogues speak the language in use, as far as it has it."""
    from PySide6 import QtCore

    folder = QtCore.QLibraryInfo.path(QtCore.QLibraryInfo.LibraryPath.TranslationsPath)
    translator = QtCore.QTranslator(application)
    if language() == SOURCE or not translator.load(f"qtbase_{language()}", folder):
        return []
    application.installTranslator(translator)
    return [translator]


def newest(home: Home) -> Path | None:
    """The recording that was written to last, None if there is none yet."""
    from swaytrainer.store.growing import newest_growing

    return newest_growing(home.recordings()[-_NEWEST:])


def require_qt() -> None:
    """See that the window can open.

    Raises:
        SwaytrainerError: a library is missing, and which package has it; or there is no display.
    """
    platform = os.environ.get("QT_QPA_PLATFORM", "")
    if sys.platform.startswith("linux") and not platform:
        wayland, x11 = os.environ.get("WAYLAND_DISPLAY"), os.environ.get("DISPLAY")
        if not (wayland or x11):
            raise SwaytrainerError(
                say("There is no display for the coach's window."),
                say("Start it on a screen; 'swaytrainer analyse' needs none."),
            )
        if not wayland:
            _require_x11(_X11_PACKAGES)
    try:
        import pyqtgraph  # noqa: F401
        from PySide6 import QtWidgets  # noqa: F401
    except ModuleNotFoundError as error:
        raise SwaytrainerError(
            say("The coach's window needs {name}, which is not installed.", name=Name(error.name)),
            say("Install it with: pip install 'swaytrainer[coach]'"),
        ) from None
    except ImportError as error:
        raise missing_library(str(error)) from None


def _require_x11(packages: Mapping[str, str]) -> None:
    """Raise an error that names every package that is missing at once."""
    missing = []
    for library, package in packages.items():
        try:
            ctypes.CDLL(library)
        except OSError:
            missing.append(package)
    if missing:
        raise SwaytrainerError(
            say("The coach's window needs system libraries that are not installed."),
            say("On Debian: sudo apt install {packages}", packages=Name(" ".join(missing))),
        )


def missing_library(why: str) -> SwaytrainerError:
    """The error for what the loader said.

    >>> why = "libEGL.so.1: cannot open shared object file: No such file or directory"
    >>> print(missing_library(why))
    The coach's window needs the system's library libEGL.so.1. On Debian: sudo apt install libegl1
    """
    for library, package in _PACKAGES.items():
        if library in why:
            return SwaytrainerError(
                say(
                    "The coach's window needs the system's library {library}.",
                    library=Name(library),
                ),
                say("On Debian: sudo apt install {package}", package=Name(package)),
            )
    return SwaytrainerError(
        say("The coach's window can't be opened: {why}.", why=Name(why)),
        say("Install the system's package that has this library."),
    )
