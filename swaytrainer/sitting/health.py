"""What the board says or shows of its own condition, in sentences for the screen."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final, NamedTuple

from swaytrainer.board import wire
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.pair import Plate
from swaytrainer.sway.cop import CopSample
from swaytrainer.words import say

_CELLS: Final = ("front left", "front right", "rear left", "rear right")
#: Twist beyond this share of the force, for this long, is no person's doing (our own limit).
TWIST_SHARE: Final = 0.15
TWIST_FOR_S: Final = 1.0
#: A peak is a step or a hop; only what stays is a load.
OVERLOAD_FOR_S: Final = 0.5
RATE_SHARE: Final = 0.05
#: A condition that comes and goes is shown as long as this, so that the screen does not flicker.
SHOWN_FOR_S: Final = 2.0
_SAMPLES_FOR_RATE: Final = 40
_LEAST_N: Final = 100.0


class _Condition(NamedTuple):
    """One thing that can be wrong.

    Attributes:
        spoils: whether a trial during it does not count.
        sentence: of the status word and the measured rate.
    """

    spoils: bool
    sentence: Callable[[int, Health], str]


def _cell(status: int, shift: int, health: Health) -> str:
    name = next((name for i, name in enumerate(_CELLS) if status >> (shift + i) & 1), "a")
    if health.plate is None:
        return name
    return say("{plate} plate's {cell}", plate=health.plate, cell=name)


#: Worst first. The keys are the masks of status bits; the others are found by measuring.
_BY_STATUS: Final[dict[int, _Condition]] = {
    wire.STATUS_SELF_TEST: _Condition(
        True, lambda _status, _health: "The board failed its self-test: do not use it."
    ),
    wire.STATUS_MISSING: _Condition(
        True,
        lambda status, health: say(
            "No signal from the {cell} cell: check its cable.", cell=_cell(status, 0, health)
        ),
    ),
    wire.STATUS_SATURATED: _Condition(
        True,
        lambda status, health: say(
            "The {cell} cell is beyond its range.", cell=_cell(status, 4, health)
        ),
    ),
    wire.STATUS_STUCK: _Condition(
        True,
        lambda status, health: say(
            "The {cell} cell is stuck: check its cable.", cell=_cell(status, 8, health)
        ),
    ),
    wire.STATUS_RATE: _Condition(
        True, lambda _status, _health: "The board's converters run at the wrong rate."
    ),
    wire.STATUS_SUPPLY: _Condition(
        False,
        lambda _status, _health: "The board's supply is low: charge it or use another USB port.",
    ),
}
_OVERLOAD: Final = _Condition(
    True,
    lambda _status, health: say(
        "More than {limit:.0f} kg on the board: step off.", limit=health.limit_kg
    ),
)
_RATE: Final = _Condition(
    True,
    lambda _status, health: say(
        "The board sends {rate:.0f} samples a second instead of {nominal:.0f}: check its rate pin.",
        rate=health.rate_hz,
        nominal=health.nominal_hz,
    ),
)
_TWIST: Final = _Condition(
    False,
    lambda _status, _health: "The board rocks or a cell binds: check its feet and the floor.",
)
_ORDER: Final = (
    _BY_STATUS[wire.STATUS_SELF_TEST],
    _OVERLOAD,
    _BY_STATUS[wire.STATUS_MISSING],
    _BY_STATUS[wire.STATUS_SATURATED],
    _BY_STATUS[wire.STATUS_STUCK],
    _RATE,
    _BY_STATUS[wire.STATUS_RATE],
    _TWIST,
    _BY_STATUS[wire.STATUS_SUPPLY],
)


class Health:
    """Collects warnings, and the faults that spoil a trial.

    Attributes:
        foreign: a sentence while another board's frames come; set by the owner.
        plate: with two plates, the one that the next status is of; set by the owner.
        nominal_hz, limit_kg: as given.

    Args:
        rate_hz: the board's nominal rate.
        load_limit_kg: what may stand on it.
    """

    nominal_hz: float
    limit_kg: float

    def __init__(self, rate_hz: float, load_limit_kg: float) -> None:
        self.nominal_hz = rate_hz
        self.limit_kg = load_limit_kg
        self.foreign: str | None = None
        self.plate: Plate | None = None
        self._step_s = 1.0 / rate_hz
        self._steps = 0
        self._rate_is_wrong = False
        self._limit_n = load_limit_kg * STANDARD_GRAVITY
        self._twisted_s = 0.0
        self._overloaded_s = 0.0
        self._now_s = 0.0
        #: Sentence of each condition met lately, and until when it is shown.
        self._shown: dict[_Condition, tuple[str, float]] = {}

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
            and abs(self._step_s * self.nominal_hz - 1.0) > RATE_SHARE
        )

    def fault(self, status: int, cop: CopSample, step_s: float) -> str | None:
        """Take one sample; a sentence if it spoils the trial."""
        force = cop.force_n
        self._now_s += step_s
        self._overloaded_s = self._overloaded_s + step_s if force > self._limit_n else 0.0
        twisted = force > _LEAST_N and abs(cop.twist_n) > TWIST_SHARE * force
        self._twisted_s = self._twisted_s + step_s if twisted else 0.0
        if not (status or self._overloaded_s or self._twisted_s or self._rate_is_wrong):
            return None
        met = [condition for mask, condition in _BY_STATUS.items() if status & mask]
        if self._overloaded_s >= OVERLOAD_FOR_S:
            met.append(_OVERLOAD)
        if self._rate_is_wrong:
            met.append(_RATE)
        if self._twisted_s >= TWIST_FOR_S:
            met.append(_TWIST)
        spoiling = None
        for condition in sorted(met, key=_ORDER.index):
            sentence = condition.sentence(status, self)
            self._shown[condition] = (sentence, self._now_s + SHOWN_FOR_S)
            if condition.spoils and spoiling is None:
                spoiling = sentence
        return spoiling

    def warnings(self) -> list[str]:
        """All that is wrong now, or was just now, worst first."""
        found = [] if self.foreign is None else [self.foreign]
        for condition in _ORDER:
            sentence, until_s = self._shown.get(condition, ("", -math.inf))
            if until_s > self._now_s:
                found.append(sentence)
        return found
