"""Marks rise with skill and cheating doesn't pay: with few seeds here, by the script with many."""

import pytest

from tests.training.marks_table import games, table_of

#: A cheat that pays is a defect of the game. These are known, with how much they brought with many
#: seeds: who carries something heavy goes more slowly, and slow is what the brush rewards.
KNOWN_TO_PAY = {("grooming", "heavy prop"): 1.2}
#: Where one cell cleaned sooner sends the brush another way, two trials that differ by next to
#: nothing end apart by chance: 0.8 marks (standard deviation of 180 pairs), so the mean of the six
#: here by 0.33. Over those 180 a light body brought −0.03 ± 0.06 and a wide stance 0.03 ± 0.07.
CHANCE = {("grooming", "light body"): 0.7, ("grooming", "wide stance"): 0.7}


@pytest.mark.parametrize("game", sorted(games()))
def test_marks_order_skill_and_cheating_does_not_pay(game: str) -> None:
    table = table_of(game, range(2))
    assert table.rank >= 0.9
    assert table.marks[-1] > table.marks[0] + 2.0
    for cheat, fair, foul, _ in table.cheats:
        assert foul <= fair + {**KNOWN_TO_PAY, **CHANCE}.get((game, cheat), 0.05), (
            cheat,
            fair,
            foul,
        )
