"""The coach's word: the level that somebody does from now on, and why."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6 import QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office.forms import Form
from swaytrainer.office.group_form import level_words
from swaytrainer.office.page import label
from swaytrainer.store.coach_file import check_note
from swaytrainer.training.level import Level
from swaytrainer.words import Name, say, short, tr

#: Letters of a name above the form.
_WIDEST = 40


class WordForm(Form):
    """A level and a note.

    Args:
        parent: the page.
        vaulter: about whom.
        levels: all that there are.
        current: the level to begin with, by its id; None for the first.
        keep: told the chosen level's id and the note.
    """

    def __init__(
        self,
        parent: QtWidgets.QWidget,
        vaulter: str,
        levels: Sequence[Level],
        current: str | None,
        keep: Callable[[str, str], None],
    ) -> None:
        super().__init__(
            parent, say("The coach's word on {name}", name=Name(short(vaulter, _WIDEST)))
        )
        self._keep = keep
        self.level = QtWidgets.QComboBox()
        # As wide as its place, whatever a club calls its levels.
        self.level.setSizeAdjustPolicy(
            QtWidgets.QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        for level in levels:
            self.level.addItem(level_words(level), level.id)
        self.level.setCurrentIndex(max(0, self.level.findData(current)))
        self.note = QtWidgets.QLineEdit()
        self.note.setMinimumWidth(460)
        self.note.setPlaceholderText(tr("It stands on the vaulter's page."))
        lines = QtWidgets.QFormLayout()
        lines.addRow(tr("Level from now on"), self.level)
        lines.addRow(tr("Why, in one line"), self.note)
        self.column.addLayout(lines)
        self.end_with(
            label(
                "Your word goes before what the ladder suggests, up or down. A level that needs a"
                " spotter is offered only when the gym was opened with one."
            )
        )

    def keep(self) -> None:
        """Hand both on.

        Raises:
            SwaytrainerError: there is no note, or one that no page holds.
        """
        note = self.note.text().strip()
        if not note:
            raise SwaytrainerError(
                say("The reason is missing."),
                say("Say why: whoever reads the page later wants to know."),
            )
        check_note(note)
        self._keep(self.level.currentData(), note)
