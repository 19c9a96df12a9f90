"""What all tests share: how hypothesis runs, and what happens where the open data are missing."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

from tests import open_data

# No deadline: a busy machine must not fail a test.
settings.register_profile("dev", deadline=None, max_examples=100)
settings.register_profile("ci", deadline=None, max_examples=100, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "dev")


def pytest_runtest_setup(item: pytest.Item) -> None:
    if item.get_closest_marker("open_data") is None or open_data.folder().is_dir():
        return
    reason = (
        f"the open standing trials are not at {open_data.folder()}:"
        f" put them there, or set {open_data.FOLDER_VARIABLE}"
    )
    if os.environ.get(open_data.REQUIRE_VARIABLE) == "1":
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)
