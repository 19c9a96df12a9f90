"""Choosing from a list without hands: who I am, what I do next, again or the next one.

Lean left or right for the entry before or after, held on for more; two knee bends take the one in
the middle; stepping off goes back. Keys, pointer and gamepad say the same (``hand``, ``pick``).
The list is a ring, and what is expected (the coach's plan, who came last time) is first in it, so
that the usual answer needs no lean at all, and of fifteen the furthest one six seconds
(``gesture_lean.reach_s``).

A pure state machine: samples and hands in, ``Choice`` out, a ``ChoosingView`` to be drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CopSample
from swaytrainer.training.gesture import Gesture, GestureNow, GestureWatch, Readiness
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing to choose.

    Attributes:
        key: what the program knows it by.
        title: what is shown large.
        note: what is shown below it.
        is_name: the title is somebody's name, which no language changes.
    """

    key: str
    title: str
    note: str = ""
    is_name: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked.

    Attributes:
        words: the question.
        entries: at least one, their keys all different; the expected one first.
        still_s: who stands there so long and says nothing takes the expected one; 0 for never.
    """

    words: str
    entries: tuple[Entry, ...]
    still_s: float = 0.0

    def __post_init__(self) -> None:
        keys = [entry.key for entry in self.entries]
        if not keys:
            raise SwaytrainerError(
                f"There is nothing to choose from for {self.words!r}.",
                "Add a vaulter or a level first.",
            )
        if len(set(keys)) < len(keys):
            raise SwaytrainerError(
                f"Two entries of {self.words!r} have the same key.", "Give each its own name."
            )


class Move(StrEnum):
    """What a key, a pointer, a gamepad or a gesture asks for."""

    BEFORE = "before"
    AFTER = "after"
    TAKE = "take"
    BACK = "back"


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that was understood.

    Attributes:
        move: what.
        entry: the one in the middle afterwards; the one that was taken.
        by_body: by a gesture on the board.
    """

    move: Move
    entry: Entry
    by_body: bool


@dataclass(frozen=True, slots=True)
class ChoosingView:
    """All that a screen needs.

    Attributes:
        question: with the entries, the ring's order.
        chosen: index of the one in the middle.
        state: whether the board understands anything now.
        saying: the gesture that may be under way, or None.
        progress: 0 to 1, how far that is.
        bends: knee bends done of a pair that is under way.
        understood: the last thing that was understood, in words; empty before the first.
        hint: what to do now.
        still: 0 to 1, how far standing still has come to taking the expected one.
    """

    question: Question
    chosen: int
    state: Readiness
    saying: Gesture | None
    progress: float
    bends: int
    understood: str
    hint: str
    still: float = 0.0

    @property
    def entry(self) -> Entry:
        """The one in the middle."""
        return self.question.entries[self.chosen]


_MOVES: Final = {
    Gesture.LEFT: Move.BEFORE,
    Gesture.RIGHT: Move.AFTER,
    Gesture.BENDS: Move.TAKE,
    Gesture.STEP_OFF: Move.BACK,
}
_SAYS: Final = {
    Move.BEFORE: "Before: {what}",
    Move.AFTER: "Next: {what}",
    Move.TAKE: "Taken: {what}",
}
STILL_HINT: Final = "Stand still and it begins. Lean for something else. Step off: back."
HINTS: Final = {
    Readiness.EMPTY: "Clear floor, mat, bare feet? Then step on. Or use keys.",
    Readiness.FINDING: "Stand still for a moment.",
    Readiness.READY: "Lean to turn the list. Two quick knee bends take it. Step off: back.",
    Readiness.MOVING: "It moves too much: stand calmer, or use keys.",
    Readiness.ELSEWHERE: "Stand on the marks, or use keys.",
}


