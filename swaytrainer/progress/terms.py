"""Which results may be compared at all: those on equal terms, and if not, why not.

Path, speed and areas compare only at the same rate, filter and duration (Scoppa et al., Gait &
Posture 2013;37:290-292, ask for all three to be stated), and no sway compares across base, stance,
eyes or feedback. The terms are those that each outcome carries; beside them stands the task: the
game, and for what a level marks also its band and marking.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.training.outcome import Terms
from swaytrainer.words import Name, listed, say

#: Each term, and its unit.
_WORDS: Final = {
    "rate_hz": (say("rate"), "Hz"),
    "filter": (say("filter"), ""),
    "seconds": (say("duration"), "s"),
    "base": (say("base"), ""),
    "stance": (say("stance"), ""),
    "eyes": (say("eyes"), ""),
    "feedback": (say("feedback"), ""),
}


class Task(NamedTuple):
    """Terms, and what was to be done on them."""

    terms: Terms
    task: str = ""


def differences(one: Task, other: Task) -> tuple[str, ...]:
    """Each term that differs, in words; empty if the two may be compared.

    >>> a = Terms(80.0, "10 Hz causal", 20.0, "firm", "two feet", "open", "full")
    >>> from dataclasses import replace
    >>> differences(Task(a), Task(replace(a, base="foam", seconds=30.0)))
    ('duration (20 s, 30 s)', 'base (firm, foam)')
    """
    found = []
    for field in fields(Terms):
        a, b = getattr(one.terms, field.name), getattr(other.terms, field.name)
        # A term that a later version adds is compared too, under its own name.
        name, unit = _WORDS.get(field.name, (Name(field.name.replace("_", " ")), ""))
        if a != b:
            a, b = (_with_unit(v, unit) for v in (a, b))
            found.append(say("{name} ({a}, {b})", name=name, a=a, b=b))
    if one.task != other.task:
        a, b = (Name(t.task) if t.task else say("none") for t in (one, other))
        found.append(say("task ({a}, {b})", a=a, b=b))
    return tuple(found)


def _with_unit(value: object, unit: str) -> str:
    if not isinstance(value, float):
        return str(value)
    return say("{value:g} {unit}" if unit else "{value:g}", value=value, unit=unit)


def require_equal(one: Task, other: Task) -> None:
    """Refuse a comparison across unequal terms.

    Raises:
        SwaytrainerError: naming each term that differs.
    """
    found = differences(one, other)
    if found:
        raise SwaytrainerError(
            say("These results can't be compared: they differ in {what}.", what=listed(found)),
            say("Compare trials that were done on equal terms."),
        )


def terms_words(task: Task) -> str:
    """The terms on one line.

    >>> terms_words(Task(Terms(80.0, "10 Hz causal", 20.0, "firm", "two feet", "open", "full")))
    'firm, two feet, eyes open, feedback full, 20 s, 80 Hz, 10 Hz causal'
    """
    t = task.terms
    return say(
        "{base}, {stance}, eyes {eyes}, feedback {feedback}, {seconds:g} s, {rate:g} Hz, {filter}",
        base=t.base,
        stance=t.stance,
        eyes=t.eyes,
        feedback=t.feedback,
        seconds=t.seconds,
        rate=t.rate_hz,
        filter=t.filter,
    )
