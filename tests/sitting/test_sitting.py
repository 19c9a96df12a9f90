"""The whole column, from bytes to the mark, on simulated streams with known truths."""

import math
from dataclasses import asdict, replace

import numpy as np
import pytest

from swaytrainer.board import wire
from swaytrainer.board.arrivals import LinkBroken, Received, Silence
from swaytrainer.board.calibration import Calibration
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.board import BoardMake
from swaytrainer.simulate.body import CALM, HEEL_HEAVY, RESTLESS, TOE_HEAVY
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOff, StepOn
from swaytrainer.sitting.inputs import Asked, BoardFacts, Wish
from swaytrainer.sitting.live_cop import PlainCop
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.sitting.view import Happening, Phase, Where
from swaytrainer.sway.cop import cop_arrays
from swaytrainer.training.outcome import Outcome
from tests.streams import board_of, one_visit, received, run, setup_for, short_level


def outcomes(sitting: Sitting, items: list[Received]) -> list[Outcome]:
    return [e.outcome for e in run(sitting, items) if e.outcome is not None]


def test_from_bytes_to_a_mark() -> None:
    board = board_of()
    sitting = Sitting(setup_for(board))
    kinds = [e.happening for e in run(sitting, received(board, one_visit()))]
    assert kinds[0] is Happening.TARED
    assert [k for k in kinds if k is not Happening.TARED] == [
        Happening.STEPPED_ON,
        *[Happening.COUNTDOWN_TICK] * 3,
        Happening.TRIAL_STARTED,
        Happening.HALF_TIME,
        Happening.TRIAL_ENDED,
        Happening.FINISHED,
    ]
    view = sitting.view()
    assert view.outcome is not None
    assert view.outcome.counts
    assert view.marks == (view.outcome.mark,)
    assert view.best_mark == view.outcome.mark
    assert view.signal.lost == view.signal.corrupt == 0
    assert view.signal.rate_hz == pytest.approx(80.0, rel=1e-3)
    assert len(view.path_mm) == pytest.approx(6.0 * 80.0, abs=2)
    assert view.warnings == ()


def test_how_the_bytes_are_cut_changes_nothing() -> None:
    marks = []
    for pieces in (None, 1, 2):
        board = board_of()
        [outcome] = outcomes(Sitting(setup_for(board)), received(board, one_visit(), pieces=pieces))
        marks.append(asdict(outcome))
    assert marks[0] == marks[1] == marks[2]


def test_force_and_cop_are_the_simulated_ones() -> None:
    """20 kg at a known spot, through gains, noise and quantisation and back."""
    from swaytrainer.simulate.scenario import Weight

    board = board_of(7)
    sitting = Sitting(setup_for(board))
    run(sitting, received(board, Scenario((Empty(2.0), Weight(20.0, 60.0, -45.0, 2.0)))))
    view = sitting.view()
    assert view.force_n == pytest.approx(20 * 9.80665, abs=0.1)
    assert view.x_mm == pytest.approx(60.0, abs=0.1)
    assert view.y_mm == pytest.approx(-45.0, abs=0.1)


def test_manners_are_told_apart() -> None:
    marks = {}
    for manner in (CALM, RESTLESS, TOE_HEAVY, HEEL_HEAVY):
        board = board_of()
        [outcome] = outcomes(
            Sitting(setup_for(board)), received(board, one_visit(manner=manner), seed=3)
        )
        assert outcome.mark is not None
        marks[manner.name] = outcome.mark
        if manner is TOE_HEAVY:
            assert "on the toes" in outcome.reason
        if manner is HEEL_HEAVY:
            assert "on the heels" in outcome.reason
    assert marks["calm"] >= marks["restless"]
    assert marks["calm"] > marks["toe_heavy"] + 2
    assert marks["calm"] > marks["heel_heavy"] + 2


def test_lost_and_broken_frames_are_counted_and_a_few_do_no_harm() -> None:
    board = board_of(3, BoardMake(lose_share=0.004, flip_share=0.004))
    sitting = Sitting(setup_for(board))
    [outcome] = outcomes(sitting, received(board, one_visit()))
    signal = sitting.view().signal
    assert signal.lost > signal.corrupt > 0
    assert 0.0 < outcome.lost_s <= 0.02 * 6.0 + 0.05
    assert signal.rate_hz == pytest.approx(80.0, rel=0.01)


