"""Three findings: in their order, with numbers that are those of the trials, and none too much."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np

from swaytrainer.progress.about import About, done_of, rungs_of
from swaytrainer.progress.assess import Found, assess, courses
from swaytrainer.progress.contrasts import contrasts_of
from swaytrainer.progress.days import DatedValue
from swaytrainer.progress.findings import findings
from swaytrainer.progress.terms import Task
from swaytrainer.training.level import Level
from swaytrainer.training.vaulter import Vaulter
from tests.progress.test_about import (
    BETTER,
    CLIMBED,
    LEVEL,
    LEVELS,
    OFTEN,
    TASK,
    TERMS,
    TODAY,
    WORSE,
    about,
    rows,
    trial,
)

FIRM: Level = LEVEL


def words(who: About) -> list[str]:
    return [finding.words for finding in findings(who)]


def test_nobody_without_a_trial_is_told_anything() -> None:
    assert findings(about([])) == []


def test_what_got_better_comes_first_then_the_climb() -> None:
    found = findings(about([*OFTEN, *CLIMBED], [*WORSE, *rows([20.0, 21.0, 20.5, 12.0, 11.8, 12.2],
                                                 measure="mean_speed_mm_s")]))  # fmt: skip
    assert found[0].words.startswith("You stand calmer")
    assert "from 20 to 12 mm/s" in found[0].numbers
    assert found[1].words.startswith("You climbed the ladder")
    assert found[2].words.startswith("Worth a look together with your coach: mark")


def test_a_smaller_area_and_a_slower_path_are_told_once() -> None:
    slower = rows([20.0, 21.0, 20.5, 12.0, 11.8, 12.2], measure="mean_speed_mm_s")
    smaller = rows([300.0, 310.0, 305.0, 150.0, 148.0, 152.0], measure="ellipse_area_mm2")
    said = words(about(OFTEN, [*slower, *smaller, *BETTER]))
    assert sum("calmer" in text for text in said) == 1
    assert not any("smaller area" in text for text in said)
    assert any("marks have really risen" in text for text in said)


def test_at_most_three_and_no_two_alike() -> None:
    said = words(about([*OFTEN, *CLIMBED], [*BETTER, *BETTER, *WORSE]))
    assert len(said) == 3
    assert len(set(said)) == 3


def test_what_costs_points_is_the_part_that_costs_most() -> None:
    """Open water marks time in the band and calm; the values earn 30 % and 90 % of their points."""
    assert {part.measure for part in FIRM.parts} == {"time_in_band_percent", "calm_speed_mm_s"}
    found = []
    at = TODAY.toordinal() - 1
    for part, share in zip(FIRM.parts, (0.3, 0.9), strict=True):
        value = part.nothing_at + share * (part.all_at - part.nothing_at)
        found.append(Found("Wren", TASK, part.measure, DatedValue(at, value), "one"))
    measures = tuple(part.measure for part in FIRM.parts)
    made = assess(courses(found), measures, None, 3).rows
    who = about([trial(1)], list(made))
    said = findings(who)
    part = FIRM.parts[0]
    value = part.nothing_at + 0.3 * (part.all_at - part.nothing_at)
    assert said[0].words == "What still costs you most points: In the lane."
    assert f"{value:.0f} %" in said[0].numbers
    assert f"all points at {part.all_at:.0f} %" in said[0].numbers


def test_what_is_missing_to_pass_is_told_and_three_times_ordinary_never() -> None:
    low, high = FIRM.band_low_percent, FIRM.band_high_percent
    even = rows([(low + high) / 2.0] * 6, measure="toe_share_percent")
    short = [*even, *rows([5.0, 5.2, 4.9, 5.1, 5.0, 5.2])]
    said = findings(about(OFTEN, short))
    assert said[0].words == f"Your last day was 0.8 points short of passing “{FIRM.title}”."
    assert said[0].numbers == "mark 5.2 on the last day; 6 passes a trial"
    assert [f.words[:11] for f in said[1:]] == ["Your weight"]
    # Passing already: what is as it should be, and as ever, and no third of that kind.
    said = findings(about(OFTEN, [*even, *rows([7.0, 7.2, 6.9, 7.1, 7.0, 7.2])]))
    assert [f.words[:10] for f in said] == ["Your weigh", "Your marks"]


def test_the_toe_share_is_held_against_the_levels_band() -> None:
    low, high = FIRM.band_low_percent, FIRM.band_high_percent
    for share, word in (
        (low - 1.0, "heels"), (high + 1.0, "toes"), ((low + high) / 2.0, "whole sole"),
    ):  # fmt: skip
        found = rows([share], measure="toe_share_percent")
        said = findings(about([trial(1)], found))[0]
        assert word in said.words
        assert f"{share:.0f} % on the toes" in said.numbers


def test_more_weight_on_one_foot_is_told_and_a_little_more_is_not() -> None:
    for share, foot in ((58.0, "right foot bears more"), (42.0, "left foot bears more")):
        said = findings(about([trial(1)], rows([share], measure="right_share_percent")))[0]
        assert foot in said.words.casefold()
        assert f"right {share:.0f} %" in said.numbers
    held = rows([54.0], measure="right_share_percent")
    assert not any("foot" in said for said in words(about([trial(1)], held)))


def test_eyes_closed_against_open_with_the_means_of_the_common_days() -> None:
    rng = np.random.default_rng(2)
    shut = Task(replace(TERMS, eyes="closed"), TASK.task)
    found = []
    for n in range(6):
        at = TODAY.toordinal() - 1 - 3 * n
        day = float(np.exp(0.1 * rng.normal()))
        found.append(Found("Wren", TASK, "mean_speed_mm_s", DatedValue(at, 10.0 * day), "one"))
        found.append(Found("Wren", shut, "mean_speed_mm_s", DatedValue(at, 14.0 * day), "one"))
    made = assess(courses(found), ("mean_speed_mm_s",), None, 3).rows
    who = replace(about(OFTEN, list(made)), contrasts=tuple(contrasts_of(made)))
    said = findings(who)[0]
    assert said.words == "With eyes closed you sway more than with them open: most people do."
    assert "on 6 days with both" in said.numbers


def test_a_newcomer_is_told_that_it_is_too_early() -> None:
    said = words(about([trial(1)], rows([6.0])))
    assert said[0] == "It is too early to tell a change from just another day."
    assert said[1].startswith("Two days a week")


def test_marks_that_hold_are_said_to_hold() -> None:
    rng = np.random.default_rng(3)
    held = rows([float(6.0 + 0.3 * z) for z in rng.normal(size=9)])
    assert any(said.startswith("Your marks hold") for said in words(about(OFTEN, held)))


def test_a_day_gone_by_on_another_level_is_not_told_as_the_newest() -> None:
    """The newest trial's own terms: an older row of the same measure is not its value."""
    stale = rows([90.0], measure="toe_share_percent", ends=9)
    assert not any("toes" in said for said in words(about([trial(1)], stale)))
    later = trial(1)
    assert later.made.date() == TODAY - timedelta(days=1)


def test_somebody_elses_rows_never_slip_in() -> None:
    at = TODAY.toordinal() - 1
    found = [Found("Tarn", TASK, "mark", DatedValue(at, 9.0), "one")]
    made = assess(courses(found), ("mark",), None, 3).rows
    who = About(Vaulter("Wren"), TODAY, rungs_of(LEVELS), done_of([trial(1)]), (), ())
    assert [row.vaulter for row in made] == ["Tarn"]
    assert words(who) == ["Two days a week are what trains well; yours of the last four weeks:"]
