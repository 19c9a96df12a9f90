"""Level files: the shipped ones are sound, wrong ones are told by line, field and reason."""

from dataclasses import replace
from pathlib import Path

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.training.level_file import level_text, read_level, shipped_levels

SHORE = (
    Path(__file__).parents[2] / "swaytrainer/training/levels/10-millpond-shore.toml"
).read_text(encoding="utf-8")


def test_shipped_levels_can_be_read_and_written_back() -> None:
    levels = shipped_levels()
    assert len(levels) >= 3
    assert len({level.id for level in levels}) == len(levels)
    for level in levels:
        assert read_level(level_text(level), "again") == level
        assert any("mat" in caution for caution in level.cautions)
        assert any("pain" in caution for caution in level.cautions)


def test_texts_survive_quotes_and_odd_letters() -> None:
    text = SHORE.replace('"Millpond: the shore"', '"A \\"quoted\\" é ✨ \\\\ title"')
    level = read_level(text, "x")
    assert level.title == 'A "quoted" é ✨ \\ title'
    assert read_level(level_text(level), "y") == level


def line_of(piece: str) -> int:
    return next(i for i, line in enumerate(SHORE.splitlines(), 1) if line.startswith(piece))


@pytest.mark.parametrize(
    ("old", "new", "line", "field", "why"),
    [
        ("seconds = 20", "seconds = 2", "seconds", "seconds", "between 5 and 120 s"),
        ("seconds = 20", "seconds = nan", "seconds", "seconds", "not a number"),
        ("seconds = 20", 'seconds = "20"', "seconds", "seconds", "not a number"),
        ("trials = 3", "trials = 3.5", "trials", "trials", "whole number"),
        ('eyes = "open"', 'eyes = "shut"', "eyes", "eyes", '"open", "closed"'),
        ("rest_s = 20", "rset_s = 20", "rest_s", "rset_s", "misspelling"),
        ("spotter = false", 'spotter = "no"', "spotter", "spotter", "true or false"),
        ("band_high_percent = 55", "band_high_percent = 30", "band_high", "band_high", "above"),
        ('id = "millpond-shore"', 'id = "Mill pond"', "id", "id", "small letters"),
        ('eyes = "open"', 'eyes = "closed"', "spotter", "spotter", "closed eyes"),
        ('base = "firm"', 'base = "dome"', "spotter", "spotter", "firm ground or foam"),
        ("seconds = 20", "seconds = 1" + "0" * 400, "seconds", "seconds", "not a number"),
        ("all_at = 5.5", "all_at = 31", "all_at = 5.5", "all_at", "below nothing_at"),
        ("all_at = 100", "all_at = 20", "all_at = 100", "all_at", "above nothing_at"),
        ("format = 1", "format = 2", "format", "format", "newer"),
    ],
)
def test_a_wrong_file_is_told_by_line_field_and_reason(
    old: str, new: str, line: str, field: str, why: str
) -> None:
    assert old in SHORE
    with pytest.raises(SwaytrainerError) as caught:
        read_level(SHORE.replace(old, new, 1), "my.toml")
    told = str(caught.value)
    assert "my.toml" in told
    assert f"line {line_of(line)}," in told
    assert f"'{field}" in told
    assert why in told


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (SHORE + '\n[[marked]]\nmeasure = "mean_speed_mm_s"\n', "two at most"),
        (SHORE.replace("weight = 0.5", "weight = 0.6", 1), "add up to 1"),
        (SHORE.replace("time_in_band_percent", "mean_speed_mm_s"), "all_at"),
        (SHORE.replace("mean_speed_mm_s", "steps_an_hour"), "must be one of"),
        (SHORE.replace("seconds = 20", "seconds ="), "line 11"),
        ("", "format"),
        (SHORE.split("[[marked]]", maxsplit=1)[0] + "marked = [1]\n", "a table under"),
        (SHORE.replace('measure = "mean_speed_mm_s"', "measure = []"), "must be one of"),
        (SHORE.replace("seconds = 20", "seconds = " + "1" * 5000), "not valid TOML"),
        (SHORE.replace("seconds = 20", "seconds = " + "[" * 3000), "not valid TOML"),
        (SHORE.replace("cautions = [", "cautions = []\nx = ["), "not a field|cautions"),
    ],
)
def test_other_ways_to_be_wrong(text: str, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        read_level(text, "my.toml")


def test_a_game_that_gives_and_takes_feedback_itself_has_only_one_kind_of_it() -> None:
    echo = next(level for level in shipped_levels() if level.game == "echo")
    with pytest.raises(SwaytrainerError, match=r"feedback.+full"):
        read_level(level_text(replace(echo, feedback="sound")), "in a.toml")