def test_a_fifth_of_the_frames_lost_does_not_count() -> None:
    board = board_of(3, BoardMake(lose_share=0.2))
    [outcome] = outcomes(Sitting(setup_for(board)), received(board, one_visit()))
    assert not outcome.counts
    assert "lost" in outcome.reason or "gone" in outcome.reason


def test_a_dead_cell_is_named_and_nothing_is_measured() -> None:
    board = board_of(3, BoardMake(dead_cell=2))
    sitting = Sitting(setup_for(board))
    assert outcomes(sitting, received(board, one_visit())) == []
    assert "rear left" in sitting.view().warnings[0]


def test_a_value_that_may_be_mixed_is_a_gap() -> None:
    """A frame marked so has no loads, however good its check sum is."""
    board = board_of()
    items = received(board, Scenario((Empty(2.0), StepOn(), Stand(4.0))))
    sitting, seen = Sitting(setup_for(board)), []
    watched = Sitting(setup_for(board), lambda time_s, _loads, gap: seen.append((time_s, gap)))
    for n, item in enumerate(items):
        data = item.data
        if n == 200:
            [frame] = [f for f in wire.Decoder().feed(data) if isinstance(f, wire.Sample)]
            data = wire.encode_sample(
                frame._replace(status=wire.STATUS_MIXED, front_left=frame.front_left + 50_000)
            )
        sitting.feed(item)
        watched.feed(Received(item.host_s, data))
    gaps = [time_s for time_s, gap in seen if gap]
    assert len(gaps) == 2  # the first sample, and the one after the marked one
    assert gaps[1] == pytest.approx(201 / 80, abs=1e-6)
    assert watched.view().force_n == pytest.approx(sitting.view().force_n, abs=0.01)


def test_a_cell_that_dies_in_a_trial_ends_it_after_ten_seconds() -> None:
    board = board_of()
    before, after = split_at(received(board, one_visit(30.0)), 11.0)
    sitting = Sitting(setup_for(board, short_level(20.0)))
    run(sitting, before)
    assert sitting.in_trial
    dead = [
        Received(
            item.host_s,
            b"".join(
                wire.encode_sample(f._replace(status=1 << 2))
                for f in wire.Decoder().feed(item.data)
                if isinstance(f, wire.Sample)
            ),
        )
        for item in after
    ]
    ended = [e for e in run(sitting, dead) if e.outcome is not None]
    assert len(ended) == 1
    assert ended[0].outcome is not None
    assert ended[0].outcome.ended == "signal lost"


def test_no_tare_is_taken_while_a_trial_runs() -> None:
    """Somebody steps off in the middle, and the empty board has drifted: the zero must stay."""
    board = board_of()
    visit = Scenario(
        (Empty(2.5), StepOn(), Stand(9.0), StepOff(), Empty(2.0), StepOn(), Stand(9.0))
    )
    sitting = Sitting(setup_for(board, short_level(15.0)))
    events = run(sitting, received(board, visit))
    started = next(e.time_s for e in events if e.happening is Happening.TRIAL_STARTED)
    assert Happening.STEPPED_BACK in [e.happening for e in events]
    assert not [e for e in events if e.happening is Happening.TARED and e.time_s > started]


def test_a_board_never_seen_empty_starts_nothing_and_says_so() -> None:
    board = board_of()
    visit = Scenario((StepOn(), Stand(10.0)))
    sitting = Sitting(setup_for(board))
    assert run(sitting, received(board, visit)) == []
    assert "Clear the board" in sitting.view().warnings[-1]
    assert sitting.tare_n is None


def test_a_known_tare_lets_it_start_at_once() -> None:
    board = board_of()
    setup = replace(setup_for(board), tare_n=(0.0, 0.0, 0.0, 0.0))
    events = run(Sitting(setup), received(board, Scenario((StepOn(), Stand(2.0)))))
    assert events[0].happening is Happening.STEPPED_ON


def split_at(items: list[Received], seconds: float) -> tuple[list[Received], list[Received]]:
    return (
        [i for i in items if i.host_s < 100.0 + seconds],
        [i for i in items if i.host_s >= 100.0 + seconds],
    )


