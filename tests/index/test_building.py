"""The index against the recordings that it is made of."""

from __future__ import annotations

import math
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import create_engine, select, text

from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.building import Built, build, put
from swaytrainer.index.database import FILE, begun, open_file
from swaytrainer.index.queries import names, newest_trials, squad, values
from swaytrainer.index.reading import checked, read_file, sitting_key
from swaytrainer.index.schema import TABLES
from swaytrainer.store.home import Home
from swaytrainer.store.recording import outcome_block, read_recording
from swaytrainer.store.trials import trials_of
from tests.index.made import KEPT, MONDAY, SETUP, again, made_rows, outcome, sitting


def brought(home: Path, rebuild: bool = False, jobs: int = 1) -> Built:
    home.mkdir(parents=True, exist_ok=True)
    engine = open_file(home / FILE)
    try:
        return build(engine, home / "recordings", Home(home).recordings(), rebuild, jobs)
    finally:
        engine.dispose()


def everything(home: Path) -> dict[str, list[dict[str, Any]]]:
    engine = open_file(home / FILE)
    with begun(engine) as connection:
        told = {
            table.name: [
                dict(row._mapping)
                for row in connection.execute(select(table).order_by(*table.primary_key.columns))
            ]
            for table in TABLES.sorted_tables
        }
    engine.dispose()
    return told


@pytest.fixture
def club(tmp_path: Path) -> Path:
    folder = tmp_path / "recordings" / "2026-09-12"
    folder.mkdir(parents=True)
    for path in KEPT.glob("*.sway"):
        shutil.copy2(path, folder)
    return tmp_path


def test_the_kept_sittings_are_as_a_replay_computes_them(club: Path) -> None:
    built = brought(club)
    assert (built.read, built.sittings, built.trials, built.notes) == (4, 4, 5, ())
    rows = {(r["sitting"], r["number"]): r for r in everything(club)["trials"]}
    for path in Home(club).recordings():
        recording = read_recording(path)
        for trial in trials_of(recording):
            row = rows.pop((sitting_key(recording), trial.outcome.number))
            assert row["mark"] == trial.outcome.mark
            assert row["counts"] is trial.outcome.counts
            terms = trial.outcome.terms
            assert (row["base"], row["eyes"], row["seconds"]) == (
                terms.base,
                terms.eyes,
                terms.seconds,
            )
            known = {k: v for k, v in trial.outcome.measures.items() if not math.isnan(v)}
            assert {k: v for k, v in row["measures"].items() if v is not None} == known
    assert not rows


def test_a_recording_without_outcomes_is_replayed(club: Path) -> None:
    path = Home(club).recordings()[1]
    brought(club)
    with_them = [{**row, "body_n": None} for row in everything(club)["trials"]]
    data = path.read_bytes()
    at = data.find(b"\x5a\xb7O")
    length = int.from_bytes(data[at + 3 : at + 7], "little")
    path.write_bytes(data[:at] + data[at + 7 + length + 4 :])
    brought(club)
    without = everything(club)["trials"]
    # The kept sittings are of a time when the weight was not kept.
    assert [{**row, "body_n": None} for row in without] == with_them


def test_a_rebuilt_index_is_equal_on_one_core_and_on_several(club: Path) -> None:
    for n in range(70):
        sitting(club, ("Wren", "Tarn")[n % 2], n, [outcome(1), outcome(2, None)])
    brought(club)
    grown = everything(club)
    brought(club, rebuild=True)
    assert everything(club) == grown
    brought(club, rebuild=True, jobs=2)
    assert everything(club) == grown


STEPS = st.lists(
    st.tuples(st.sampled_from(["new", "copy", "grow", "cut", "remove"]), st.integers(0, 5)),
    max_size=8,
)


