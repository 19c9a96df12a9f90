"""The board's own condition: each thing that can be wrong, told, and spoiling a trial or not."""

import pytest

from swaytrainer.board import wire
from swaytrainer.sitting.health import Health
from swaytrainer.sway.cop import CopSample

STEP_S = 1 / 80


def cop(force_n: float = 450.0, twist_n: float = 0.0) -> CopSample:
    return CopSample(0.0, force_n, 0.0, 0.0, twist_n)


def run(
    health: Health, seconds: float, status: int = 0, sample: CopSample | None = None
) -> list[str | None]:
    faults = []
    for _ in range(round(seconds / STEP_S)):
        health.step(STEP_S, 1)
        faults.append(health.fault(status, sample or cop(), STEP_S))
    return faults


@pytest.mark.parametrize(
    ("status", "words", "spoils"),
    [
        (wire.STATUS_SELF_TEST, "self-test", True),
        (1 << 1, "No signal from the front right cell", True),
        (1 << 6, "rear left cell is beyond its range", True),
        (1 << 11, "rear right cell is stuck", True),
        (wire.STATUS_RATE, "wrong rate", True),
        (wire.STATUS_SUPPLY, "supply is low", False),
    ],
)
def test_each_status_bit(status: int, words: str, spoils: bool) -> None:
    health = Health(80.0, 120.0)
    [fault] = run(health, STEP_S, status)
    assert [words in w for w in health.warnings()] == [True]
    assert (fault is not None) == spoils
    assert fault is None or words in fault
    # It stays on the screen for two seconds, then goes.
    assert run(health, 1.9) == [None] * 152
    assert len(health.warnings()) == 1
    run(health, 0.2)
    assert health.warnings() == []


def test_all_is_well_is_silence() -> None:
    health = Health(80.0, 120.0)
    assert set(run(health, 5.0)) == {None}
    assert health.warnings() == []


def test_a_bit_that_comes_and_goes_does_not_flicker() -> None:
    health = Health(80.0, 120.0)
    seen = []
    for n in range(240):
        run(health, STEP_S, wire.STATUS_SUPPLY if n % 3 == 0 else 0)
        seen.append(tuple(health.warnings()))
    assert len(set(seen)) == 1


@pytest.mark.parametrize(
    ("twist_share", "seconds", "told"),
    [(0.16, 1.1, True), (0.16, 0.9, False), (0.14, 5.0, False), (-0.2, 1.1, True)],
)
def test_twist_is_told_after_a_second_and_never_spoils(
    twist_share: float, seconds: float, told: bool
) -> None:
    health = Health(80.0, 120.0)
    faults = run(health, seconds, sample=cop(450.0, twist_share * 450.0))
    assert set(faults) == {None}
    assert any("rocks" in w for w in health.warnings()) == told


def test_a_low_supply_beside_a_twist_spoils_nothing() -> None:
    health = Health(80.0, 120.0)
    faults = run(health, 2.0, wire.STATUS_SUPPLY, cop(450.0, 100.0))
    assert set(faults) == {None}
    assert len(health.warnings()) == 2


@pytest.mark.parametrize(("seconds", "told"), [(0.1, False), (0.6, True)])
def test_a_load_is_what_stays(seconds: float, told: bool) -> None:
    health = Health(80.0, 120.0)
    faults = run(health, seconds, sample=cop(1240.0))
    assert any(f is not None and "120 kg" in f for f in faults) == told
    assert bool(health.warnings()) == told


@pytest.mark.parametrize(("rate_hz", "told"), [(77.0, False), (75.0, True), (85.0, True)])
def test_the_rate_is_measured(rate_hz: float, told: bool) -> None:
    health = Health(80.0, 120.0)
    for _ in range(400):
        health.step(1 / rate_hz, 1)
    fault = health.fault(0, cop(), 1 / rate_hz)
    assert (fault is not None) == told
    assert fault is None or f"{rate_hz:.0f} samples a second instead of 80" in fault


def test_lost_frames_do_not_change_the_rate() -> None:
    health = Health(80.0, 120.0)
    for n in range(400):
        health.step((1 + n % 3) / 80, 1 + n % 3)
    assert health.rate_hz == pytest.approx(80.0)


def test_the_worst_comes_first() -> None:
    health = Health(80.0, 120.0)
    health.foreign = "Another board."
    run(health, 1.0, wire.STATUS_SUPPLY | wire.STATUS_SELF_TEST | 1 << 4, cop(1300.0))
    told = health.warnings()
    order = ["Another", "self-test", "More than", "beyond", "supply"]
    assert len(told) == len(order)
    assert all(word in sentence for word, sentence in zip(order, told, strict=True))
