"""The chip's tests need the compiler and the simulator: skipped with the reason, or failed."""

import pytest

from tests.hardware import bench


@pytest.fixture(autouse=True)
def _tools() -> None:
    bench.skip_or_fail()
