"""LEVELS.md names every field, with its range and words."""

import pytest

from swaytrainer.training import ladder, level_file
from swaytrainer.training.feedback import FEEDBACKS
from swaytrainer.training.level import BASES, EYES, STANCES
from tests.training.levels_page import PAGE, renewed

TEXT = PAGE.read_text(encoding="utf-8")


def test_the_games_part_is_as_the_code_has_it() -> None:
    assert renewed(TEXT) == TEXT, "python -m tests.training.levels_page writes it anew"


@pytest.mark.parametrize("field", sorted(level_file._KNOWN | set(level_file._PART_FIELDS)))
def test_every_field_has_its_row(field: str) -> None:
    names = (f"| `{field}` |", f"| `[[{field}]]` |", f"| `[{field}]` |")
    assert sum(TEXT.count(name) for name in names) == 1


@pytest.mark.parametrize("field", level_file._NUMBERS)
def test_every_number_has_its_range(field: str) -> None:
    low, high, _ = level_file._NUMBERS[field]
    [row] = [line for line in TEXT.splitlines() if line.startswith(f"| `{field}` |")]
    assert f"{low:g} to {high:g}" in row


@pytest.mark.parametrize("word", [*BASES, *STANCES, *EYES, *FEEDBACKS])
def test_every_word_is_there(word: str) -> None:
    assert f'`"{word}"`' in TEXT


def test_the_ladder_is_told_as_it_is() -> None:
    numbers = f"in {ladder.K} of the last {ladder.N} counted trials on"
    assert numbers in " ".join(TEXT.split())
    assert (ladder.DAYS, ladder.MISSES, ladder.CLEAR_POINTS) == (2, 3, 1.0), "written in words"