@settings(max_examples=12)
@given(steps=STEPS)
def test_step_by_step_or_at_once_is_the_same(
    tmp_path_factory: pytest.TempPathFactory, steps: list[tuple[str, int]]
) -> None:
    home = tmp_path_factory.mktemp("club")
    for n, (what, which) in enumerate(steps):
        paths = Home(home).recordings()
        if what == "new" or not paths:
            sitting(home, f"Vaulter {which}", n, [outcome(k + 1) for k in range(which % 3 + 1)])
        elif what == "copy":
            shutil.copyfile(paths[which % len(paths)], paths[0].with_name(f"copy-{n}.sway"))
        elif what == "remove":
            paths[which % len(paths)].unlink()
        else:
            path = paths[which % len(paths)]
            data = path.read_bytes()
            if what == "cut":
                path.write_bytes(data[: len(data) - 200 * which])
            else:
                path.write_bytes(data + outcome_block(outcome(4 + which)))
        brought(home)
    grown = everything(home) if steps else {}
    if steps:
        brought(home, rebuild=True)
        assert everything(home) == grown


def test_nothing_new_reads_nothing(club: Path) -> None:
    assert brought(club).read == 4
    assert brought(club).read == 0
    sitting(club, "Wren", 0, [outcome(1)])
    assert brought(club).read == 1


def test_copied_twice_half_copied_and_no_recording(club: Path) -> None:
    folder = club / "recordings" / "2026-09-12"
    whole = (folder / "3-jale-steps-off.sway").read_bytes()
    (folder / "0-half.sway").write_bytes(whole[:90_000])  # before the whole one, by name
    (folder / "9-twice.sway").write_bytes(whole)
    (folder / "7-head.sway").write_bytes(whole[:300])
    (folder / "8-newer.sway").write_bytes(b"swaytrainer recording 2\n" + whole[24:])
    built = brought(club)
    assert (built.sittings, built.trials) == (4, 5)
    told = "\n".join(built.notes)
    assert "0-half.sway is a copy of 2026-09-12/3-jale-steps-off.sway" in told
    assert "9-twice.sway is a copy of 2026-09-12/3-jale-steps-off.sway" in told
    assert "head of 2026-09-12/7-head.sway is damaged" in told
    assert "8-newer.sway was recorded by a newer swaytrainer" in told
    # The better file goes away: the half copy takes its place.
    (folder / "3-jale-steps-off.sway").unlink()
    (folder / "9-twice.sway").unlink()
    built = brought(club)
    assert built.sittings == 4
    assert {r["path"] for r in everything(club)["sittings"]} >= {"2026-09-12/0-half.sway"}


@pytest.mark.parametrize(
    "name", ["Äpfel Öhlund", "Mira 🐎", "a/b\\c", "=cmd()", "x" * 300, "'; DROP TABLE trials"]
)
def test_names_come_back_as_they_are(tmp_path: Path, name: str) -> None:
    sitting(tmp_path, name, 0, [outcome(1)])
    brought(tmp_path)
    with begun(open_file(tmp_path / FILE)) as connection:
        assert names(connection) == [name]
        assert [s.name for s in squad(connection)] == [name]
        assert len(newest_trials(connection, name)) == 1


def test_a_changed_level_is_another_one(tmp_path: Path) -> None:
    sitting(tmp_path, "Wren", 0, [outcome(1)])
    sitting(tmp_path, "Wren", 1, [outcome(1)], replace(SETUP.level, seconds=31.0))
    brought(tmp_path)
    levels = everything(tmp_path)["levels"]
    assert len({row["hash"] for row in levels}) == 2
    assert len({row["id"] for row in levels}) == 1


