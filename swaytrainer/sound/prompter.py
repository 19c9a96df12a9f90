"""What is said at which moment of a sitting, so that it can be done with the screen covered."""

from __future__ import annotations

from typing import Final, NamedTuple

from swaytrainer.sitting.view import Event, Happening, Phase, View
from swaytrainer.sound.prompts.lessons import LESSONS
from swaytrainer.sound.prompts.phrases import PROMPTS, spoken_mark
from swaytrainer.training.trial import ON_N, RESULT_AT_LEAST_S

#: Who has just come into a phase may be out of it at once: nothing is said so soon.
_SETTLED_S: Final = 0.5


class Line(NamedTuple):
    """Something to be said.

    Attributes:
        prompts: said one after another, as one sentence.
        wait_s: not sooner than this; lets the sound of the same moment be heard first.
        fresh_s: once it has waited so much longer, it is not said any more.
        urgent: what is being said breaks off, and what waits is forgotten.
    """

    prompts: tuple[str, ...]
    wait_s: float = 0.0
    fresh_s: float = 2.0
    urgent: bool = False


#: What may be asked of whoever stands on the board between two sittings.
STAND_STILL: Final = "stand still"
STEP_OFF: Final = "step off"

#: The plain ones; the countdown, the mark and the games' own words are below.
_LINES: Final[dict[Happening, Line]] = {
    Happening.STEPPED_ON: Line(("stand still",), 0.3),
    Happening.LESSON_STARTED: Line(("try",), 0.1, urgent=True),
    Happening.TRIAL_STARTED: Line(("go",), 0.25, 0.5, urgent=True),
    Happening.HALF_TIME: Line(("half time",), 0.3, 1.0),
    Happening.STEPPED_OFF: Line(("come back",), 0.3, 1.5, urgent=True),
    Happening.FINISHED: Line(("finished",), 0.8, 6.0),
    Happening.SIGNAL_LOST: Line(("signal lost",), 0.7, 3.0, urgent=True),
    Happening.SIGNAL_BACK: Line(("signal back",), 0.4, 3.0, urgent=True),
}


class Prompter:
    """Knows what to say. Pure: told of events and views, it answers with lines."""

    def __init__(self) -> None:
        self._phase: Phase | None = None
        self._told: str | None = None
        self._pass_mark = 10.0

    def notice(self, event: Event) -> Line | None:
        """What an event asks to be said."""
        happening = event.happening
        if happening is Happening.COUNTDOWN_TICK:
            return Line((str(event.number),), 0.1, 0.4, urgent=True)
        if happening is Happening.TRIAL_ENDED:
            mark = event.outcome.mark if event.outcome is not None else None
            well_done = mark is not None and mark >= self._pass_mark
            praise = ("well done",) if well_done else ()
            return Line(("the end", *spoken_mark(mark), *praise), 0.6, 4.0, urgent=True)
        if happening is Happening.CUE and event.word in PROMPTS:
            return Line((event.word,), 0.0, 0.4, urgent=True)
        return _LINES.get(happening)

    def follow(self, view: View) -> Line | None:
        """What the state of things asks to be said: each once."""
        self._pass_mark = view.level.pass_mark
        before = self._phase
        if view.phase is not before:
            self._phase, self._told = view.phase, None
            if view.phase is Phase.RESTING:
                return Line(("rest",), 0.2, 6.0)
        if view.phase is Phase.LESSON:
            lesson = LESSONS.get((view.level.game, view.lesson))
            if lesson is None or lesson == self._told:
                return None
            self._told = lesson
            return Line((lesson,), 0.0, 4.0)
        stands = view.force_n >= ON_N
        if view.phase is Phase.WAITING and view.phase_s >= _SETTLED_S:
            # Who stands there unnoticed for so long must step off before anything begins.
            if stands and self._told is None:
                return self._tell("step off")
            if not stands and self._told != "step on":
                ready = ("spotter ready",) if view.level.spotter else ()
                return self._tell("step on", *ready)
        late = view.phase is Phase.RESULT and view.phase_s >= RESULT_AT_LEAST_S
        if late and stands and self._told is None:
            return self._tell("step off")
        return None

    def _tell(self, prompt: str, *first: str) -> Line:
        self._told = prompt
        return Line((*first, prompt), 0.0, 6.0)
