"""What a trial asks of a game's rules, and what a game's rules know."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, NamedTuple, Protocol

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned


class Markable(NamedTuple):
    """A measure that a level may mark.

    Attributes:
        unit: of its value.
        more_is_better: whether a larger value earns more.
        label: two or three words for the result screen.
    """

    unit: str
    more_is_better: bool
    label: str


class Field(NamedTuple):
    """A number in a level's ``[task]`` table: its range, what it is without, its unit and sense."""

    low: float
    high: float
    usual: float
    unit: str
    meaning: str


class Cue(NamedTuple):
    """Something that the game's rules call out: a word for the sound, and a number with it."""

    word: str
    number: int = 0


@dataclass(frozen=True, slots=True)
class Ground:
    """What a game's rules begin with.

    Attributes:
        level: what is asked.
        feet: where heels, balls and both feet bear.
        rate_hz: the board's nominal rate.
        body_n: the vaulter's weight, from the countdown.
        seed: for its own choices; from the board's stamps, so that a replay chooses the same.
    """

    level: Level
    feet: Feet
    rate_hz: float
    body_n: float
    seed: int


class Task(Protocol):
    """The rules of one running trial. Pure: fed with samples, asked for what it sees.

    Attributes:
        done: the task is over before its time.
        scene: what the game draws from and the sound listens to: a frozen dataclass of its own.
    """

    @property
    def done(self) -> bool:
        """See above."""
        ...

    @property
    def scene(self) -> object:
        """See above."""
        ...

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample of the running trial, on the board or off it.

        Args:
            sample: force and COP, filtered as the live view is (or unfiltered, where the kind
                says so); x and y are NaN off the board.
            elapsed_s: since the trial began.
            gap: the interval before it has no signal.
        """
        ...

    def measures(self) -> dict[str, float]:
        """Every measure of its kind under its key; NaN where there was nothing to measure."""
        ...


#: Words for a part that cost points, and for what to try next.
Explain = Callable[["Level", "PartEarned", Mapping[str, float], "Tally"], str]


@dataclass(frozen=True, slots=True)
class TaskKind:
    """A game, as far as rules and marks go.

    Attributes:
        name: what a level's ``game`` says.
        make: begins one trial's rules; None where the trial's own measures are all there is.
        measures: what it measures beside what every trial does.
        fields: the numbers that a level's ``[task]`` table may hold.
        explain: one line on why a part cost points.
        advise: one line on what to try next for that part.
        praise: the line where nothing cost points.
        lesson: what is said while the game is tried for the first time, unmarked: sentences, each
            with the second until which it stands. At most 20 s in all.
        ready: what is said while the countdown runs, with eyes open.
        half_time: the half of the time is called; not where the game calls orders of its own.
        feedbacks: what a level's ``feedback`` may say; None for anything.
        unfiltered: its rules are fed with unfiltered force and COP: a landing's peak and moment
            would be smoothed away.
        leaves_board: hopping off and on belongs to it, and costs nothing.
        doubted: what may make a trial doubtful: see ``doubts``.
    """

    name: str
    make: Callable[[Ground], Task] | None
    explain: Explain
    advise: Explain
    praise: str
    measures: Mapping[str, Markable] = field(default_factory=dict)
    fields: Mapping[str, Field] = field(default_factory=dict)
    lesson: tuple[tuple[float, str], ...] = ()
    ready: str = "Look far ahead"
    half_time: bool = True
    feedbacks: tuple[str, ...] | None = None
    unfiltered: bool = False
    leaves_board: bool = False
    doubted: tuple[str, ...] = ("weight", "one foot", "nobody")


#: What every trial measures, whatever its game.
COMMON: Final[dict[str, Markable]] = {
    "time_in_band_percent": Markable("%", True, "In the lane"),
    "mean_speed_mm_s": Markable("mm/s", False, "Calm"),
}