def test_the_queries(tmp_path: Path) -> None:
    sitting(tmp_path, "Wren", 0, [outcome(1, 5.0), outcome(2, None, "The signal was lost.")])
    sitting(tmp_path, "Wren", 2, [outcome(1, 8.0)])
    sitting(tmp_path, "Tarn", 1, [])
    brought(tmp_path)
    with begun(open_file(tmp_path / FILE)) as connection:
        tarn, wren = squad(connection)
        assert (wren.sittings, wren.trials, wren.counted) == (2, 3, 2)
        assert wren.last == "2026-09-09T17:00:00+00:00"
        assert (tarn.name, tarn.sittings, tarn.trials) == ("Tarn", 1, 0)
        assert [t.mark for t in newest_trials(connection, "Wren")] == [8.0, None, 5.0]
        (lost,) = newest_trials(connection, uncounted=True)
        assert (lost.number, lost.why_not) == (2, "The signal was lost.")
        assert [v.value for v in values(connection, "Wren", "mark")] == [5.0, 8.0]
        assert [v.value for v in values(connection, "Wren", "toe_share_percent")] == [None, None]
        assert values(connection, "Wren", "no such") == []
        assert newest_trials(connection, "Nobody") == []


def test_a_check_names_damage_and_a_mark_that_differs(club: Path) -> None:
    path = Home(club).recordings()[1]
    assert checked(path) == []
    data = path.read_bytes()
    path.write_bytes(data[:-3])
    assert any("unfinished or damaged" in s for s in checked(path))
    path.write_bytes(data + outcome_block(outcome(1, 1.0)))
    [said] = [s for s in checked(path) if "trial 1: Differs" in s]
    now = trials_of(read_recording(path))[0].outcome.mark
    assert "then mark 1.00, computed now" in said
    assert ("no mark" if now is None else f"mark {now:.2f}") in said


# The database -------------------------------------------------------------------------------------


def test_the_steps_make_the_tables_that_the_code_expects(tmp_path: Path) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    engine = open_file(tmp_path / FILE)
    with engine.begin() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, TABLES) == []


def test_a_newer_schema_is_left_alone(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    brought(club)
    with create_engine(f"sqlite:///{club / FILE}").begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = 'from the future'"))
    before = (club / FILE).read_bytes()
    assert main(["--home", str(club), "index"]) == 1
    assert "made by a newer swaytrainer. Update swaytrainer" in capsys.readouterr().err
    assert (club / FILE).read_bytes() == before


def test_a_damaged_index_is_told_and_can_be_made_anew(
    club: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (club / FILE).write_bytes(b"rubbish" * 1000)
    assert main(["--home", str(club), "index"]) == 1
    assert "index --rebuild" in capsys.readouterr().err
    assert main(["--home", str(club), "index", "--rebuild", "--squad"]) == 0
    assert "Mika: 1 sitting, 2 trials, 2 of them counted" in capsys.readouterr().out


def test_a_locked_index_is_told_and_left_as_it_was(
    club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    brought(club)
    monkeypatch.setattr("swaytrainer.index.database.PATIENCE_S", 0.05)
    holder = open_file(club / FILE)
    with (
        begun(holder),
        pytest.raises(SwaytrainerError, match=r"Another program holds the index .* Try again"),
    ):
        brought(club)
    assert brought(club).trials == 5


def test_a_kill_while_building_leaves_the_old_index(club: Path) -> None:
    brought(club)
    before = everything(club)
    engine = open_file(club / FILE)
    sitting(club, "Wren", 0, [outcome(1)])

    def killed(_done: int, _all: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        build(engine, club / "recordings", Home(club).recordings(), True, 1, killed)
    engine.dispose()
    assert everything(club) == before


def test_rows_that_are_there_are_not_added_twice(tmp_path: Path) -> None:
    engine = open_file(tmp_path / FILE)
    rows = made_rows(3, 50, 1)
    for _ in range(2):
        with begun(engine) as connection:
            put(connection, rows, "hall")
    assert len(everything(tmp_path)["trials"]) == 50


def test_a_recording_moved_in_time_is_another_sitting(tmp_path: Path) -> None:
    source = KEPT / "2-romy-calm.sway"
    target = tmp_path / "recordings" / "2026-09-07" / "x.sway"
    assert again(source, target, MONDAY) > 30.0
    read = read_file(tmp_path / "recordings", target)
    assert read.sitting is not None
    assert read.sitting["id"] != sitting_key(read_recording(source))
    assert len(read.trials) == 1
