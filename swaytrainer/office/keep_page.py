"""Everything in one file, and back; the table of all trials."""

from __future__ import annotations

from datetime import datetime

from swaytrainer.office import orders
from swaytrainer.office.page import Page, button, label
from swaytrainer.office.runner import Runner
from swaytrainer.store.home import Home
from swaytrainer.words import say


class KeepPage(Page):
    """Backup, restore, index."""

    HELP = (
        "A backup holds all recordings, vaulters, calibrations and levels: personal data, keep it"
        " where nobody else reads it. It is restored into an empty data folder, on another laptop"
        " too; nothing is ever written over. Whoever was erased stays erased."
    )

    def __init__(self, runner: Runner, home: Home) -> None:
        super().__init__(runner)
        self._home = home
        self.column.addWidget(label(say("The data folder: {folder}", folder=str(home.path))))
        self.row(
            button("Back everything up …", self._backup),
            button("Restore a backup …", self._restore),
            button("Bring the table of trials up to date", lambda: self.ask(orders.INDEX)),
        )
        self.column.addWidget(self.said, 1)

    def _backup(self) -> None:
        day = f"{datetime.now().astimezone():%Y-%m-%d}"
        path = self.new_file("A backup", f"swaytrainer-{day}.zip", "Zip (*.zip)")
        if path is not None:
            self.ask(orders.backup(path))

    def _restore(self) -> None:
        path = self.old_file("A backup", "Zip (*.zip)")
        if path is not None:
            self.ask(orders.restore(path))
