"""The kept minima and maxima against plain NumPy over all samples."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.scope import curves as module
from swaytrainer.scope.curves import Curves

RNG = np.random.default_rng(5)


def filled(sizes: list[int], most: int = 4_000_000) -> tuple[Curves, np.ndarray, np.ndarray]:
    kept = Curves(("a", "b"), most)
    n = sum(sizes)
    t = np.cumsum(RNG.uniform(0.5, 1.5, n)) / 80.0
    rows = RNG.normal(0.0, 5.0, (n, 2)).astype(np.float32)
    rows[RNG.random((n, 2)) < 0.02] = np.nan
    at = 0
    for size in sizes:
        kept.extend(t[at : at + size], rows[at : at + size])
        at += size
    return kept, t, rows


@settings(max_examples=40)
@given(
    sizes=st.lists(st.integers(0, 3000), min_size=1, max_size=8),
    ends=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)),
    columns=st.integers(1, 400),
)
def test_no_peak_is_left_out(sizes: list[int], ends: tuple[float, float], columns: int) -> None:
    kept, t, rows = filled(sizes)
    if not t.size:
        return
    low_s, high_s = (t[0] + e * (t[-1] - t[0]) for e in sorted(ends))
    drawn = kept.drawn("b", low_s, high_s, columns)
    inside = rows[(t >= low_s) & (t <= high_s), 1]
    assert drawn.values.size <= 4 * columns + 4
    good = inside[np.isfinite(inside)]
    if good.size:
        assert np.nanmax(drawn.values) >= good.max()
        assert np.nanmin(drawn.values) <= good.min()
        # Nothing is made up either.
        assert np.isin(drawn.values[np.isfinite(drawn.values)], rows[:, 1]).all()


@pytest.mark.parametrize(("columns", "step"), [(100, 64), (50, 128)])
def test_whole_equals_numpy_bucket_by_bucket(columns: int, step: int) -> None:
    """5,793 samples: on 100 columns buckets of 4³, on 50 two of these are one."""
    kept, t, rows = filled([777, 1, 3, 5000, 12])
    drawn = kept.drawn("a", t[0], t[-1], columns)
    wanted = [rows[i : i + step, 0] for i in range(0, len(t), step)]
    assert drawn.time_s[0::2] == pytest.approx(t[::step], abs=0.0)
    assert drawn.values[0::2] == pytest.approx([np.nanmin(w) for w in wanted], abs=0.0)
    assert drawn.values[1::2] == pytest.approx([np.nanmax(w) for w in wanted], abs=0.0)


def test_few_samples_are_drawn_as_they_are_with_their_gaps() -> None:
    kept = Curves(("a",))
    kept.extend([0.0, 1.0, 1.0, 2.0], [[1.0], [np.inf], [2.0], [3.0]])
    assert kept.drawn("a", 0.0, 2.0, 100).values[[0, 2, 3]].tolist() == [1.0, 2.0, 3.0]
    assert np.isnan(kept.drawn("a", 0.0, 2.0, 100).values[1])
    assert kept.value("a", 1.5) == 2.0
    assert np.isnan(kept.value("a", -1.0))


def test_the_oldest_go_when_it_is_full(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_LEVELS", 3)
    monkeypatch.setattr(module, "_WHOLE", 64)
    monkeypatch.setattr(module, "_FIRST", 64)
    kept, t, rows = filled([50] * 40, most=256)
    assert len(kept) + kept.dropped == 2000
    assert len(kept) <= 256
    assert kept.span_s == (t[kept.dropped], t[-1])
    drawn = kept.drawn("a", t[0], t[-1], 10)
    assert np.nanmax(drawn.values) == np.nanmax(rows[kept.dropped :, 0])


@pytest.mark.parametrize("times", [[1.0, 0.5], [np.nan], [np.inf]], ids=["back", "nan", "inf"])
def test_times_that_cannot_be(times: list[float]) -> None:
    with pytest.raises(ValueError, match="times must be"):
        Curves(("a",)).extend(times, [[1.0]] * len(times))


def test_a_wrong_shape() -> None:
    with pytest.raises(ValueError, match="rows of 2"):
        Curves(("a", "b")).extend([1.0], [[1.0]])
