"""The desk's window: a page for each thing that a coach does besides watching."""

from __future__ import annotations

from PySide6 import QtGui, QtWidgets

from swaytrainer.office.contest_page import ContestPage
from swaytrainer.office.evening_page import EveningPage
from swaytrainer.office.keep_page import KeepPage
from swaytrainer.office.page import Page
from swaytrainer.office.progress_page import ProgressPage
from swaytrainer.office.runner import Runner
from swaytrainer.office.start_page import StartPage
from swaytrainer.office.style import WINDOW
from swaytrainer.office.vaulters_page import VaultersPage
from swaytrainer.store.home import Home
from swaytrainer.words import tr


class Office(QtWidgets.QMainWindow):
    """See the module.

    Args:
        home: the data folder.
    """

    def __init__(self, home: Home) -> None:
        super().__init__()
        self.runner = Runner(home.path)
        self.runner.stand_by()
        self.setWindowTitle(tr("swaytrainer: the coach's desk"))
        self.setStyleSheet(WINDOW)
        room = self.screen().availableGeometry()
        # A frame of its own stands around it; a small laptop's screen is 768 high.
        self.resize(min(1180, room.width()), min(780, room.height() - 48))
        self.pages: dict[str, Page] = {
            "Start": StartPage(self.runner),
            "Vaulters": VaultersPage(self.runner, home),
            "Tonight": EveningPage(self.runner, home),
            "Progress": ProgressPage(self.runner, home),
            "Competition": ContestPage(self.runner, home),
            "Keeping": KeepPage(self.runner, home),
        }
        self.tabs = QtWidgets.QTabWidget()
        for title, page in self.pages.items():
            self.tabs.addTab(page, tr(title))
        self.tabs.currentChanged.connect(lambda _: self.page.refresh())
        self.setCentralWidget(self.tabs)
        self.statusBar().showMessage(tr("F1: what this page is for"))
        QtGui.QShortcut(QtGui.QKeySequence("F1"), self, self.show_help)

    @property
    def page(self) -> Page:
        """The one that is open."""
        return list(self.pages.values())[self.tabs.currentIndex()]

    def show_help(self) -> None:
        """What the open page is for."""
        box = QtWidgets.QMessageBox(self)
        box.setWindowTitle(self.tabs.tabText(self.tabs.currentIndex()))
        box.setText(tr(self.page.HELP))
        box.open()

    def closeEvent(self, event: QtGui.QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """What has a window of its own goes on; what was only asked is stopped."""
        for title, page in self.pages.items():
            question = page.unkept()
            if question and not page.sure(title, question):
                event.ignore()
                return
        self.runner.close()
        super().closeEvent(event)
