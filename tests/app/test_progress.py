"""``swaytrainer progress`` on data folders: kept simulated recordings, and weeks of outcomes."""

import csv
import json
import math
import re
import shutil
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.app.kept_values import of_one
from swaytrainer.cli import main
from swaytrainer.progress.change import NOT_ENOUGH, ORDINARY, REAL_BETTER
from swaytrainer.sitting.sitting import Setup
from swaytrainer.store.home import Home
from swaytrainer.store.recording import Recording, outcome_json
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome, Terms
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import use_language
from tests.streams import board_of, setup_for

KEPT = Path(__file__).parents[2] / "sessions"
SETUP = setup_for(board_of(), shipped_levels()[0])
MONDAY = datetime(2026, 9, 7, 17, 0, tzinfo=UTC)
FIRM = Terms(80.0, "causal 2nd-order Butterworth, 10 Hz", 20.0, "firm", "two feet", "open", "full")


def outcome(number: int, speed: float, terms: Terms = FIRM) -> Outcome:
    measures = {
        "mean_speed_mm_s": speed,
        "ellipse_area_mm2": 10.0 * speed,
        "toe_share_percent": 40.0,
        "time_in_band_percent": 90.0,
    }
    return Outcome(
        number, "complete", True, 7.0, (), 0.0, "Made.", "Go on.", 0, 0.0, 0.0, measures, terms
    )


def keep(home: Path, name: str, day: int, outcomes: list[Outcome]) -> None:
    setup = replace(SETUP, vaulter=Vaulter(name, 230.0, 180.0))
    recorder = Home(home).new_recorder(setup, MONDAY + timedelta(days=day))
    for item in outcomes:
        recorder.append_outcome(item)
    recorder.close()


def weeks(home: Path, name: str, levels: list[float], seed: int) -> None:
    rng = np.random.default_rng(seed)
    for n, level in enumerate(levels):
        day = level * math.exp(0.05 * rng.normal())
        trials = [outcome(k, day * math.exp(0.1 * rng.normal())) for k in (1, 2, 3)]
        keep(home, name, 4 * n, trials)


@pytest.fixture
def squad(tmp_path: Path) -> Path:
    weeks(tmp_path, "Ilvy", [12.0] * 3 + [8.0] * 4, 1)
    weeks(tmp_path, "Bosse", [10.0] * 7, 2)
    weeks(tmp_path, "Nele", [15.0] * 4, 3)
    return tmp_path


