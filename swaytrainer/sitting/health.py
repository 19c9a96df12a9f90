"""What the board says or shows of its own condition, in sentences for the screen."""

from __future__ import annotations

from typing import Final

from swaytrainer.board import wire
from swaytrainer.sway.cop import CopSample

_CELLS: Final = ("front left", "front right", "rear left", "rear right")
#: Twist beyond this share of the force, for this long, is no person's doing (our own limit).
TWIST_SHARE: Final = 0.15
TWIST_FOR_S: Final = 1.0
RATE_SHARE: Final = 0.05
_SAMPLES_FOR_RATE: Final = 40
GRAVITY: Final = 9.80665


def _cell(status: int, shift: int) -> str:
    return next(name for i, name in enumerate(_CELLS) if status >> (shift + i) & 1)


class Health:
    """Collects warnings, and the faults that spoil a trial.

    Args:
        rate_hz: the board's nominal rate.
        load_limit_kg: what may stand on it.
    """

    def __init__(self, rate_hz: float, load_limit_kg: float) -> None:
        self._nominal_s = 1.0 / rate_hz
        self._step_s = self._nominal_s
        self._steps = 0
        self._rate_is_wrong = False
        self._limit_n = load_limit_kg * GRAVITY
        self._limit_kg = load_limit_kg
        self._twisted_s = 0.0
        self._status = 0
        self._overloaded = False
        self._cop = CopSample(0.0, 0.0, 0.0, 0.0, 0.0)
        self.foreign: str | None = None

    @property
    def rate_hz(self) -> float:
        """The measured rate of samples, lost ones counted."""
        return 1.0 / self._step_s

    def step(self, step_s: float, frames: int) -> None:
        """An interval of ``step_s`` in which the board sent ``frames`` frames."""
        # A running mean over some 40 samples; steady enough to tell 10 or 76 from 80 a second.
        self._step_s += (step_s / frames - self._step_s) / _SAMPLES_FOR_RATE
        self._steps += 1
        self._rate_is_wrong = (
            self._steps > 2 * _SAMPLES_FOR_RATE
            and abs(self._step_s / self._nominal_s - 1.0) > RATE_SHARE
        )

    def fault(self, status: int, cop: CopSample, step_s: float) -> str | None:
        """Take one sample; a sentence if it spoils the trial."""
        self._status = status
        self._cop = cop
        force = cop.force_n
        self._overloaded = overloaded = force > self._limit_n
        if force > 100.0 and abs(cop.twist_n) > TWIST_SHARE * force:
            self._twisted_s += step_s
        else:
            self._twisted_s = 0.0
        if not (status or overloaded or self._rate_is_wrong):
            return None
        found = self.warnings()
        return found[0] if found and found[0] != _SUPPLY else None

    def warnings(self) -> list[str]:
        """All that is wrong now, worst first."""
        found = []
        status = self._status
        if self.foreign is not None:
            found.append(self.foreign)
        if status & wire.STATUS_SELF_TEST:
            found.append("The board failed its self-test: do not use it.")
        if self._overloaded:
            found.append(f"More than {self._limit_kg:.0f} kg on the board: step off.")
        if status & wire.STATUS_MISSING:
            found.append(f"No signal from the {_cell(status, 0)} cell: check its cable.")
        if status & wire.STATUS_SATURATED:
            found.append(f"The {_cell(status, 4)} cell is beyond its range.")
        if status & wire.STATUS_STUCK:
            found.append(f"The {_cell(status, 8)} cell is stuck: check its cable.")
        if self._rate_is_wrong or status & wire.STATUS_RATE:
            found.append(
                f"The board sends {self.rate_hz:.0f} samples a second"
                f" instead of {1.0 / self._nominal_s:.0f}: check its rate pin."
            )
        if self._twisted_s >= TWIST_FOR_S:
            found.append("The board rocks or a cell binds: check its feet and the floor.")
        if status & wire.STATUS_SUPPLY:
            found.append(_SUPPLY)
        return found


_SUPPLY: Final = "The board's supply is low: charge it or use another USB port."
