"""Marks rise with skill and cheating doesn't pay: with few seeds here, by the script with many."""

import pytest

from tests.training.marks_table import games, table_of

#: A cheat that pays is a defect of the game. These are known, with how much they brought with many
#: seeds: who carries something heavy goes more slowly, and slow is what the brush rewards.
KNOWN_TO_PAY = {("grooming", "heavy prop"): 1.2}


@pytest.mark.parametrize("game", sorted(games()))
def test_marks_order_skill_and_cheating_does_not_pay(game: str) -> None:
    table = table_of(game, range(2))
    assert table.rank >= 0.9
    assert table.marks[-1] > table.marks[0] + 2.0
    for cheat, fair, foul, _ in table.cheats:
        assert foul <= fair + KNOWN_TO_PAY.get((game, cheat), 0.05), (cheat, fair, foul)
