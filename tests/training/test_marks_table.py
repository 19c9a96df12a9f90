"""Marks rise with skill and cheating doesn't pay: with few seeds here, by the script with many."""

import pytest

from tests.training.marks_table import games, table_of


@pytest.mark.parametrize("game", sorted(games()))
def test_marks_order_skill_and_cheating_does_not_pay(game: str) -> None:
    table = table_of(game, range(2))
    assert table.rank >= 0.9
    assert table.marks[-1] > table.marks[0] + 2.0
    for cheat, fair, foul, _ in table.cheats:
        assert foul <= fair + 0.05, (cheat, fair, foul)
