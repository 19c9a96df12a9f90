"""Marks rise with skill and cheating doesn't pay: with few seeds here, by the script with many."""

import pytest

from tests.training.marks_table import games, table_of

#: Where one cell cleaned sooner sends the brush another way, two trials that differ by next to
#: nothing end apart by chance: 0.8 marks (standard deviation of 180 pairs), so the mean of the six
#: here by 0.33. Over those 180 a light body brought −0.03 ± 0.06 and a wide stance 0.03 ± 0.07.
CHANCE = {("grooming", "light body"): 0.7, ("grooming", "wide stance"): 0.7}


@pytest.mark.parametrize("game", sorted(games()))
def test_marks_order_skill_and_cheating_does_not_pay(game: str) -> None:
    table = table_of(game, range(2))
    assert table.rank >= 0.9
    assert table.marks[-1] > table.marks[0] + 2.0
    for cheat in table.cheats:
        assert cheat.gain <= CHANCE.get((game, cheat.name), 0.05), cheat
