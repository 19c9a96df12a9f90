"""Grooming: the weight leads a brush over a dusty pony's back, all over both soles.

Coverage first: a cell of the coat is clean once the brush has been on it for a while, and the brush
takes up dust only while it is led gently, with both feet down and the whole weight on the board.
Then control: what is clean, less for every second of rough brushing. Both grow only with what was
brushed, so that standing still earns nothing; neither has a use for haste.

Gentle is slow and smooth in one: the length of the COP's way over the last half second, tremor
included, against a limit that grows with the foot. Beyond it the brush takes up less, and at half
as much again nothing. One plate sees a lifted foot as hardly any load
on it, and lifted heels as hardly any load on those; a little lift it cannot see.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.window import WindowSpeed
from swaytrainer.training.tasks.coat import BEYOND, CLEAN_S, Coat, outline
from swaytrainer.training.tasks.explaining import explain_common
from swaytrainer.training.tasks.task import Cue, Field, Ground, Markable, TaskKind
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned

Touch = Literal["gentle", "fast", "lifted", "beyond", "held", "nobody"]

SPEED_S: Final = 0.5
#: Of the limit: here the brush takes up nothing. Ours.
FAR_TOO_FAST: Final = 1.5
#: A foot, or all heels or all toes, with less than this of the load is up, or as good as up.
LIFTED_PERCENT: Final = 7.0
#: Weight that is missing: on a hand-hold, or in a jump. A tenth would not count at all.
HELD_SHARE: Final = 0.05
#: Rough for this share of the trial leaves nothing of the control. Ours.
ROUGH_SHARE: Final = 0.25
#: The brush is looked at so often: at 1,000 samples a second not with each.
_RUB_EVERY_S: Final = 0.02
#: A call for rough brushing is not repeated sooner.
_CALL_EVERY_S: Final = 2.0
#: A tenth of the coat brings a call.
_TENTHS: Final = 10

FIELDS: Final[dict[str, Field]] = {
    "middle_percent": Field(30, 60, 45, "% toe share", "the middle of the coat"),
    "side_percent": Field(8, 36, 20, "%", "share of the load moved aside at its edge"),
    "front_percent": Field(10, 45, 28, "%", "share moved towards the toes at its edge"),
    "back_percent": Field(10, 40, 24, "%", "share moved towards the heels at its edge"),
    "brush_percent": Field(6, 25, 13, "%", "half the brush's width, of the way from heel to ball"),
    "limit_percent_s": Field(
        20, 150, 50, "%/s", "faster is rough: of the way from heel to ball in a second"
    ),
}


@dataclass(frozen=True, slots=True)
class GroomingScene:
    """What the picture and the sound need.

    Attributes:
        elapsed_s: since the beginning.
        u, v: the brush, -1 to 1 at the coat's edges; NaN off the board.
        touch: how it is led.
        haste: speed over its limit; NaN until there is one.
        cells: where the cells are; always the same.
        rubbed: of each, 0 (dusty) to 1 (clean).
        clean_percent: how much is clean.
        rough_s: seconds of rough brushing so far; those a little too fast count in part.
        brush_u, brush_v: half the brush's width and length.
    """

    elapsed_s: float
    u: float
    v: float
    touch: Touch
    haste: float
    cells: tuple[tuple[float, float], ...]
    rubbed: tuple[float, ...]
    clean_percent: float
    rough_s: float
    brush_u: float
    brush_v: float


class GroomingTask:
    """The rules of one trial; see the module."""

    def __init__(self, ground: Ground) -> None:
        given = dict(ground.level.task)
        number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
        feet = ground.feet
        self._feet = feet
        self._coat = Coat(
            feet, number["middle_percent"], number["side_percent"], number["front_percent"],
            number["back_percent"], number["brush_percent"],
        )  # fmt: skip
        self._cells = tuple(self._coat.cells)
        foot_mm = feet.ball_y_mm - feet.heel_y_mm
        self._limit_mm_s = 0.01 * number["limit_percent_s"] * foot_mm
        self._least_n = (1.0 - HELD_SHARE) * ground.body_n
        self._rough_limit_s = ROUGH_SHARE * ground.level.seconds
        self._speed = WindowSpeed(SPEED_S)
        self._touch: Touch = "nobody"
        self._u = self._v = self._haste = NAN
        self._elapsed_s = self._due_s = 0.0
        self._rough = {"fast": 0.0, "lifted": 0.0, "beyond": 0.0, "held": 0.0, "nobody": 0.0}
        self._called_s = -math.inf
        self._tenths = 0
        self._seen = False

    @property
    def done(self) -> bool:
        """All of it is clean."""
        return self._coat.clean == len(self._cells)

    @property
    def scene(self) -> GroomingScene:
        """See ``GroomingScene``."""
        return GroomingScene(
            self._elapsed_s,
            self._u,
            self._v,
            self._touch,
            self._haste,
            self._cells,
            tuple([s / CLEAN_S if s < CLEAN_S else 1.0 for s in self._coat.rub_s]),
            self._coat.clean_percent,
            self._rough_s,
            self._coat.brush_u,
            self._coat.brush_v,
        )

    @property
    def _rough_s(self) -> float:
        return math.fsum(self._rough.values())

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; calls "grooming tenth" and "grooming rough"."""
        step_s = 0.0 if gap else max(elapsed_s - self._elapsed_s, 0.0)
        self._elapsed_s = max(elapsed_s, self._elapsed_s)
        _, force_n, x_mm, y_mm, _ = sample
        if gap:
            self._speed.gap()
            self._due_s = 0.0
        there = math.isfinite(x_mm) and math.isfinite(y_mm) and math.isfinite(force_n)
        if not (step_s > 0.0 or gap or not self._seen):
            return ()  # the same moment once more: there is no speed in it
        self._seen = self._seen or there
        before = self._touch
        self._touch = self._feel(force_n, x_mm, y_mm) if there else self._gone()
        cues: tuple[Cue, ...] = ()
        takes = 1.0
        if self._touch == "fast":
            takes = max((FAR_TOO_FAST - self._haste) / (FAR_TOO_FAST - 1.0), 0.0)
            self._rough["fast"] += step_s * (1.0 - takes)
        elif self._touch != "gentle":
            takes = 0.0
            self._rough[self._touch] += step_s
        if self._touch != "gentle" and before == "gentle":
            cues = self._call()
        self._due_s += step_s * takes
        if self._due_s < _RUB_EVERY_S or self._touch not in ("gentle", "fast"):
            return cues
        self._coat.brush(self._u, self._v, self._due_s)
        self._due_s = 0.0
        tenths = int(_TENTHS * self._coat.clean / len(self._cells))
        if tenths > self._tenths:
            self._tenths = tenths
            cues = (*cues, Cue("grooming tenth", tenths))
        return cues

    def _call(self) -> tuple[Cue, ...]:
        if self._elapsed_s - self._called_s < _CALL_EVERY_S:
            return ()
        self._called_s = self._elapsed_s
        return (Cue("grooming rough"),)

    def _gone(self) -> Touch:
        self._speed.gap()
        self._u = self._v = self._haste = NAN
        return "nobody"

    def _feel(self, force_n: float, x_mm: float, y_mm: float) -> Touch:
        self._speed.update(self._elapsed_s, x_mm, y_mm)
        self._u, self._v = self._coat.place(x_mm, y_mm)
        self._haste = self._speed.get() / self._limit_mm_s
        right = self._feet.right_share_percent(x_mm)
        toes = self._feet.toe_share_percent(y_mm)
        if force_n < self._least_n:
            return "held"
        least = min(right, 100.0 - right, toes, 100.0 - toes)
        if least < LIFTED_PERCENT:
            return "lifted"
        # Half of the window: just after a beginning one twitch would be the whole of it.
        if self._haste > 1.0 and self._speed.covered_s >= 0.5 * SPEED_S:
            return "fast"
        return "beyond" if outline(self._u, self._v) > BEYOND else "gentle"

    def measures(self) -> dict[str, float]:
        """See ``GROOMING``; and the seconds of each kind of roughness."""
        clean = self._coat.clean_percent if self._seen else NAN
        gentle = clean * max(1.0 - self._rough_s / self._rough_limit_s, 0.0)
        lost = self._lost()
        return {
            "grooming_clean_percent": clean,
            "grooming_gentle_percent": gentle,
            "grooming_rough_s": self._rough_s,
            **{f"grooming_{kind}_s": seconds for kind, seconds in self._rough.items()},
            **{f"grooming_dusty_{name}_percent": share for name, share in lost.items()},
        }

    def _lost(self) -> dict[str, float]:
        """How much of each side's cells is dusty still, %."""
        sides = {"toes": (0.0, 1.0), "heels": (0.0, -1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
        found = {}
        for name, (a, b) in sides.items():
            # Cells in the outer third towards that side.
            dusty = [
                s < CLEAN_S
                for (u, v), s in zip(self._cells, self._coat.rub_s, strict=True)
                if a * u + b * v > 1.0 / 3.0
            ]
            found[name] = 100.0 * sum(dusty) / len(dusty)
        return found


_DUSTY: Final = {
    "toes": "{percent:.0f} % is clean; most dust is left in front: −{cost:.1f}.",
    "heels": "{percent:.0f} % is clean; most dust is left at the back: −{cost:.1f}.",
    "left": "{percent:.0f} % is clean; most dust is left on the left: −{cost:.1f}.",
    "right": "{percent:.0f} % is clean; most dust is left on the right: −{cost:.1f}.",
}
_BRUSH: Final = {
    "toes": "Lead the brush farther forward, towards the mane.",
    "heels": "Lead the brush farther back, towards the tail.",
    "left": "Lead the brush farther over the left side.",
    "right": "Lead the brush farther over the right side.",
}
_ROUGH: Final = {
    "fast": "The brush was too quick for {seconds:.0f} s, and the dust flew: −{cost:.1f}.",
    "lifted": "A foot or the heels came up for {seconds:.0f} s: −{cost:.1f}.",
    "beyond": "The brush was off the coat for {seconds:.0f} s: −{cost:.1f}.",
    "held": "Weight was missing from the board for {seconds:.0f} s: −{cost:.1f}.",
    "nobody": "Nobody held the brush for {seconds:.0f} s: −{cost:.1f}.",
}
_SMOOTH: Final = {
    "fast": "Slow strokes take up the dust: let the pony doze.",
    "lifted": "Keep the whole of both soles down, and brush only as far as that goes.",
    "beyond": "Turn the brush round at the edge of the coat.",
    "held": "All of your weight leads the brush: hands free.",
    "nobody": "Stay on the board to the end, and the pony stays too.",
}


def _worst(measures: Mapping[str, float], pattern: str, names: Sequence[str]) -> tuple[str, float]:
    values = {name: measures.get(pattern.format(name), 0.0) for name in names}
    name = max(values, key=lambda key: values[key])
    return name, values[name]


def _dustiest(measures: Mapping[str, float]) -> str:
    return _worst(measures, "grooming_dusty_{}_percent", tuple(_DUSTY))[0]


def _roughest(measures: Mapping[str, float]) -> tuple[str, float]:
    return _worst(measures, "grooming_{}_s", tuple(_ROUGH))


def _explain(level: Level, part: PartEarned, measures: Mapping[str, float], tally: Tally) -> str:
    cost = part.possible - part.earned
    if part.measure not in GROOMING.measures:
        return explain_common(level, part, measures, tally)
    if math.isnan(part.value):
        return say("Nobody held the brush: −{cost:.1f}.", cost=cost)
    kind, seconds = _roughest(measures)
    if part.measure == "grooming_gentle_percent" and seconds >= 0.5:
        return say(_ROUGH[kind], seconds=seconds, cost=cost)
    clean = measures.get("grooming_clean_percent", NAN)
    return say(_DUSTY[_dustiest(measures)], percent=clean, cost=cost)


def _advise(_level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    kind, seconds = _roughest(measures)
    if part.measure == "grooming_gentle_percent" and seconds >= 0.5:
        return _SMOOTH[kind]
    return _BRUSH[_dustiest(measures)]


GROOMING: Final = TaskKind(
    name="grooming",
    make=GroomingTask,
    explain=_explain,
    advise=_advise,
    praise="The pony shines all over, and never once looked round.",
    measures={
        "grooming_clean_percent": Markable("%", True, "Clean coat"),
        "grooming_gentle_percent": Markable("%", True, "Gentle hand"),
    },
    fields=FIELDS,
    ready="Slowly: lead the brush",
    lesson=(
        (5.0, "Your weight leads the brush: forward, and back"),
        (10.0, "Slowly! Only a gentle brush takes up dust"),
        (15.0, "Now to the left and right, both feet down"),
        (19.0, "Brush the whole coat, to its edges"),
    ),
)
