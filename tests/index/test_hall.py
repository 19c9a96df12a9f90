"""Several stations and one index, on a real server."""

from __future__ import annotations

import multiprocessing
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, select, text

from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.building import build
from swaytrainer.index.database import FILE, begun, open_file, open_url
from swaytrainer.index.hall import Brought, bring, take_out
from swaytrainer.index.queries import newest_trials, squad, values
from swaytrainer.index.schema import FILES, TABLES
from swaytrainer.store.home import Home
from tests.index import postgres
from tests.index.made import outcome, sitting


@pytest.fixture(scope="module")
def server() -> Iterator[postgres.Server]:
    running = postgres.Server(postgres.require())
    yield running
    running.close()


@pytest.fixture
def url(server: postgres.Server) -> str:
    return server.new_database()


def station(home: Path, url: str, name: str) -> Brought:
    home.mkdir(parents=True, exist_ok=True)
    own = open_file(home / FILE)
    build(own, home / "recordings", Home(home).recordings())
    hall = open_url(url)
    try:
        return bring(own, hall, name)
    finally:
        hall.dispose()
        own.dispose()


def in_a_process(home: Path, url: str, name: str) -> None:
    station(home, url, name)


def held(url: str) -> dict[str, list[dict[str, Any]]]:
    hall = open_url(url)
    with begun(hall, reads=True) as connection:
        told = {
            table.name: sorted(
                (dict(row._mapping) for row in connection.execute(select(table))), key=repr
            )
            for table in TABLES.sorted_tables
            if table is not FILES
        }
    hall.dispose()
    return told


def club(home: Path, names: list[str], many: int) -> Path:
    for n in range(many):
        sitting(home, names[n % len(names)], n, [outcome(1, 0.1 * n), outcome(2, None)])
    return home


def test_the_steps_make_the_tables_that_the_code_expects(url: str) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with open_url(url).begin() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, TABLES) == []


def test_a_station_brings_all_once(tmp_path: Path, url: str) -> None:
    home = club(tmp_path / "a", ["Wren", "Ädla 🐎"], 5)
    assert station(home, url, "north") == Brought(5, 5, 10)
    assert station(home, url, "north") == Brought(0, 5, 10)
    hall = held(url)
    own = open_file(home / FILE)
    with begun(own, reads=True) as connection:
        for name in ("trials", "levels", "boards", "vaulters"):
            table = TABLES.tables[name]
            rows = [dict(row._mapping) for row in connection.execute(select(table))]
            assert sorted(rows, key=repr) == hall[name]
        mine = (squad(connection), newest_trials(connection), values(connection, "Wren", "mark"))
    with begun(open_url(url), reads=True) as connection:
        assert mine == (
            squad(connection),
            newest_trials(connection),
            values(connection, "Wren", "mark"),
        )
    assert {row["station"] for row in hall["sittings"]} == {"north"}


def test_two_stations_at_once_on_a_new_server(tmp_path: Path, url: str) -> None:
    a = club(tmp_path / "a", ["Wren", "Tarn"], 40)
    b = club(tmp_path / "b", ["Tarn", "Nele"], 30)  # no sitting of Nele's or Tarn's is in both
    shared = Home(a).recordings()[:7]
    for path in shared:
        target = b / path.relative_to(a)
        if not target.exists():
            shutil.copy2(path, target)
    spawn = multiprocessing.get_context("spawn")
    both = [spawn.Process(target=in_a_process, args=(home, url, home.name)) for home in (a, b)]
    for process in both:
        process.start()
    for process in both:
        process.join(120)
    assert [process.exitcode for process in both] == [0, 0]
    keys = [(row["sitting"], row["number"]) for row in held(url)["trials"]]
    assert len(keys) == len(set(keys))
    # As if one after the other had come, on another day.
    assert station(a, url, "a").brought == station(b, url, "b").brought == 0
    own: set[str] = set()
    for home in (a, b):
        with begun(open_file(home / FILE), reads=True) as connection:
            own |= set(connection.execute(select(TABLES.tables["sittings"].c.id)).scalars())
    assert {row["id"] for row in held(url)["sittings"]} == own
    assert len(own) == 70