def test_unplugged_and_plugged_in_again_is_a_marked_gap_in_the_same_trial() -> None:
    board = board_of()
    items = received(board, one_visit())
    before, after = split_at(items, 11.0)
    sitting = Sitting(setup_for(board))
    events = run(sitting, before)
    assert Happening.TRIAL_STARTED in [e.happening for e in events]
    assert sitting.in_trial
    [lost] = sitting.feed(LinkBroken(111.0, "unplugged"))
    assert lost.happening is Happening.SIGNAL_LOST
    assert sitting.feed(Silence(111.6, 0.6)) == []
    view = sitting.view()
    assert not view.signal.connected
    assert math.isnan(view.x_mm)
    events = run(sitting, [i for i in after if i.host_s > 112.0])
    assert events[0].happening is Happening.SIGNAL_BACK
    [outcome] = [e.outcome for e in events if e.outcome is not None]
    assert not outcome.counts
    assert outcome.lost_s == pytest.approx(1.0, abs=0.05)
    assert "gone for 1.0 s" in outcome.reason


def test_a_restarted_board_goes_on_in_the_same_trial() -> None:
    board = board_of()
    before, after = split_at(received(board, one_visit()), 11.0)
    again = board_of()
    restarted = received(again, Scenario((StepOn(0.1), Stand(10.0))))
    sitting = Sitting(setup_for(board))
    run(sitting, before)
    events = run(sitting, [Received(i.host_s + 11.5, i.data) for i in restarted])
    [outcome] = [e.outcome for e in events if e.outcome is not None]
    assert outcome.lost_s == pytest.approx(0.5, abs=0.05)
    assert not outcome.counts
    assert after


def test_silence_for_long_ends_the_trial_without_a_mark() -> None:
    board = board_of()
    before, _ = split_at(received(board, one_visit()), 11.0)
    sitting = Sitting(setup_for(board))
    run(sitting, before)
    assert [e.happening for e in sitting.feed(Silence(112.0, 1.0))] == [Happening.SIGNAL_LOST]
    [event] = sitting.feed(Silence(121.0, 10.0))
    assert event.outcome is not None
    assert (event.outcome.ended, event.outcome.mark) == ("signal lost", None)


def test_wishes() -> None:
    board = board_of()
    before, _ = split_at(received(board, one_visit()), 11.0)
    sitting = Sitting(setup_for(board))
    run(sitting, before)
    assert sitting.can_abort
    [event] = sitting.feed(Asked(111.0, Wish.ABORT))
    assert event.outcome is not None
    assert event.outcome.ended == "aborted"
    sitting.feed(Asked(111.1, Wish.SKIP))
    assert sitting.view().phase is Phase.WAITING


def test_another_board_in_the_middle_is_not_listened_to() -> None:
    board, other = board_of(1), board_of(2)
    before, after = split_at(received(board, one_visit()), 11.0)
    sitting = Sitting(setup_for(board))
    run(sitting, before)
    strange = received(other, Scenario((StepOn(0.1), Stand(1.0))))
    assert run(sitting, [Received(i.host_s + 11.0, i.data) for i in strange]) == []
    assert other.board_id in sitting.view().warnings[0]
    events = run(sitting, [Received(i.host_s, i.data) for i in after if i.host_s > 112.2])
    [outcome] = [e.outcome for e in events if e.outcome is not None]
    assert not outcome.counts


def test_a_newer_wire_is_told() -> None:
    board = board_of()
    sitting = Sitting(setup_for(board))
    sitting.feed(Received(1.0, b"\0" + wire.encode_frame(wire.HELLO, 0, b"\x07")))
    assert "wire 7" in sitting.view().warnings[0]


def test_the_wrong_rate_is_told_and_does_not_count() -> None:
    """The board announces 80 a second but converts 76."""
    board = board_of(1, BoardMake(rate_hz=72.0))
    setup = replace(setup_for(board), board=BoardFacts(board.board_id, 80.0))
    sitting = Sitting(setup)
    [outcome] = outcomes(sitting, received(board, one_visit()))
    assert not outcome.counts
    assert "72 samples a second instead of 80" in outcome.reason


