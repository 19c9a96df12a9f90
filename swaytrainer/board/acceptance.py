"""Acceptance in a minute: is this calibrated board fit to train on?

The empty board; somebody on it leaning left, right, onto the heels, onto the toes; one known mass
in the middle; the empty board again. From the mean counts of these seven follow the verdict and,
for a failed board, what is probably wrong with it. Two cells' cables swapped, or one cell wired
the other way round, are offered as a corrected calibration.

How it tells them apart: a lean is known only by its direction, not by its size, but that is enough
to know which count is which corner's: of the 24 orders and 16 signs of four counts just one lets
all four leans go where they were asked to go without any cell pulling, and without twist. A plate
that rocks shows twist while the leans are right. Whoever leans weighs the same in every lean, and
the mass weighs what it weighs: one cell's wrong gain explains both alike, a plate that leans
against something doesn't. A zero that doesn't come back is a loose screw's.

The limits are those of a home-built board (force ±1 %, COP ±2 mm); those of twist, noise and zero
are our own.
"""

from __future__ import annotations

import math
from typing import Final

from swaytrainer.board import wire
from swaytrainer.board.calibration import Calibration, Vector4
from swaytrainer.board.findings import (
    LEANS,
    Finding,
    Step,
    Trouble,
    Verdict,
    cop_of,
    difference,
)
from swaytrainer.board.fit import CELL_NAMES
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.judging import judge
from swaytrainer.board.steady import LastSecond, Mean
from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import say

#: Read before anybody is asked to stand on the board; the coach and the club have the last word.
CAUTIONS: Final = (
    "Board on a mat on a level, dry floor, two metres clear all round.",
    "A coach or spotter beside it; a wall bar or a hand-hold within reach.",
    "Bare feet or vaulting shoes. Keep to the board's load limit.",
    "Lean only as far as is easy. Stop at once on pain or dizziness.",
    "Your coach, your club's rules and your doctor's word come first.",
)
#: Below the picture as long as somebody is to lean.
LEANING_CAUTION: Final = (
    "A spotter near, a hand on the support. Only as far as is easy; stop on pain or dizziness."
)

RATE_SHARE: Final = 0.05

#: Live, a little further is asked for than ``judge`` needs, mm.
LEANS_WELL_MM: Final = 20.0
_SOMEBODY_N: Final = 100.0
_NOBODY_N: Final = 60.0
_STEADY_COUNTS: Final = 1200.0
#: Patience with a lean that doesn't seem to go where it should.
_FIRST_PATIENCE_S, _PATIENCE_S = 6.0, 3.0
_EMPTY_PATIENCE_S: Final = 15.0
_MISSING_SAMPLES: Final = 20
_RATE_SAMPLES: Final = 12


