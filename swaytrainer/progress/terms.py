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

_WORDS: Final = {
    "rate_hz": ("rate", " Hz"),
    "filter": ("filter", ""),
    "seconds": ("duration", " s"),
    "base": ("base", ""),
    "stance": ("stance", ""),
    "eyes": ("eyes", ""),
    "feedback": ("feedback", ""),
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
        name, unit = _WORDS.get(field.name, (field.name.replace("_", " "), ""))
        if a != b:
            a, b = (f"{v:g}" if isinstance(v, float) else v for v in (a, b))
            found.append(f"{name} ({a}{unit}, {b}{unit})")
    if one.task != other.task:
        found.append(f"task ({one.task or 'none'}, {other.task or 'none'})")
    return tuple(found)


def require_equal(one: Task, other: Task) -> None:
    """Refuse a comparison across unequal terms.

    Raises:
        SwaytrainerError: naming each term that differs.
    """
    found = differences(one, other)
    if found:
        raise SwaytrainerError(
            f"These results can't be compared: they differ in {', '.join(found)}.",
            "Compare trials that were done on equal terms.",
        )


def terms_words(task: Task) -> str:
    """The terms on one line.

    >>> terms_words(Task(Terms(80.0, "10 Hz causal", 20.0, "firm", "two feet", "open", "full")))
    'firm, two feet, eyes open, feedback full, 20 s, 80 Hz, 10 Hz causal'
    """
    t = task.terms
    return (
        f"{t.base}, {t.stance}, eyes {t.eyes}, feedback {t.feedback}, {t.seconds:g} s,"
        f" {t.rate_hz:g} Hz, {t.filter}"
    )