class Chooser:
    """Asks one question after another.

    Args:
        watch: understands the board; kept from question to question, since it knows the weight.
            None where there is no board: then hands alone choose.
        question: the first one.

    >>> chooser = Chooser(None, who_question([Vaulter("Wren"), Vaulter("Tarn")], "Tarn"))
    >>> [choice] = chooser.hand(Move.AFTER)
    >>> choice.entry.title, chooser.view().understood
    ('Wren', 'Next: Wren')
    >>> [taken] = chooser.hand(Move.TAKE)
    >>> taken.entry.key, chooser.hand(Move.TAKE)
    ('Wren', ())
    """

    def __init__(self, watch: GestureWatch | None, question: Question) -> None:
        self._watch = watch
        self._now: GestureNow | None = None
        self.ask(question)

    def ask(self, question: Question) -> None:
        """The next question; a gesture that was begun for the last one is dropped."""
        self._question = question
        self._chosen = 0
        self._over = False
        self._understood = ""
        self._still_since_s = math.nan
        if self._watch is not None:
            self._watch.rearm()

    @property
    def over(self) -> bool:
        """It was taken or left: nothing more is understood until the next question."""
        return self._over

    def gap(self) -> None:
        """Samples were lost."""
        if self._watch is not None:
            self._watch.gap()

    def feed(self, samples: Iterable[CopSample]) -> tuple[Choice, ...]:
        """Samples of the board; what was understood. Stepping on is no choice."""
        found: list[Choice] = []
        for sample in samples if self._watch is not None else ():
            assert self._watch is not None
            self._now = self._watch.update(sample)
            if self._now.said in _MOVES:
                found.extend(self._do(_MOVES[self._now.said], True))
            elif self._stood_still(self._now):
                found.extend(self._do(Move.TAKE, True))
        return tuple(found)

    def _stood_still(self, now: GestureNow) -> bool:
        """Whether standing there has lasted long enough to be an answer."""
        quiet = now.state in (Readiness.READY, Readiness.MOVING) and now.saying is None
        if not quiet or self._chosen != 0 or self._question.still_s <= 0.0:
            self._still_since_s = math.nan
            return False
        if math.isnan(self._still_since_s):
            self._still_since_s = now.time_s
        return now.time_s - self._still_since_s >= self._question.still_s

    @property
    def _still(self) -> float:
        if self._now is None or math.isnan(self._still_since_s):
            return 0.0
        return min(1.0, (self._now.time_s - self._still_since_s) / self._question.still_s)

    def hand(self, move: Move) -> tuple[Choice, ...]:
        """A key, a button of a gamepad, an arrow that was clicked."""
        return self._do(move, False)

    def pick(self, index: int) -> tuple[Choice, ...]:
        """A click on an entry: the one in the middle is taken, another comes to the middle.

        Args:
            index: into the question's entries; any other is ignored.
        """
        if self._over or not 0 <= index < len(self._question.entries):
            return ()
        if index == self._chosen:
            return self._do(Move.TAKE, False)
        self._chosen = index
        entry = self._question.entries[index]
        self._understood = say("Chosen: {what}", what=_titled(entry))
        return (Choice(Move.AFTER, entry, False),)

    def view(self) -> ChoosingView:
        """The snapshot to be drawn."""
        now = self._now
        state = Readiness.EMPTY if now is None else now.state
        if self._watch is None:
            hint = "Left and right turn the list, Enter takes it, Escape: back."
        elif now is not None and now.bends == 1 and now.saying is Gesture.BENDS:
            hint = "One knee bend. Once more!"
        elif self._still > 0.0:
            hint = STILL_HINT
        else:
            hint = HINTS[state]
        return ChoosingView(
            self._question,
            self._chosen,
            state,
            None if now is None or self._over else now.saying,
            0.0 if now is None or self._over else now.progress,
            0 if now is None else now.bends,
            self._understood,
            hint,
            0.0 if self._over else self._still,
        )

    def _do(self, move: Move, by_body: bool) -> tuple[Choice, ...]:
        if self._over:
            return ()
        entries = self._question.entries
        if move in (Move.BEFORE, Move.AFTER):
            if len(entries) == 1:
                return ()
            by = 1 if move is Move.AFTER else -1
            self._chosen = (self._chosen + by) % len(entries)
        entry = entries[self._chosen]
        if move is Move.BACK:
            self._understood = say("Back")
        else:
            self._understood = say(_SAYS[move], what=_titled(entry))
        self._over = move in (Move.TAKE, Move.BACK)
        return (Choice(move, entry, by_body),)


def _titled(entry: Entry) -> str:
    return Name(entry.title) if entry.is_name else entry.title


def expected_first(entries: Sequence[Entry], expected: Sequence[str]) -> tuple[Entry, ...]:
    """The expected keys' entries first, in that order; then the others as they were.

    >>> [e.key for e in expected_first([Entry("a", "A"), Entry("b", "B")], ["b", "z"])]
    ['b', 'a']
    """
    by_key = {entry.key: entry for entry in entries}
    first = [by_key[key] for key in dict.fromkeys(expected) if key in by_key]
    return (*first, *(entry for entry in entries if entry not in first))


def who_question(vaulters: Sequence[Vaulter], expected: str | None = None) -> Question:
    """Who stands here; the squad's list as a ring that begins with whoever is expected.

    Who is after the expected one stays after them: a squad trains in its order.
    """
    entries = tuple(Entry(v.name, v.name, is_name=True) for v in vaulters)
    at = next((n for n, entry in enumerate(entries) if entry.key == expected), 0)
    return Question("Who are you?", (*entries[at:], *entries[:at]))