class Check:
    """The state machine. Pure: fed with samples, asked for what to do next and for the verdict.

    Args:
        calibration: the one in use.
        board_id, rate_hz: from the board's hello.
        mass_kg: the known mass.
        gravity_m_s2: the place's own, if known.

    Attributes:
        verdict: None until it is done.
        hint: why it waits, if something isn't as asked for.
    """

    def __init__(
        self,
        calibration: Calibration,
        board_id: str,
        rate_hz: float,
        mass_kg: float,
        gravity_m_s2: float = STANDARD_GRAVITY,
    ) -> None:
        self.calibration = calibration
        self.mass_kg = mass_kg
        self.verdict: Verdict | None = None
        self.hint = ""
        self._weight_n = mass_kg * gravity_m_s2
        self._nominal_s = 1.0 / rate_hz
        self._taken: dict[Step, Mean] = {}
        self._second = LastSecond()
        self._status = 0
        self._missing = 0
        self._steps: list[float] = []
        self._last_s: float | None = None
        self._waits_since_s: float | None = None
        self._off_seen = False
        self._newest: Mean | None = None
        if board_id != calibration.board_id:
            self.verdict = Verdict(
                (
                    Finding(
                        Trouble.ID,
                        say(
                            "Board {board} is connected, but the calibration is of board {other}.",
                            board=board_id,
                            other=calibration.board_id,
                        ),
                        "Connect the right board, or calibrate this one.",
                    ),
                )
            )

    @property
    def step(self) -> Step | None:
        """What is asked for now; None when it is done."""
        if self.verdict is not None:
            return None
        return next((s for s in Step if s not in self._taken), None)

    @property
    def pressed(self) -> tuple[float, float, float] | None:
        """For a picture: force (N) and COP (mm) of the newest second, against the empty board.

        None before both were seen; the COP is NaN while nobody and nothing is on the board.
        """
        if self._newest is None or Step.EMPTY not in self._taken:
            return None
        loads = self._change(self._newest)
        force = math.fsum(loads)
        x, y = cop_of(self.calibration, loads) if force > _NOBODY_N else (math.nan, math.nan)
        return force, x, y

    @property
    def instruction(self) -> str:
        """What to do now, one line."""
        step = self.step
        return "Done." if step is None else {
            Step.EMPTY: "Leave the board empty.",
            Step.LEFT: "Step on, feet on the marks, a hand on a support. Lean LEFT and hold.",
            Step.RIGHT: "Lean RIGHT and hold.",
            Step.HEELS: "Weight on the HEELS, toes lifted, and hold.",
            Step.TOES: "Up on the TOES (the balls of the feet), and hold.",
            Step.WEIGHT: say("Step off. Put {mass:g} kg on the middle mark.", mass=self.mass_kg),
            Step.EMPTY_AGAIN: "Take it off and leave the board empty.",
        }[step]  # fmt: skip

    def update(self, time_s: float, counts: Vector4, status: int = 0) -> bool:
        """Take one sample; True when a step was just taken or the verdict is there."""
        if self.verdict is not None:
            return False
        if self._stream_is_wrong(time_s, status):
            return True
        if status & (wire.STATUS_MISSING | wire.STATUS_MIXED):
            return False
        mean = self._second.update(time_s, counts)
        self._newest = mean or self._newest
        step = self.step
        if mean is None or step is None or not self._accept(step, mean):
            return False
        self._taken[step] = mean
        self._second.restart()
        self._waits_since_s = None
        self.hint = ""
        if step is Step.EMPTY_AGAIN:
            self.verdict = judge(
                self.calibration, self._taken, self._weight_n, self.mass_kg, self._status
            )
        return True

    def _stream_is_wrong(self, time_s: float, status: int) -> bool:
        """Faults that make all further steps pointless."""
        self._status |= status
        if self._last_s is not None:
            self._steps.append(time_s - self._last_s)
        self._last_s = time_s
        found = None
        if len(self._steps) == _RATE_SAMPLES:
            usual = sorted(self._steps)[_RATE_SAMPLES // 2]
            self._steps.clear()
            if abs(usual / self._nominal_s - 1.0) > RATE_SHARE:
                found = Finding(
                    Trouble.RATE,
                    say(
                        "The board sends {rate:.0f} samples a second instead of {nominal:.0f}.",
                        rate=1.0 / usual,
                        nominal=1.0 / self._nominal_s,
                    ),
                    "Set the rate pin of each converter high.",
                )
        missing = status & wire.STATUS_MISSING
        self._missing = self._missing + 1 if missing else 0
        if self._missing >= _MISSING_SAMPLES:
            cell = next(n for i, n in enumerate(CELL_NAMES) if missing >> i & 1)
            found = Finding(
                Trouble.DEAD,
                say("No signal from the {cell} cell.", cell=cell),
                "Check its converter and cables.",
            )
        if found is not None:
            self.verdict = Verdict((found,))
        return found is not None

    def _accept(self, step: Step, mean: Mean) -> bool:
        if step in LEANS:
            return self._leans(step, mean)
        # White noise alone spreads over five to six times its rms in a second.
        quiet = all(
            spread < max(_STEADY_COUNTS, 10.0 * calm)
            for spread, calm in zip(mean.spread_counts, mean.calm_counts, strict=True)
        )
        if step is Step.EMPTY:
            loads = self.calibration.loads(mean.counts)
            if quiet and abs(sum(loads)) < 2.0 * _NOBODY_N:
                return True
            self.hint = say(
                "By its calibration {force:.0f} N lie on it: clear the board.", force=sum(loads)
            )
            return quiet and self._waited(mean) > _EMPTY_PATIENCE_S
        if step is Step.EMPTY_AGAIN:
            change = self._change(mean, Step.WEIGHT)
            gone = math.fsum(abs(v) for v in change) > 0.6 * self._weight_n
            return quiet and (gone or self._waited(mean) > _EMPTY_PATIENCE_S)
        borne, body = self._borne(mean), self._borne(self._taken[Step.TOES])
        if borne < max(_NOBODY_N, 0.3 * body):
            self._off_seen = True
        if not (self._off_seen and quiet and borne > 0.5 * self._weight_n):
            return False
        if borne > 2.5 * self._weight_n:
            self.hint = "That is far more than the mass: is somebody on the board?"
            return False
        return True

    def _waited(self, mean: Mean) -> float:
        if self._waits_since_s is None:
            self._waits_since_s = mean.time_s
        return mean.time_s - self._waits_since_s

    def _change(self, mean: Mean, since: Step = Step.EMPTY) -> Vector4:
        return difference(self.calibration, mean, self._taken[since])

    def _borne(self, mean: Mean) -> float:
        return math.fsum(abs(v) for v in self._change(mean))

    def _leans(self, step: Step, mean: Mean) -> bool:
        loads = self._change(mean)
        borne = math.fsum(abs(v) for v in loads)
        if borne < _SOMEBODY_N:
            self._waits_since_s = None
            return False
        before = LEANS[LEANS.index(step) - 1] if step is not Step.LEFT else Step.EMPTY
        moved = max(abs(v) for v in self._change(mean, before))
        spread = [
            abs(g) * s
            for g, s in zip(self.calibration.gain_n_per_count, mean.spread_counts, strict=True)
        ]
        if moved < 0.05 * borne or max(spread) > 0.3 * borne:
            self._waits_since_s = None
            return False
        force = sum(loads)
        x, y = cop_of(self.calibration, loads) if force > 0.2 * borne else (0.0, 0.0)
        if step in (Step.LEFT, Step.RIGHT):
            far = -x if step is Step.LEFT else x
        else:
            _, y_left = cop_of(self.calibration, self._change(self._taken[Step.LEFT]))
            _, y_right = cop_of(self.calibration, self._change(self._taken[Step.RIGHT]))
            middle = 0.5 * (y_left + y_right)
            far = middle - y if step is Step.HEELS else y - middle
        if max(spread) < 0.1 * borne and far > LEANS_WELL_MM:
            return True
        if step is Step.LEFT or far > 0.0:
            self.hint = "A little further, and hold."
        patience = _FIRST_PATIENCE_S if step is Step.LEFT else _PATIENCE_S
        return self._waited(mean) > patience


def check_mass(mass_kg: float) -> None:
    """Refuse a mass that no board is checked with.

    Raises:
        SwaytrainerError: too light or too heavy.
    """
    if not (math.isfinite(mass_kg) and 5.0 <= mass_kg <= 100.0):
        raise SwaytrainerError(
            f"A mass of {mass_kg:g} kg can't check a board.", "Take 5 to 100 kg, in kilograms."
        )