def test_a_station_that_was_offline_brings_what_it_has(
    tmp_path: Path, server: postgres.Server, url: str
) -> None:
    home = club(tmp_path / "a", ["Wren"], 3)
    assert station(home, url, "north").trials == 6
    server.stop()
    try:
        sitting(home, "Tarn", 10, [outcome(1)])
        with pytest.raises(SwaytrainerError, match=r"can't be reached .*Nothing is lost"):
            station(home, url, "north")
    finally:
        server.start()
    assert station(home, url, "north") == Brought(1, 4, 7)


def test_a_server_that_goes_away_in_between(
    tmp_path: Path, server: postgres.Server, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("swaytrainer.index.hall._AT_ONCE", 4)
    home = club(tmp_path / "a", ["Wren"], 10)
    own = open_file(home / FILE)
    build(own, home / "recordings", Home(home).recordings())
    hall = open_url(url)

    def pull_the_plug(done: int, _all: int) -> None:
        if done == 4:
            server.stop()

    try:
        with pytest.raises(SwaytrainerError, match="Nothing is lost"):
            bring(own, hall, "north", pull_the_plug)
    finally:
        server.start()
    assert len(held(url)["sittings"]) == 4
    assert bring(own, hall, "north") == Brought(6, 10, 20)
    own.dispose()
    hall.dispose()


def test_a_recording_that_has_grown_brings_its_new_trials(tmp_path: Path, url: str) -> None:
    from swaytrainer.store.recording import outcome_block

    path = sitting(tmp_path, "Wren", 0, [outcome(1)])
    assert station(tmp_path, url, "north") == Brought(1, 1, 1)
    path.write_bytes(path.read_bytes() + outcome_block(outcome(2)))
    assert station(tmp_path, url, "north") == Brought(1, 1, 2)


def test_a_newer_schema_is_left_alone(tmp_path: Path, url: str) -> None:
    station(club(tmp_path, ["Wren"], 1), url, "north")
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = 'from the future'"))
    with pytest.raises(SwaytrainerError, match="made by a newer swaytrainer"):
        station(tmp_path, url, "north")
    with engine.begin() as connection:
        assert connection.execute(text("SELECT count(*) FROM trials")).scalar_one() == 2
    engine.dispose()


def test_a_busy_server_is_told(tmp_path: Path, url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    station(tmp_path, url, "north")
    sitting(tmp_path, "Wren", 0, [outcome(1)])
    monkeypatch.setattr("swaytrainer.index.database.PATIENCE_S", 1)
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(text("LOCK TABLE trials IN ACCESS EXCLUSIVE MODE"))
        with pytest.raises(SwaytrainerError, match="Another program holds the index"):
            station(tmp_path, url, "north")
    assert station(tmp_path, url, "north") == Brought(1, 1, 1)
    engine.dispose()


@pytest.mark.parametrize(
    "address", ["", "hall", "mysql://x/y", "postgresql://x:y/z", "sqlite:///x"]
)
def test_no_address_of_a_server(address: str) -> None:
    with pytest.raises(SwaytrainerError, match="no address"):
        open_url(address)


def test_a_database_that_is_not_there(server: postgres.Server) -> None:
    with pytest.raises(SwaytrainerError, match=r"can't be reached or used .*no_such.*not exist"):
        open_url(f"postgresql://club@/no_such?host={server.folder}")


def test_what_was_deleted_at_a_station_leaves_the_hall_with_its_next_visit(
    tmp_path: Path, url: str
) -> None:
    left, right = (club(tmp_path / side, [side.title()], 3) for side in ("left", "right"))
    copied = sitting(left, "Both", 30, [outcome(1)])
    target = right / "recordings" / copied.parent.name / copied.name
    target.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(copied, target)
    assert station(left, url, "left").sittings == 4
    assert station(right, url, "right").sittings == 7
    Home(left).recordings()[0].unlink()
    copied.unlink()
    now = station(left, url, "left")
    assert (now.deleted, now.sittings) == (2, 5)
    # The other station still has the one that both had, and brings it again; nothing else goes.
    assert station(right, url, "right") == Brought(1, 6, 11)
    assert station(left, url, "left") == Brought(0, 6, 11)
    held_now = {row["vaulter"] for row in held(url)["sittings"]}
    assert held_now == {"Left", "Right", "Both"}


def test_a_station_that_remembers_nothing_takes_nothing_out(tmp_path: Path, url: str) -> None:
    home = club(tmp_path / "left", ["Wren"], 3)
    station(home, url, "left")
    for path in Home(home).recordings():
        path.unlink()
    (home / FILE).unlink()  # a new laptop under the old name
    now = station(home, url, "left")
    assert (now.deleted, now.sittings) == (0, 3)


def test_who_was_erased_offline_leaves_the_hall_and_no_other_station_brings_her_back(
    tmp_path: Path, url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    left, right = (club(tmp_path / side, ["Wren", "Tarn"], 6) for side in ("left", "right"))
    sitting(right, "Wren", 40, [outcome(1)])

    def visit(home: Path) -> str:
        assert main(["--home", str(home), "index", "--hall", url, "--station", home.name]) == 0
        return capsys.readouterr().out

    def there() -> set[str]:
        return {row["vaulter"] for row in held(url)["sittings"]}

    visit(left)
    visit(right)
    assert there() == {"Wren", "Tarn"}
    # While the server is away for this station.
    assert main(["--home", str(left), "person", "erase", "--yes", "wren"]) == 0
    capsys.readouterr()
    assert "4 sittings of erased persons taken out of the hall's index." in visit(left)
    assert there() == {"Tarn"}
    told = visit(right)
    assert "4 sittings here kept back" in told
    assert "person erase NAME" in told
    assert there() == {"Tarn"}
    # Nothing of hers is told by the list: no name, and each station has it now.
    assert len(held(url)["erased"]) == 1
    assert "Wren" not in repr(held(url)["erased"])
    assert (right / "erased.json").read_text() == (left / "erased.json").read_text()
    # Her own recordings at the other station are that station's to erase.
    assert len(Home(right).recordings()) == 7
    assert main(["--home", str(right), "person", "erase", "--yes", "Wren"]) == 0
    assert "kept back" not in visit(right)


def test_an_erasure_with_the_hall_at_hand_is_known_to_all_at_once(
    tmp_path: Path, url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    left, right = (club(tmp_path / side, ["Wren", "Tarn"], 4) for side in ("left", "right"))
    for home in (left, right):
        station(home, url, home.name)
    options = ["--home", str(left), "person", "erase", "--yes", "--hall", url, "Wren"]
    assert main(options) == 0
    assert main(["--home", str(right), "index", "--hall", url, "--station", "right"]) == 0
    assert {row["vaulter"] for row in held(url)["sittings"]} == {"Tarn"}
    assert "kept back" in capsys.readouterr().out


def test_an_older_hall_is_brought_up_to_date_and_keeps_what_it_has(
    tmp_path: Path, url: str
) -> None:
    home = club(tmp_path / "left", ["Wren"], 2)
    station(home, url, "left")
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:", 1))
    with engine.begin() as connection:
        connection.execute(text("DROP TABLE erased"))
        connection.execute(text("UPDATE alembic_version SET version_num = 'second'"))
    engine.dispose()
    before = held(url)
    assert len(before["sittings"]) == 2
    assert before["erased"] == []


def test_by_the_command(tmp_path: Path, url: str, capsys: pytest.CaptureFixture[str]) -> None:
    a, b = club(tmp_path / "a", ["Wren"], 2), club(tmp_path / "b", ["Tarn"], 3)
    for home in (a, b):
        words = ["--home", str(home), "index", "--hall", url, "--station", home.name, "--squad"]
        assert main(words) == 0
    told = capsys.readouterr().out
    assert "3 sittings brought to the hall's index. It holds 5 sittings with 10 trials." in told
    assert "Wren: 2 sittings, 4 trials, 2 of them counted" in told
    assert main(["--home", str(a), "index", "--hall", url, "--station", " "]) == 1
    # Whoever is erased is erased in the hall too, and stays out.
    assert main(["--home", str(a), "person", "erase", "Wren", "--yes", "--hall", url]) == 0
    assert [row["name"] for row in held(url)["vaulters"]] == ["Tarn"]
    hall = open_url(url)
    assert take_out(hall, lambda name: name == "Wren") == 0
    hall.dispose()
