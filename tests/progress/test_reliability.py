"""Reliability against a published example, another program's figures, and first principles."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import stats

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.reliability import (
    Coefficient,
    complete,
    mean_squares,
    reliability,
    sem_from_icc,
)

#: Shrout & Fleiss, Psychological Bulletin 1979;86:420-428, table 2: 6 targets, 4 judges.
SHROUT_FLEISS = [
    [9, 2, 5, 8],
    [6, 1, 3, 2],
    [8, 4, 6, 8],
    [7, 1, 2, 6],
    [10, 5, 6, 9],
    [6, 2, 4, 7],
]
#: Made up, with a shift from trial to trial.
MADE_UP = [
    [7.77, 9.6, 10.6],
    [7.57, 6.96, 7.48],
    [10.78, 10.27, 9.02],
    [10.77, 10.51, 11.24],
    [11.88, 12.3, 13.61],
    [10.17, 10.35, 11.45],
    [9.56, 8.18, 9.59],
]


def close(found: Coefficient, value: float, low: float, high: float) -> None:
    assert found.value == pytest.approx(value, abs=5e-11)
    assert found.low == pytest.approx(low, abs=0.0051)
    assert found.high == pytest.approx(high, abs=0.0051)


def test_the_example_of_shrout_and_fleiss() -> None:
    """Their table 4 gives .29, .71, .62, .91; ten digits and intervals are pingouin 0.7.0's."""
    r = reliability(SHROUT_FLEISS)
    assert r.squares.subjects == pytest.approx(11.24, abs=0.005)
    assert r.squares.trials == pytest.approx(32.49, abs=0.005)
    assert r.squares.error == pytest.approx(1.02, abs=0.005)
    close(r.icc_a_1, 0.2897637795, 0.02, 0.76)
    close(r.icc_c_1, 0.7148407148, 0.34, 0.95)
    close(r.icc_a_k, 0.6200505476, 0.07, 0.93)
    close(r.icc_c_k, 0.9093155424, 0.68, 0.99)


def test_another_table_against_another_program() -> None:
    """Values of pingouin 0.7.0, whose intervals come with two decimals."""
    r = reliability(MADE_UP)
    close(r.icc_a_1, 0.7739920739, 0.43, 0.95)
    close(r.icc_c_1, 0.7867505298, 0.43, 0.96)
    close(r.icc_a_k, 0.9112993202, 0.69, 0.98)
    close(r.icc_c_k, 0.9171364358, 0.69, 0.98)


def test_mean_squares_are_those_of_a_linear_model() -> None:
    table = np.array(MADE_UP)
    n, k = table.shape
    y = table.ravel()
    subject = np.kron(np.eye(n), np.ones((k, 1)))
    trial = np.kron(np.ones((n, 1)), np.eye(k))

    def left(design: np.ndarray) -> float:
        return float(((y - design @ np.linalg.lstsq(design, y)[0]) ** 2).sum())

    both = left(np.hstack([subject, trial]))
    ms = mean_squares(table)
    assert ms.error == pytest.approx(both / ((n - 1) * (k - 1)), rel=1e-10)
    assert ms.subjects == pytest.approx((left(trial) - both) / (n - 1), rel=1e-10)
    assert ms.trials == pytest.approx((left(subject) - both) / (k - 1), rel=1e-10)


def test_standard_errors_and_the_minimal_detectable_change() -> None:
    r = reliability(MADE_UP)
    total_sd = math.sqrt((r.squares.subjects + 2 * r.squares.error) / 3)
    assert sem_from_icc(total_sd, r.icc_c_1.value) == pytest.approx(r.sem, rel=1e-12)
    assert r.mdc95 == pytest.approx(1.96 * math.sqrt(2) * r.sem)
    assert r.mdc95_percent == pytest.approx(100 * r.mdc95 / np.mean(MADE_UP))
    assert r.sem_agreement > r.sem
    assert math.isnan(sem_from_icc(1.0, 1.2))
    assert math.isnan(sem_from_icc(-1.0, 0.5))
    assert math.isnan(sem_from_icc(math.nan, 0.5))
    assert math.isnan(reliability(-np.array(MADE_UP)).mdc95_percent)


