"""``swaytrainer office``: the coach's desk, for whoever has no terminal."""

from __future__ import annotations

import argparse
import signal

from swaytrainer.app.scope import qt_speaks, require_qt
from swaytrainer.store.home import Home
from swaytrainer.words import language


def office(_options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status.

    Raises:
        SwaytrainerError: there is no display, or a library is missing.
    """
    require_qt()
    from PySide6 import QtCore, QtWidgets

    from swaytrainer.office.window import Office

    application = QtWidgets.QApplication.instance() or QtWidgets.QApplication(["swaytrainer"])
    # Fields for numbers write them as the language does that was asked for.
    QtCore.QLocale.setDefault(QtCore.QLocale(language()))
    translators = qt_speaks(application)
    window = Office(home)
    window.show()
    signal.signal(signal.SIGINT, lambda *_: application.quit())
    try:
        return int(application.exec())
    finally:
        for translator in translators:
            application.removeTranslator(translator)
