"""Unequal terms are not compared, and the sentence names what differs."""

from dataclasses import asdict, fields, replace

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.terms import Task, differences, require_equal, terms_words
from swaytrainer.training.outcome import Terms

FIRM = Terms(80.0, "causal, 10 Hz", 20.0, "firm", "two feet", "open", "full")


def test_equal_terms_may_be_compared() -> None:
    assert differences(Task(FIRM, "pond"), Task(replace(FIRM), "pond")) == ()
    require_equal(Task(FIRM), Task(FIRM))


@pytest.mark.parametrize("field", [f.name for f in fields(Terms)])
def test_each_term_counts(field: str) -> None:
    changed = 50.0 if isinstance(getattr(FIRM, field), float) else "else"
    other = Terms(**{**asdict(FIRM), field: changed})
    found = differences(Task(FIRM), Task(other))
    assert len(found) == 1
    with pytest.raises(SwaytrainerError, match="differ in") as refused:
        require_equal(Task(FIRM), Task(other))
    assert found[0] in refused.value.what


def test_the_words() -> None:
    other = replace(FIRM, rate_hz=100.0, seconds=30.0, eyes="closed")
    assert differences(Task(FIRM), Task(other, "pond")) == (
        "rate (80 Hz, 100 Hz)",
        "duration (20 s, 30 s)",
        "eyes (open, closed)",
        "task (none, pond)",
    )
    assert "eyes open" in terms_words(Task(FIRM))