@pytest.mark.parametrize("table", [SHROUT_FLEISS, MADE_UP])
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_the_mean_of_k_goes_with_a_single_one_by_spearman_and_brown(
    table: list[list[float]], confidence: float
) -> None:
    r = reliability(table, confidence)
    for one, many in ((r.icc_c_1, r.icc_c_k), (r.icc_a_1, r.icc_a_k)):
        for a, b in zip(one, many, strict=True):
            assert r.trials * a / (1 + (r.trials - 1) * a) == pytest.approx(b, rel=1e-9)


def test_intervals_cover_the_truth() -> None:
    """95 % of 600 tables: the share's standard deviation is 0.9 %."""
    rng, rho, shift = np.random.default_rng(3), 0.6, 0.4
    n, k, count = 12, 5, 600
    inside = np.zeros(2)
    for _ in range(count):
        table = (
            rng.normal(0, math.sqrt(rho), (n, 1))
            + rng.normal(0, shift, (1, k))
            + rng.normal(0, math.sqrt(1 - rho), (n, k))
        )
        r = reliability(table)
        inside += [
            r.icc_c_1.low <= rho <= r.icc_c_1.high,
            r.icc_a_1.low <= rho / (1 + shift**2) <= r.icc_a_1.high,
        ]
    consistency, agreement = inside / count
    assert 0.92 < consistency < 0.977
    assert 0.91 < agreement < 0.99  # Satterthwaite's degrees of freedom approximate


def test_the_f_quantiles_are_the_ones_of_the_distribution() -> None:
    r = reliability(MADE_UP)
    f = r.squares.subjects / r.squares.error
    low = f / stats.f.ppf(0.975, 6, 12)
    assert r.icc_c_1.low == pytest.approx((low - 1) / (low + 2), rel=1e-9)


@given(
    arrays(float, (4, 3), elements=st.floats(-50, 50).map(lambda v: round(v, 3))),
    st.floats(-100, 100),
    st.floats(0.1, 10),
)
def test_what_a_shift_and_a_unit_do(table: np.ndarray, shift: float, unit: float) -> None:
    try:
        r = reliability(table)
    except SwaytrainerError:
        return
    if r.sem < 1e-3 * np.abs(table).max() + 1e-3:
        return  # near the copies that are refused, rounding decides
    # A shift of one trial for all is no error to C; a unit changes no coefficient.
    moved = reliability(unit * (table + np.array([0.0, shift, 0.0])))
    assert moved.icc_c_1.value == pytest.approx(r.icc_c_1.value, abs=1e-6)
    assert moved.sem == pytest.approx(unit * r.sem, rel=1e-6)
    # Its bounds: -1/(k-1) to 1.
    assert -0.5 - 1e-9 <= r.icc_c_1.value <= 1.0
    for c in (r.icc_c_1, r.icc_a_1):
        if not math.isnan(c.value + c.low + c.high):
            assert c.low <= c.value + 1e-9
            assert c.value <= c.high + 1e-9


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ([[1.0, 2.0]], "1 by 2"),
        ([[1.0], [2.0]], "2 by 1"),
        ([], "table of trials is 0"),
        (3.0, "a single number"),
        ([[1.0, 2.0], [3.0]], "same number of trials"),
        ([[1.0, 2.0], [3.0, math.nan]], "Subject 2 of 2"),
        ([[1.0, math.inf], [3.0, 4.0]], "Subject 1 of 2"),
        ([[1.0, 1.0], [3.0, 3.0]], "copies"),
        ([[2.0, 2.0], [2.0, 2.0]], "copies"),
        ([[0.0, 0.0], [0.0, 0.0]], "copies"),
        ([["a", "b"], ["c", "d"]], "no number"),
    ],
)
def test_bad_tables_are_refused(table: object, what: str) -> None:
    with pytest.raises(SwaytrainerError, match=what):
        reliability(table)  # type: ignore[arg-type]


def test_bad_confidence_is_refused() -> None:
    with pytest.raises(SwaytrainerError, match="between 0 and 1"):
        reliability(MADE_UP, 95.0)


def test_subjects_alike_have_no_coefficient_of_agreement() -> None:
    r = reliability([[1.0, 2.0], [2.0, 1.0]])
    assert r.icc_c_1.value == pytest.approx(-1.0)
    assert math.isnan(r.icc_a_1.value)
    assert math.isnan(r.icc_c_k.value)


def test_uneven_subjects_are_left_out_whole() -> None:
    trials = [[1.0, 2.0, 3.0], [4.0, math.nan, 5.0, 6.0], [7.0, 8.0]]
    assert complete(trials, 3) == [[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]]
