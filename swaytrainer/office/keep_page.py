"""Everything in one file, and back; the table of all trials; a trial for other programs."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office import orders
from swaytrainer.office.page import Page, button, label
from swaytrainer.office.runner import Runner
from swaytrainer.store.home import Home
from swaytrainer.store.recording import read_recording
from swaytrainer.store.trials import trials_of
from swaytrainer.training.outcome import Outcome
from swaytrainer.words import say, tr

_KINDS = "CSV (*.csv);;Parquet (*.parquet);;C3D (*.c3d)"


class KeepPage(Page):
    """Backup, restore, index."""

    HELP = (
        "A backup holds all recordings, vaulters, calibrations and levels: personal data, keep it"
        " where nobody else reads it. It is restored into an empty data folder, on another laptop"
        " too; nothing is ever written over. Whoever was erased stays erased. A single trial can be"
        " handed to a spreadsheet or to a movement laboratory's program."
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
        self.row(button("A trial for another program …", self.hand_on))
        self.column.addWidget(self.said, 1)

    def hand_on(self) -> None:
        """A trial of a recording as a file that other programs read."""
        recording = self.old_file("A recording", "*.sway", str(self._home.path / "recordings"))
        if recording is not None:
            self.trying(lambda: self._hand_on_from(recording))

    def _hand_on_from(self, recording: Path) -> None:
        outcomes = [trial.outcome for trial in trials_of(read_recording(recording))]
        if not outcomes:
            raise SwaytrainerError(
                say("The recording holds no finished trial."),
                say("Give one in which a trial came to its end."),
            )
        at: int | None = 0
        if len(outcomes) > 1:
            lines = [_line_of(outcome) for outcome in outcomes]
            at = self.picked("A trial for another program", "Which one?", lines)
        path = None
        if at is not None:
            name = f"{recording.stem}-{outcomes[at].number}.csv"
            path = self.new_file("A trial for another program", name, _KINDS)
        if at is not None and path is not None:
            kind = path.suffix.lower().removeprefix(".")
            if kind not in ("csv", "parquet", "c3d"):
                self.tell("Give the file one of these endings: .csv, .parquet, .c3d")
                return
            self.ask(orders.trial_for_others(recording, kind, path, outcomes[at].number))

    def _backup(self) -> None:
        day = f"{datetime.now().astimezone():%Y-%m-%d}"
        path = self.new_file("A backup", f"swaytrainer-{day}.zip", "Zip (*.zip)")
        if path is not None:
            self.ask(orders.backup(path))

    def _restore(self) -> None:
        path = self.old_file("A backup", "Zip (*.zip)")
        if path is not None:
            self.ask(orders.restore(path))


def _line_of(outcome: Outcome) -> str:
    if outcome.mark is None:
        return tr(say("Trial {n}: no mark", n=outcome.number))
    return tr(say("Trial {n}: {mark:.1f}", n=outcome.number, mark=outcome.mark))
