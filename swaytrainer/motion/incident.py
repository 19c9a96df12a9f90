"""What may happen in a trial besides standing, and the limits that tell one from another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from swaytrainer.errors import SwaytrainerError

#: Standard gravity, m/s²; a few thousandths from place to place do not matter here.
GRAVITY_M_S2: Final = 9.80665


class Kind(StrEnum):
    """What was seen."""

    SUPPORT = "support taken"
    LOADED = "more weight"
    STEP = "step"
    HOP = "hop"
    STEP_OFF = "stepped off"
    FALL = "fall"
    LEFT = "left the board"  # how can't be told


LEAVING: Final = (Kind.STEP_OFF, Kind.FALL, Kind.LEFT)


@dataclass(frozen=True, slots=True)
class Incident:
    """One thing that happened, in board time.

    Attributes:
        kind: what it looked like.
        start_s, end_s: from its first sign to its last. Of a leaving, the end is when the board
            was empty; of a hop, when the feet were back.
        why: what was seen, as a sentence.
        missing_percent: mean share of the weight that the board did not feel (negative: that it
            felt in excess); NaN but for support and more weight.
        shift_x_mm, shift_y_mm: mean COP during a support, or after a step, less that before; NaN
            for other kinds, or where it is not known.
        air_s: time in the air of a hop; NaN for other kinds.
    """

    kind: Kind
    start_s: float
    end_s: float
    why: str
    missing_percent: float = math.nan
    shift_x_mm: float = math.nan
    shift_y_mm: float = math.nan
    air_s: float = math.nan

    @property
    def seconds(self) -> float:
        """How long it lasted."""
        return self.end_s - self.start_s


@dataclass(frozen=True, slots=True)
class Limits:
    """Where one thing ends and another begins.

    "Real trials" are the 24 standing trials of Santos & Duarte, PeerJ 2016;4:e2648 (two adults,
    firm and foam, eyes open and closed, 60 s); what is said of them was computed from them.

    Attributes:
        reach_m: how far a body's centre goes up and down while both feet stay on the board. The
            centre lies at some 0.56 of the height (from memory) and drops to about half of that
            in a full squat: 0.45 m for a tall adult. 0.40 m leaves out his fullest squat only.
        weight_share: how far a weight taken at the start may be wrong or drift away. In the real
            trials the force, less the mean of its first 3 s, stayed within 0.15 % over 2 to 8 s.
        given_share: the same for a weight that was told: a home-built board promises ± 1 %.
        drift_n: by how much the zeros may drift within a trial, N (ours; it matters for children).
        learn_s: the weight is the median of the force over so long.
        least_n: lighter than any vaulter: no weight.
        air_share: below this share of the weight nobody stands on the board. The live filter's
            swing after a quick unloading is some 4 % (a second-order Butterworth's overshoot).
        back_share: from this share on somebody is on it again.
        air_least_s: a shorter dip of the force is a foot's bounce or a knock.
        air_most_s: nobody jumps longer: 0.7 s are g·t²/8 = 0.6 m.
        push_share, landing_share: a jump of 0.1 s needs an upward speed of g·t/2 = 0.49 m/s. Won
            by a half-sine over as much as 0.35 s, that is a peak of 1 + v·π/(2·g·0.35) = 1.22
            weights; landed within 0.3 s, of 1.26. Some room is left.
        swing_mm: to lift one foot, the COP must be under the other: at half the stance less half
            a foot's breadth, or 36 mm for a child with 150 mm between the feet. In the real
            trials x stayed within 23 mm of its last two seconds' mean.
        swing_stance_share: the same as a share of half the stance, where that is known.
        swing_mm_s: COP speed over 0.1 s while a foot is lifted: 36 mm within 0.3 s are 120 mm/s
            on average and 1.5 times as much at the peak of a smooth way. Real trials: up to 149.
        moved_mm: one foot set down elsewhere moves the middle by half its way; less than this is
            a foot set down where it was. (In the real trials the means of two seconds lie up to
            28 mm apart, so that place alone shows no step.)
        hurry_s: from the last quiet moment to the empty board. Whoever means to step off shifts
            the weight first, stands on one foot, then unloads it: some 0.8 s and more even when
            walking off at once (from memory of gait initiation), of which the first tenths are not
            yet away from the quiet place. A fall leaves no time for that.
        drop_s, hurried_step_s: when walking, one foot hands the weight to the other within some
            0.12 s (a tenth of a stride, from memory), and stepping down takes longer. A last foot
            that is unloaded quicker, at the end of a way off that took less than the other limit,
            handed it to nothing.
        edge_mm: COP so far before or behind its quiet place with both feet loaded is at the edge
            of the feet; an ordinary shift of weight before a step goes 20-40 mm (from memory).
    """

    reach_m: float = 0.40
    weight_share: float = 0.005
    given_share: float = 0.010
    drift_n: float = 0.5
    learn_s: float = 3.0
    least_n: float = 100.0
    air_share: float = 0.12
    back_share: float = 0.25
    air_least_s: float = 0.06
    air_most_s: float = 0.70
    push_share: float = 1.12
    landing_share: float = 1.15
    swing_mm: float = 28.0
    swing_stance_share: float = 0.5
    swing_mm_s: float = 170.0
    moved_mm: float = 12.0
    hurry_s: float = 0.65
    drop_s: float = 0.10
    hurried_step_s: float = 1.2
    edge_mm: float = 45.0

    def __post_init__(self) -> None:
        for name in self.__slots__:
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0.0):
                raise SwaytrainerError(
                    f"The limit {name} must be a number above zero, not {value}.",
                    "Leave it out to take the usual one.",
                )

    def tolerance(self, weight_n: float, learned: bool) -> float:
        """How much of the weight may seem to be missing though nothing is (share)."""
        return (self.weight_share if learned else self.given_share) + self.drift_n / weight_n

    def missing_share(self, seconds: float) -> float:
        """The largest missing share that a moving body explains over ``seconds``: 8·d/(g·T²).

        >>> [round(Limits().missing_share(t), 4) for t in (1.0, 2.0, 4.0, 8.0)]
        [0.3263, 0.0816, 0.0204, 0.0051]
        """
        return 8.0 * self.reach_m / (GRAVITY_M_S2 * seconds * seconds)