def rows(
    home: Path, capsys: pytest.CaptureFixture[str], *more: str
) -> tuple[list[dict[str, object]], dict[str, object]]:
    assert main(["--home", str(home), "progress", *more, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    return told["rows"], told


def test_one_got_better_one_did_not_one_has_too_few_days(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found, told = rows(squad, capsys, "--measure", "mean_speed_mm_s")
    by_name = {row["vaulter"]: row for row in found}
    assert {name: row["verdict"] for name, row in by_name.items()} == {
        "Ilvy": REAL_BETTER,
        "Bosse": ORDINARY,
        "Nele": NOT_ENOUGH,
    }
    ilvy = by_name["Ilvy"]
    assert (ilvy["days"], ilvy["trials"], ilvy["look"], ilvy["days_missing"]) == (7, 21, 1, 2)
    # The squad's part: Bosse's 7 days about a line leave 5, Nele's 4 leave 2; 6 are used.
    assert (ilvy["spread_own_df"], ilvy["spread_squad_df"]) == (4, 6)
    assert ilvy["difference"] == pytest.approx(-33, abs=8)
    assert isinstance(ilvy["trend_high"], float)
    assert ilvy["trend_high"] < 0
    assert (ilvy["base"], ilvy["task"], ilvy["unit"]) == ("firm", "millpond", "mm/s")
    assert told["notes"] == []
    assert told["not_compared"] == []


def test_the_text_and_the_table_tell_the_same(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = squad / "progress.csv"
    assert main(["--home", str(squad), "progress", "ilvy", "--csv", str(table)]) == 0
    text = capsys.readouterr().out
    assert "Ilvy: firm, two feet, eyes open" in text
    assert "sway speed (mean_speed_mm_s): 7 days, 21 trials" in text
    assert REAL_BETTER in text
    assert "% a week" in text
    assert "Bosse" not in text
    with table.open(encoding="utf-8", newline="") as file:
        written = list(csv.DictReader(file))
    assert [row["measure"] for row in written] == [
        "mark",
        "mean_speed_mm_s",
        "time_in_band_percent",
        "ellipse_area_mm2",
        "toe_share_percent",
    ]
    assert written[1]["verdict"] == REAL_BETTER
    assert float(written[1]["counts_below"]) > float(written[1]["latest"])
    # What never changed at all has nothing to judge by.
    assert written[0]["verdict"] == ORDINARY
    assert written[0]["counts_below"] == ""


def test_unequal_terms_are_kept_apart_and_named(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    foam = replace(FIRM, base="foam", seconds=25.0)
    keep(squad, "Ilvy", 40, [outcome(1, 30.0, foam)])
    found, told = rows(squad, capsys, "Ilvy", "--measure", "mean_speed_mm_s")
    assert [(row["base"], row["days"]) for row in found] == [("firm", 7), ("foam", 1)]
    assert told["not_compared"] == [
        "Ilvy: not compared across duration (20 s, 25 s), base (firm, foam): mean_speed_mm_s."
    ]
    assert found[0]["verdict"] == REAL_BETTER


def test_what_does_not_count_is_left_out_and_said(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, _ = rows(squad, capsys)
    odd = outcome(1, 99.0)
    keep(squad, "Ilvy", 41, [replace(odd, counts=False), replace(odd, number=2, step_offs=2)])
    keep(squad, "Ilvy", 42, [outcome(1, math.nan)])
    (squad / "recordings" / "2026-09-07" / "torn.sway").write_bytes(b"swaytrainer recording 1\n")
    after, told = rows(squad, capsys)
    notes = " ".join(str(note) for note in told["notes"])  # type: ignore[attr-defined]
    assert "1 trial that did not count" in notes
    assert "1 trial with a step off" in notes
    assert "torn.sway is damaged" in notes

    def speed_days(found: list[dict[str, object]]) -> object:
        return next(
            row["days"] for row in found if (row["vaulter"], row["unit"]) == ("Ilvy", "mm/s")
        )

    assert speed_days(before) == speed_days(after) == 7
    mark = next(r for r in after if (r["vaulter"], r["measure"]) == ("Ilvy", "mark"))
    assert mark["days"] == 9  # the step off is in the mark already
    speed = next(r for r in after if (r["vaulter"], r["unit"]) == ("Ilvy", "mm/s"))
    assert speed["notes"] == ["1 trial without a usable value left out."]


def test_a_later_beginning_and_larger_blocks(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    speed = ("Ilvy", "--measure", "mean_speed_mm_s")
    found, _ = rows(squad, capsys, *speed, "--since", "2026-09-19")
    assert (found[0]["days"], found[0]["verdict"]) == (4, NOT_ENOUGH)
    found, _ = rows(squad, capsys, *speed, "--block-days", "2")
    assert (found[0]["look"], found[0]["verdict"]) == (2, REAL_BETTER)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["Nobody"], "no counted trial of 'Nobody'"),
        (["--measure", "ellipse_angle_deg"], "no measure 'ellipse_angle_deg'"),
        (["--block-days", "0"], "block of 0 days"),
        (["--since", "yesterday"], "'yesterday' is no date"),
        (["nele", "--since", "2030-01-01"], "Nele has no counted trial since 2030-01-01"),
        (["--squad", "Nele"], "takes no NAME"),
        (["--squad", "--since", "2026-09-01", "--measure", "mark"], "no --measure, --since"),
        (["--squad", "--block-days", "2"], "takes no --block-days"),
        (["--csv", "/no/such/folder/a.csv"], "Can't write"),
    ],
)
def test_refusals(
    squad: Path, capsys: pytest.CaptureFixture[str], more: list[str], said: str
) -> None:
    assert main(["--home", str(squad), "progress", *more]) == 1
    assert said in capsys.readouterr().err


def test_an_empty_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--home", str(tmp_path), "progress"]) == 0
    assert "No counted trials" in capsys.readouterr().out
    assert main(["--home", str(tmp_path), "progress", "Ilvy"]) == 1
    assert "Record some trials first" in capsys.readouterr().err


def test_somebody_in_the_list_without_a_trial_is_told_what_to_do(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Home(squad).add_vaulter(Vaulter("Pim"))
    assert main(["--home", str(squad), "progress", "pim"]) == 1
    told = capsys.readouterr().err
    assert "Pim has no counted trial yet. Train first:" in told
    assert "--vaulter NAME" in told
    assert main(["--home", str(squad), "progress", "--since", "2030-01-01"]) == 0
    assert "since 2030-01-01." in capsys.readouterr().out


def test_the_squads_table_for_other_programs(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = Home(squad)
    for name in ("Ilvy", "Pim"):
        home.add_vaulter(Vaulter(name))
    table = squad / "squad.csv"
    arguments = ["--home", str(squad), "--language", "de", "progress", "--squad", "--json"]
    try:
        assert main([*arguments, "--csv", str(table)]) == 0
    finally:
        use_language("en")
    told = json.loads(capsys.readouterr().out)
    assert [(row["vaulter"], row["word"]) for row in told["squad"]][-1] == ("Pim", "new")
    assert told["squad"][-1]["days_since"] is None
    with table.open(encoding="utf-8", newline="") as file:
        written = list(csv.DictReader(file))
    assert [row["vaulter"] for row in written] == [row["vaulter"] for row in told["squad"]]
    assert float(written[0]["four_weeks_minutes"]) >= 0.0


def test_in_german_all_is_german_and_the_json_as_ever(
    squad: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    foam = replace(FIRM, base="foam", seconds=25.0)
    keep(squad, "Ilvy", 40, [outcome(1, 30.0, foam)])
    keep(squad, "Ilvy", 41, [replace(outcome(1, 9.0), counts=False)])
    german = ["--home", str(squad), "--language", "de", "progress", "ilvy"]
    try:
        assert main(german) == 0
        told = capsys.readouterr().out
        assert main([*german, "--json"]) == 0
        with_german = capsys.readouterr().out
        assert main([*german[:-1], "Nobody"]) == 1
        assert "keinen gewerteten Versuch; es gibt" in capsys.readouterr().err
    finally:
        use_language("en")
    assert main(["--home", str(squad), "progress", "ilvy", "--json"]) == 0
    assert capsys.readouterr().out == with_german
    for words in (
        "7 Tage, 21 Versuche, Mittel",
        "wirklich verändert: besser",
        "ein gewöhnlicher Tag: ",
        "fester Boden, beide Füße, Augen offen",
        "nicht verglichen über Dauer (20 s, 25 s)",
        "Ausgelassen: 1 Versuch ohne Wertung",
        "Ilvy: nicht da – Seit 39 Tagen kein Versuch",
    ):
        assert words in told, words
    # What English is left are the measures' keys, and the task as the recordings have it.
    bare = re.sub(r"[a-z]+_[a-z0-9_]+|Aufgabe \(.*\)", "", told)
    assert not re.search(r"\b(the|of|to|day|days|mean|from|trials|with|only)\b", bare)
    assert not re.search(r"\d\.\d", bare)
    assert re.search(r"\d,\d", bare)


def test_no_difference_is_no_rest_of_rounding(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for day, mark in enumerate((7.1, 7.2, 7.3, 7.3, 7.2, 7.1)):
        keep(tmp_path, "Wren", day, [replace(outcome(1, 10.0), mark=mark)])
    assert main(["--home", str(tmp_path), "progress", "wren", "--measure", "mark"]) == 0
    told = capsys.readouterr().out
    assert "+0 marks (" in told
    assert "e-1" not in told


def test_the_kept_recordings_and_a_measure_that_only_a_replay_knows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    day = tmp_path / "recordings" / "2026-09-12"
    day.mkdir(parents=True)
    shutil.copy(KEPT / "1-mika-toes-then-even.sway", day)
    both = ("--measure", "mean_speed_mm_s", "--measure", "median_frequency_hz")
    found, told = rows(tmp_path, capsys, *both)
    by_key = {row["measure"]: row for row in found}
    assert by_key["mean_speed_mm_s"]["trials"] == by_key["median_frequency_hz"]["trials"] == 2
    assert "causal" in str(by_key["mean_speed_mm_s"]["filter"])
    assert "zero-phase" in str(by_key["median_frequency_hz"]["filter"])
    assert 0.15 < float(str(by_key["median_frequency_hz"]["mean"])) < 2.0
    assert told["not_compared"] == []
    # The analysis says the same of the same trials.
    assert main(["analyse", str(day / "1-mika-toes-then-even.sway"), "--json"]) == 0
    trials = json.loads(capsys.readouterr().out)["trials"]
    mean = math.exp(sum(math.log(t["median_frequency_hz"]) for t in trials) / 2)
    assert by_key["median_frequency_hz"]["mean"] == pytest.approx(mean, rel=1e-9)


ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=6,
)
KEYS = ("number", "ended", "counts", "mark", "step_offs", "measures", "terms")


@given(st.lists(st.dictionaries(st.sampled_from(KEYS), ANY_JSON), max_size=4), st.data())
def test_whatever_another_version_kept_is_counted_as_left_out_or_read(
    odd: list[dict[str, object]], data: st.DataObject
) -> None:
    whole = outcome_json(outcome(1, 12.0))
    # As often with all the other fields as they should be.
    shown = [{**whole, **item} if data.draw(st.booleans()) else item for item in odd]
    kept = Recording(SETUP, MONDAY.isoformat(), "0", (), (whole, *shown))
    left_out: dict[str, int] = {}
    found = of_one(Path("none.sway"), kept, MONDAY.date(), ("mark",), left_out)
    assert 1 <= len(found) <= 1 + len(shown)
    assert found[0].dated.value == 7.0
    for item in found:
        assert math.isfinite(item.dated.value) or math.isnan(item.dated.value)
        assert item.task.terms.rate_hz > -math.inf
    assert len(found) + sum(left_out.values()) >= 1 + len(shown)


def test_a_games_numbers_and_hops_belong_to_the_task(monkeypatch: pytest.MonkeyPatch) -> None:
    level = replace(SETUP.level, task=(("speed", 3.0),))
    hopped = outcome_json(replace(outcome(1, 12.0), step_offs=2))

    def tasks(setup: Setup) -> list[str]:
        kept = Recording(setup, MONDAY.isoformat(), "0", (), (hopped,))
        keys = ("mean_speed_mm_s", "mark")
        return [f.task.task for f in of_one(Path("none.sway"), kept, MONDAY.date(), keys, {})]

    assert [t.split(",")[0] for t in tasks(SETUP)] == ["millpond"]  # the mark alone
    hopping = replace(KINDS["millpond"], leaves_board=True)
    monkeypatch.setitem(KINDS, "millpond", hopping)
    found = tasks(replace(SETUP, level=level))
    assert found[0] == "millpond (speed 3)"
    assert found[1].startswith("millpond (speed 3), toe share 30-55 %, marked by time_in_band")


def test_four_weeks_are_all_of_four_weeks_however_many_sittings(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    setup = replace(SETUP, vaulter=Vaulter("Bosse", 230.0, 180.0))
    home = Home(tmp_path)
    home.add_vaulter(Vaulter("Bosse"))
    noon = datetime.now().astimezone().replace(hour=12, minute=0, second=0, microsecond=0)
    for n in range(75):
        # Five sittings on each of fifteen days, more than the newest sixty.
        made = noon - timedelta(days=1 + n // 5) + timedelta(minutes=10 * (n % 5))
        recorder = home.new_recorder(setup, made)
        recorder.append_outcome(outcome(1, 10.0))
        recorder.close()
    assert main(["--home", str(tmp_path), "progress", "Bosse"]) == 0
    assert "trained on 15 days of the last 28, 25 min on the board" in capsys.readouterr().out
