"""What is asked of whoever steps onto the board, and what came of it: no hand is needed.

::

    READY ── stands still, or two knee bends ──▶ Go
      ├── another game ──▶ WHAT ──▶ Go
      ├── somebody else ──▶ WHO ──▶ Is(name), and READY again
      └── not here ──▶ Missed
    AFTER a set: on, again, another game, somebody else, done (first, where another one is next)
    stepping off, or back by hand: Leave

Pure: samples and hands in, a ``Verdict`` out; what is to be drawn is the chooser's view.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

from swaytrainer.sway.cop import CopSample
from swaytrainer.training.choosing import (
    Choice,
    Chooser,
    ChoosingView,
    Entry,
    Move,
    Question,
    expected_first,
    who_question,
)
from swaytrainer.training.gesture import GestureWatch
from swaytrainer.training.level import Level
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say

#: Whoever stands there so long without another word begins what is expected.
STILL_S: Final = 5.0
_GO, _WHAT, _WHO, _MISSED, _NEXT, _DONE = "go", "what", "who", "missed", "next", "done"


class Asking(Enum):
    """Which question stands on the screen."""

    READY = 0
    WHO = 1
    WHAT = 2
    AFTER = 3


@dataclass(frozen=True, slots=True)
class Known:
    """What the questions are made of.

    Attributes:
        vaulters: the squad, in its order.
        vaulter, level: who and what is expected.
        levels: what else may be offered here, the coach's plan first, then one level a game.
        planned: ids of those in the plan.
        called: who was called by name to the board; None where nobody was.
        following: after a set: who comes next on tonight's list; None where nobody does.
        onward: after a set: what the ladder or the plan says comes next; None for nothing new.
    """

    vaulters: tuple[Vaulter, ...]
    vaulter: Vaulter
    level: Level
    levels: tuple[Level, ...] = ()
    planned: tuple[str, ...] = ()
    called: str | None = None
    following: str | None = None
    onward: Level | None = None


@dataclass(frozen=True, slots=True)
class Go:
    """The trial begins: of this level."""

    level: Level


@dataclass(frozen=True, slots=True)
class Is:
    """It is this vaulter who stands there."""

    name: str


@dataclass(frozen=True, slots=True)
class Missed:
    """Whoever was called isn't here."""

    name: str


@dataclass(frozen=True, slots=True)
class Leave:
    """Nothing for now."""


Verdict = Go | Is | Missed | Leave


class Desk:
    """Asks, one question after another, until there is a verdict.

    Args:
        watch: understands the board.
        known: what the questions are made of.
        asking: the first question.

    >>> from swaytrainer.training.level_file import shipped_levels
    >>> known = Known((Vaulter("Wren"), Vaulter("Tarn")), Vaulter("Wren"), shipped_levels()[0])
    >>> desk = Desk(None, known)
    >>> [e.title for e in desk.view().question.entries]
    ['Wren', 'Somebody else']
    >>> desk.hand(Move.AFTER), desk.hand(Move.TAKE)
    (None, None)
    >>> desk.asking, desk.hand(Move.TAKE)
    (<Asking.WHO: 1>, Is(name='Tarn'))
    """

    def __init__(
        self, watch: GestureWatch | None, known: Known, asking: Asking = Asking.READY
    ) -> None:
        self._known = known
        self.asking = asking
        self._chooser = Chooser(watch, self._question())

    def ask(self, known: Known, asking: Asking = Asking.READY) -> None:
        """Another question, with what is known by now."""
        self._known, self.asking = known, asking
        self._chooser.ask(self._question())

    def feed(self, sample: CopSample) -> tuple[Verdict | None, tuple[Choice, ...]]:
        """One sample of the board: the verdict, if there is one, and what was understood."""
        choices = self._chooser.feed((sample,))
        return self._settle(choices), choices

    def hand(self, move: Move) -> Verdict | None:
        """A key, a button, an arrow that was clicked."""
        return self._settle(self._chooser.hand(move))

    def pick(self, index: int) -> Verdict | None:
        """A click on an entry."""
        return self._settle(self._chooser.pick(index))

    def view(self) -> ChoosingView:
        """The snapshot to be drawn."""
        return self._chooser.view()

    def _settle(self, choices: Sequence[Choice]) -> Verdict | None:
        for choice in choices:
            if choice.move is Move.BACK:
                return Leave()
            if choice.move is Move.TAKE:
                return self._taken(choice.entry.key)
        return None

    def _taken(self, key: str) -> Verdict | None:
        known = self._known
        if self.asking is Asking.WHO:
            return Is(key)
        if self.asking is Asking.WHAT:
            return Go(next(level for level in known.levels if level.id == key))
        if key == _GO:
            return Go(known.level)
        if key == _NEXT:
            return Go(known.onward or known.level)
        if key == _MISSED:
            return Missed(known.called or known.vaulter.name)
        if key == _DONE:
            return Leave()
        self.ask(known, Asking.WHO if key == _WHO else Asking.WHAT)
        return None

    def _question(self) -> Question:
        known = self._known
        match self.asking:
            case Asking.READY:
                return self._ready()
            case Asking.WHO:
                # Whoever was expected has just said no: the one after comes first.
                names = [v.name for v in known.vaulters]
                after = (names.index(known.vaulter.name) + 1) % len(names)
                return who_question(known.vaulters, names[after])
            case Asking.WHAT:
                return what_question(known.levels, known.planned)
            case Asking.AFTER:
                return self._after()

    def _ready(self) -> Question:
        known = self._known
        entries = [Entry(_GO, known.vaulter.name, known.level.title, is_name=True)]
        entries += self._others()
        if known.called == known.vaulter.name and len(known.vaulters) > 1:
            entries.append(Entry(_MISSED, "Not here", "to the end of the list"))
        return Question("Is it you?", tuple(entries), STILL_S)

    def _after(self) -> Question:
        known = self._known
        again = Entry(_GO, "Again", known.level.title)
        entries = [again]
        if known.onward is not None and known.onward.id != known.level.id:
            entries.insert(0, Entry(_NEXT, "Go on", known.onward.title))
        entries += self._others()
        if known.following is None:
            entries.append(Entry(_DONE, "Done"))
        else:
            next_one = say("next on the list: {name}", name=Name(known.following))
            entries.insert(0, Entry(_DONE, "Done", next_one))
        return Question("And now?", tuple(entries))

    def _others(self) -> list[Entry]:
        known = self._known
        entries = []
        if any(level.id != known.level.id for level in known.levels):
            entries.append(Entry(_WHAT, "Another game"))
        if len(known.vaulters) > 1:
            entries.append(Entry(_WHO, "Somebody else"))
        return entries


def what_question(levels: Sequence[Level], planned: Sequence[str] = ()) -> Question:
    """What comes next; the coach's plan first.

    Args:
        levels: those that may be offered here (without a spotter, only calm ones).
        planned: ids of levels, in the plan's order.
    """
    entries = tuple(
        Entry(
            level.id,
            level.title,
            say("in the plan · {seconds:g} s", seconds=level.seconds)
            if level.id in planned
            else say("{seconds:g} s", seconds=level.seconds),
        )
        for level in levels
    )
    return Question("What next?", expected_first(entries, planned))