def test_too_heavy_a_load_is_told() -> None:
    from swaytrainer.simulate.scenario import Weight

    board = board_of()
    sitting = Sitting(setup_for(board))
    run(sitting, received(board, Scenario((Empty(2.0), Weight(125.0, 0.0, 0.0, 1.0)))))
    assert sitting.view().force_n == pytest.approx(125 * 9.80665, rel=1e-3)
    assert "120 kg" in sitting.view().warnings[0]


def test_a_rocking_board_is_told_and_not_scored() -> None:
    setup = setup_for(board_of())
    sitting = Sitting(setup)
    calibration = setup.calibration
    assert isinstance(calibration, Calibration)
    n = 0

    def feed(seconds: float, loads: tuple[float, float, float, float]) -> None:
        nonlocal n
        for _ in range(round(seconds * 80)):
            counts = [
                round(load / g + o)
                for load, g, o in zip(
                    loads, calibration.gain_n_per_count, calibration.offset_counts, strict=True
                )
            ]
            n += 1
            line = wire.encode_sample(wire.Sample(n & 0xFFFF, n * 12_500, 0, *counts))
            sitting.feed(Received(n / 80, line))

    feed(1.5, (0.0, 0.0, 0.0, 0.0))
    feed(2.0, (200.0, 50.0, 50.0, 200.0))
    assert "rocks" in sitting.view().warnings[0]
    assert sitting.view().x_mm == pytest.approx(0.0, abs=0.01)


def test_another_boards_calibration_or_too_slow_a_board_is_refused() -> None:
    board = board_of()
    setup = setup_for(board)
    with pytest.raises(SwaytrainerError, match="calibrate"):
        Sitting(replace(setup, board=BoardFacts("00000000000000ff", 80.0)))
    with pytest.raises(SwaytrainerError, match="10 samples a second"):
        Sitting(replace(setup, board=BoardFacts(board.board_id, 10.0)))


def test_the_observer_sees_the_same_loads_that_the_trial_measures() -> None:
    board = board_of()
    seen: list[tuple[tuple[float, ...], bool]] = []
    sitting = Sitting(setup_for(board), lambda _time_s, loads, gap: seen.append((loads, gap)))
    run(sitting, received(board, Scenario((Empty(2.0), StepOn(), Stand(1.0)))))
    assert [gap for _, gap in seen] == [True, *[False] * (len(seen) - 1)]
    assert sum(seen[-1][0]) == pytest.approx(45.0 * 9.80665, rel=0.02)
    # The tare is taken off: the empty board reads zero once it has been found.
    assert abs(sum(seen[150][0])) < 0.3


def test_a_renewed_sitting_keeps_the_tare() -> None:
    board = board_of()
    sitting = Sitting(setup_for(board))
    items = received(board, Scenario((Empty(2.0), StepOn(), Stand(1.0), StepOff())))
    run(sitting, items[:200])
    assert sitting.tare_n is not None
    renewed = sitting.renewed()
    assert renewed.tare_n == sitting.tare_n
    assert renewed.idle
    assert renewed.view().where is Where.NOWHERE


def test_a_marked_level_keeps_its_terms() -> None:
    board = board_of()
    [outcome] = outcomes(Sitting(setup_for(board, short_level(5.0))), received(board, one_visit()))
    assert asdict(outcome.terms) == {
        "rate_hz": 80.0,
        "filter": "causal 2nd-order Butterworth, 10 Hz",
        "seconds": 5.0,
        "base": "firm",
        "stance": "two feet",
        "eyes": "open",
        "feedback": "full",
    }


def test_the_unfiltered_cop_is_that_of_each_sample_by_itself() -> None:
    calibration = board_of().true_calibration()
    plain = PlainCop(calibration)
    rng = np.random.default_rng(2)
    for row in rng.uniform(0, 200, (50, 4)):
        loads = tuple(float(v) for v in row)
        force, x, y, _ = cop_arrays(row[None, :], calibration.places, calibration.load_threshold_n)
        sample = plain.update(1.0, loads)
        assert sample[1:4] == pytest.approx((force[0], x[0], y[0]), nan_ok=True)
    assert math.isnan(plain.update(0.0, (1.0, 1.0, 1.0, 1.0)).x_mm)
