"""Whoever is wanted comes after a moment, and goes after one."""

from itertools import islice, pairwise, repeat

from swaytrainer.simulate.obliging import obliging_loads


def test_she_comes_late_stays_and_goes_smoothly() -> None:
    wanted = [False]
    loads = obliging_loads(repeat((100.0, 100.0, 100.0, 100.0)), lambda: wanted[0], 80.0)
    assert set(islice(loads, 400)) == {(0.0, 0.0, 0.0, 0.0)}
    wanted[0] = True
    weights = [sum(load) for load in islice(loads, 480)]
    first = next(n for n, weight in enumerate(weights) if weight)
    assert 3.9 < first / 80.0 < 4.2
    assert weights[-1] == 400.0
    assert max(b - a for a, b in pairwise(weights)) < 15.0
    wanted[0] = False
    weights = [sum(load) for load in islice(loads, 320)]
    assert weights[0] == 400.0
    assert weights[-1] == 0.0


def test_a_wish_that_is_gone_at_once_moves_nobody() -> None:
    asked = iter([True] * 100 + [False] * 500)
    loads = obliging_loads(repeat((1.0, 1.0, 1.0, 1.0)), lambda: next(asked), 80.0)
    assert set(islice(loads, 600)) == {(0.0, 0.0, 0.0, 0.0)}
