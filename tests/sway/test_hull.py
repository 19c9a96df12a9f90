from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from swaytrainer.sway.hull import HullArea, convex_hull, hull_area_mm2
from tests.sway.made import Walk, circle, walks


def streamed(x_mm: np.ndarray, y_mm: np.ndarray) -> HullArea:
    live = HullArea()
    for x, y in zip(x_mm.tolist(), y_mm.tolist(), strict=True):
        live.update(x, y)
    return live


def test_circle() -> None:
    """½·n·R²·sin(2π/n) for n distinct points: the regular polygon."""
    walk = circle(radius_mm=10.0, turns_hz=0.5, rate_hz=100.0)  # 200 places, passed 30 times
    expected = 0.5 * 200 * 100.0 * math.sin(2.0 * math.pi / 200)
    assert hull_area_mm2(walk.x_mm, walk.y_mm) == pytest.approx(expected, rel=1e-9)
    assert streamed(walk.x_mm, walk.y_mm).get() == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("count", [5, 40, 3000])
def test_it_is_scipys_hull(count: int) -> None:
    """Barber, Dobkin & Huhdanpaa 1996, through scipy.spatial.ConvexHull."""
    points = np.random.default_rng(count).normal(size=(count, 2)).cumsum(axis=0)
    reference = ConvexHull(points)
    x, y = np.ascontiguousarray(points.T)
    corners = convex_hull(x, y)
    assert sorted(map(tuple, corners)) == sorted(map(tuple, points[reference.vertices]))
    assert hull_area_mm2(x, y) == pytest.approx(reference.volume, rel=1e-12)
    assert streamed(x, y).get() == pytest.approx(reference.volume, rel=1e-9)


@given(walks(least=1))
def test_streaming_is_batch(walk: Walk) -> None:
    batch = hull_area_mm2(walk.x_mm, walk.y_mm)
    live = streamed(walk.x_mm, walk.y_mm).get()
    assert live == pytest.approx(batch, rel=1e-9, abs=1e-9, nan_ok=True)


_corner = st.integers(-3, 3).map(float)


@given(st.lists(st.tuples(_corner, _corner), min_size=1, max_size=60))
def test_points_in_rows_and_on_top_of_each_other(points: list[tuple[float, float]]) -> None:
    """On a small grid nearly all is straight or double; whole numbers make the areas exact."""
    x, y = np.array(points).T.copy()
    area = hull_area_mm2(x, y)
    assert streamed(x, y).get() == area
    distinct = np.unique(np.array(points), axis=0)
    flat = np.linalg.matrix_rank(distinct - distinct[0]) < 2
    assert area == (0.0 if flat else pytest.approx(ConvexHull(distinct).volume, rel=1e-12))


@given(walks(least=1), st.randoms(use_true_random=False))
def test_order_does_not_matter(walk: Walk, shuffler: object) -> None:
    order = list(range(walk.x_mm.size))
    shuffler.shuffle(order)  # type: ignore[attr-defined]
    first = streamed(walk.x_mm, walk.y_mm).get()
    other = streamed(walk.x_mm[order], walk.y_mm[order]).get()
    assert other == pytest.approx(first, rel=1e-9, abs=1e-9, nan_ok=True)


def test_nothing_a_point_and_a_line() -> None:
    nothing = np.array([np.nan])
    assert math.isnan(hull_area_mm2(nothing, nothing))
    assert math.isnan(HullArea().get())
    assert hull_area_mm2(np.array([3.0, 3.0]), np.array([4.0, 4.0])) == 0.0
    along = np.linspace(0.0, 1.0, 100)
    assert hull_area_mm2(along, 3.0 * along) == pytest.approx(0.0, abs=1e-12)
    assert streamed(along, 3.0 * along).get() == pytest.approx(0.0, abs=1e-12)
