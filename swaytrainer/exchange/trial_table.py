"""A recorded trial as a table that every format is written from: tared and unfiltered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.recording import Recording
from swaytrainer.store.trials import RecordedTrial, trials_of
from swaytrainer.sway.cop import Array, Places, cop_arrays
from swaytrainer.words import Name, say

#: With less than this nobody is on the plate and there is no COP, as everywhere else here.
EMPTY_N: Final = 20.0
FRAME: Final = (
    "Seen from above, vaulter facing forward: x to the right, y forward, origin at the plate's"
    " centre. Force on the plate, downwards positive. Tared, not filtered."
)
UNITS: Final = {"time_s": "s", "force_n": "N", "cop_x_mm": "mm", "cop_y_mm": "mm"}


@dataclass(frozen=True, slots=True, eq=False)
class TrialTable:
    """One trial.

    Attributes:
        columns: name → shape (N,): ``UNITS``' columns, then each cell's load, ``cell_1_n`` and so
            on. The COP is NaN where nobody was on the plate.
        about: what a reader must know, as text by key.
        places: where the cells are, mm, in the order of their columns.
        rate_hz: the board's.
    """

    columns: dict[str, Array]
    about: dict[str, str]
    places: Places
    rate_hz: float

    @property
    def time_s(self) -> Array:
        """Seconds since the trial began, shape (N,)."""
        return self.columns["time_s"]


def trial_table(recording: Recording, number: int | None = None) -> TrialTable:
    """One trial of a recording.

    Args:
        recording: read.
        number: of the trial; None where there is but one.

    Raises:
        SwaytrainerError: there is no such trial, more than one to choose from, or it is empty.
    """
    trials = {trial.outcome.number: trial for trial in trials_of(recording)}
    if not trials:
        raise SwaytrainerError(
            say("The recording holds no finished trial."),
            say("Give one in which a trial came to its end."),
        )
    told = ", ".join(map(str, trials))
    if number is None and len(trials) > 1:
        raise SwaytrainerError(
            say("The recording holds trials {told}.", told=Name(told)),
            say("Choose one with --trial NUMBER."),
        )
    chosen = next(iter(trials)) if number is None else number
    if chosen not in trials:
        raise SwaytrainerError(
            say("The recording holds no trial {chosen}.", chosen=Name(chosen)),
            say("Choose one of {told} with --trial.", told=Name(told)),
        )
    return _table(recording, trials[chosen])


def _table(recording: Recording, trial: RecordedTrial) -> TrialTable:
    setup, outcome = recording.setup, trial.outcome
    if trial.time_s.size < 2:
        raise SwaytrainerError(
            say(
                "Trial {number} holds no samples: the signal was lost.", number=Name(outcome.number)
            ),
            say("Choose another one."),
        )
    places = setup.calibration.places
    force_n, x_mm, y_mm, _ = cop_arrays(trial.loads_n, places, EMPTY_N)
    cells = {f"cell_{n}_n": trial.loads_n[:, n - 1] for n in range(1, len(places) + 1)}
    about = {
        "frame": FRAME,
        "cells": "; ".join(
            f"cell_{n}_n at x {x:.3f} mm, y {y:.3f} mm" for n, (x, y) in enumerate(places, 1)
        ),
        "made": recording.made,
        "vaulter": setup.vaulter.name,
        "level": setup.level.id,
        "board": setup.board.board_id,
        "trial": str(outcome.number),
        "ended": outcome.ended,
        "written by": f"swaytrainer {recording.version}",
    }
    time_s = trial.time_s - trial.time_s[0]
    columns = {"time_s": time_s, "force_n": force_n, "cop_x_mm": x_mm, "cop_y_mm": y_mm, **cells}
    return TrialTable(columns, about, places, setup.board.rate_hz)
