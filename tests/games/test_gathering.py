from __future__ import annotations

from swaytrainer.games.gathering import CALM_PER_GUEST_S, UNREST_PER_FLIGHT_S, Gathering
from swaytrainer.sitting.view import Phase, Where
from tests.games.scenes import view


def live(gathering: Gathering, seconds: float, start_s: float = 0.0, **changes: object) -> None:
    """Feed views at 50 Hz; inside the band calm time runs with the clock."""
    calm = changes.get("where", Where.INSIDE) is Where.INSIDE
    begin_calm = float(changes.pop("calm_from", start_s))  # type: ignore[arg-type]
    for k in range(round(seconds * 50) + 1):
        t = k / 50
        gathering.update(
            view(
                Phase.RUNNING,
                phase_s=start_s + t,
                calm_s=begin_calm + (t if calm else 0.0),
                **changes,
            )
        )


def test_a_guest_for_every_calm_spell() -> None:
    gathering = Gathering(1)
    live(gathering, 4 * CALM_PER_GUEST_S + 0.1, stillness=0.9)
    assert len(gathering.guests) == 4


def test_in_the_band_but_lively_brings_nobody() -> None:
    gathering = Gathering(1)
    live(gathering, 20.0, stillness=0.4)
    assert gathering.guests == []


def test_unrest_drives_off_the_newest_and_keeps_the_oldest() -> None:
    gathering = Gathering(1)
    live(gathering, 4 * CALM_PER_GUEST_S + 0.1, stillness=0.9)
    before = list(gathering.guests)
    live(gathering, 2 * UNREST_PER_FLIGHT_S + 0.1, start_s=10.1, stillness=0.1)
    assert gathering.guests == before[:2]


def test_toes_and_heels_are_unrest_even_when_still() -> None:
    for where in (Where.TOES, Where.HEELS):
        gathering = Gathering(1)
        live(gathering, 2 * CALM_PER_GUEST_S + 0.1, stillness=0.9)
        live(gathering, 1.5, start_s=5.1, where=where, stillness=0.9)
        assert len(gathering.guests) == 1


def test_a_new_trial_begins_with_an_empty_pond_and_equal_seeds_bring_equal_guests() -> None:
    one, other = Gathering(7), Gathering(7)
    live(one, 30.0, stillness=0.9)
    live(other, 30.0, stillness=0.9)
    assert one.guests == other.guests
    assert len({guest.kind for guest in one.guests}) > 1
    live(one, 3.0, stillness=0.9, trial=2)
    assert len(one.guests) == 1


def test_stepping_back_on_does_not_count_the_time_away() -> None:
    gathering = Gathering(1)
    live(gathering, 10.1, stillness=0.9)
    gathering.update(view(Phase.OFF, phase_s=3.0, calm_s=10.1, where=Where.NOWHERE))
    live(gathering, 0.1, start_s=0.0, calm_from=10.1, where=Where.TOES, stillness=0.0)
    assert len(gathering.guests) == 4
