"""The desk's first page: what a training evening opens."""

from __future__ import annotations

from PySide6 import QtWidgets

from swaytrainer.office import orders
from swaytrainer.office.page import Page, button, label
from swaytrainer.office.runner import Runner
from swaytrainer.words import tr


class StartPage(Page):
    """Opens the gym, the first steps, the coach's window."""

    HELP = (
        "The gym is the screen that the vaulters see: put the laptop two to three metres from the"
        " board. First steps find the board, teach it and add a vaulter; without a board they show"
        " everything simulated. The coach's window shows the running trial in detail, beside it."
    )

    def __init__(self, runner: Runner) -> None:
        super().__init__(runner)
        self.spotter = QtWidgets.QCheckBox(tr("A spotter stands by: offer all levels"))
        self.full = QtWidgets.QCheckBox(tr("Fill the screen"))
        self.full.setChecked(True)
        self.column.addWidget(label("Tonight", bold=True))
        self.row(button("Open the gym", self._gym), self.spotter, self.full)
        self.row(button("First steps, or a try without a board", self._first))
        self.row(button("The coach's window", lambda: self.open(orders.SCOPE)))
        self.column.addSpacing(16)
        self.column.addWidget(label("Before anybody steps on", bold=True))
        self.column.addWidget(
            label(
                "A mat on a level, dry floor, two metres clear all round. Somebody near for"
                " juniors, for closed eyes and for all that wobbles; a hand-hold within reach. Bare"
                " feet or vaulting shoes, the board's load limit. Stop at once on pain, dizziness"
                " or tiredness; after an injury ask a doctor first. You, your club's rules and"
                " licensed practice come first. A training aid, no medical device."
            )
        )
        self.said.setMaximumHeight(90)
        self.column.addStretch(1)
        self.column.addWidget(self.said)

    def _gym(self) -> None:
        self.open(orders.gym(self.spotter.isChecked(), self.full.isChecked()))

    def _first(self) -> None:
        self.open(orders.gym(full_screen=self.full.isChecked(), first_steps=True))
