"""An hour through the live measures, against sums that are hardly rounded.

``python -m tests.bench.day`` does it for a day, and tells what a sample costs.
"""

from __future__ import annotations

import numpy as np
import pytest

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.live import LiveSway
from swaytrainer.sway.prepare import trace_from_cop
from swaytrainer.sway.table import foot_measures, sway_measures
from tests.sway.standing import BAND, FEET, Standing, exact, hour


def streamed(stood: list[Standing]) -> dict[str, float]:
    live = LiveSway(FEET, *BAND)
    for now in stood:
        columns = (now.time_s, now.x_mm, now.y_mm, now.gap)
        for t, x, y, gone in zip(*(column.tolist() for column in columns), strict=True):
            if gone:
                live.gap()
            live.update(CopSample(t, 600.0, x, y, 0.0))
    return live.get()


def test_an_hour_is_exact_to_a_billionth_far_from_the_centre_and_late_in_the_day() -> None:
    stood = hour(23)
    assert stood.x_mm.mean() > 100.0
    assert stood.time_s[0] > 23 * 3600.0
    truth = exact([stood])
    live = streamed([stood])
    assert live == pytest.approx(truth, rel=1e-9, abs=0.0)
    batch_trace = trace_from_cop(
        stood.time_s, np.full(stood.time_s.size, 600.0), stood.x_mm, stood.y_mm, breaks=stood.gap
    )
    batch = {**sway_measures(batch_trace), **foot_measures(batch_trace, FEET, *BAND)}
    assert {key: batch[key] for key in live} == pytest.approx(truth, rel=1e-9, abs=0.0)
