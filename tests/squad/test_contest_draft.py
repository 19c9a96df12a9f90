"""What a contest's form can make wrong, in the form's words."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest_draft import By, ClassDraft, ContestDraft, TeamDraft, check_draft

AT = datetime(2026, 11, 28, 9, tzinfo=UTC)
ALL = ((0, ClassDraft("All", By.NAME, ("Wren", "Tarn"))),)
GOOD = ContestDraft("Cup", "open", AT, AT + timedelta(hours=9), 3, 1, 2, None, ALL, (), (), ())


def test_a_good_one_is_passed() -> None:
    check_draft(GOOD)
    tall = (1, ClassDraft("Tall", By.HEIGHT, (), 1400.0, 2300.0))
    check_draft(replace(GOOD, classes=(*ALL, tall), entries=("Wren",)))


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        (replace(GOOD, title=" "), "needs a title"),
        (replace(GOOD, title="a\nb"), "needs a title"),
        (replace(GOOD, until=AT), "“To” must be later"),
        (replace(GOOD, classes=()), "no class yet"),
        (replace(GOOD, classes=(*ALL, (None, ClassDraft("All")))), "Two are called All"),
        (replace(GOOD, teams=((0, TeamDraft("A", ("Wren",))), (1, TeamDraft("A", ("Tarn",))))),
         "Two are called A"),
        (replace(GOOD, entries=("Wren",)), "Every class goes by name"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_without_a_word_of_the_file(wrong: ContestDraft, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        check_draft(wrong)
