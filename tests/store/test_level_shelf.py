"""Level files read again: what changed is taken over, what broke is told and kept as it was."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.store.level_shelf import LevelShelf
from swaytrainer.training.level_file import level_text, shipped_levels

SHIPPED = shipped_levels()
OURS = level_text(replace(SHIPPED[0], id="ours", title="Ours"))


def write(folder: Path, name: str, text: str) -> None:
    folder.mkdir(exist_ok=True)
    before = (folder / name).stat().st_mtime_ns if (folder / name).exists() else 0
    (folder / name).write_text(text, encoding="utf-8")
    # On a coarse clock two writes may bear one time.
    os.utime(folder / name, ns=(before + 10**9, before + 10**9))


def titles(shelf: LevelShelf) -> list[str]:
    return [level.title for level in shelf.levels if level not in SHIPPED]


def test_without_a_folder_there_are_the_shipped_ones(tmp_path: Path) -> None:
    shelf = LevelShelf(tmp_path / "levels")
    assert shelf.levels == SHIPPED
    assert not shelf.refresh()


def test_a_file_that_comes_changes_breaks_is_mended_and_goes(tmp_path: Path) -> None:
    shelf = LevelShelf(tmp_path)
    write(tmp_path, "x.toml", OURS)
    assert shelf.refresh()
    assert titles(shelf) == ["Ours"]
    assert not shelf.refresh(), "nothing has changed"
    write(tmp_path, "x.toml", OURS.replace("seconds = 20.0", "seconds = 2"))
    assert shelf.refresh()
    assert titles(shelf) == ["Ours"]
    [told] = shelf.troubles
    for words in ("x.toml", "line", "'seconds'", "between 5 and 120 s", "last good version"):
        assert words in told
    write(tmp_path, "x.toml", OURS.replace('"Ours"', '"Better"'))
    assert shelf.refresh()
    assert (titles(shelf), shelf.troubles) == (["Better"], ())
    (tmp_path / "x.toml").unlink()
    assert shelf.refresh()
    assert (shelf.levels, shelf.troubles) == (SHIPPED, ())


def test_one_that_was_never_good_is_left_out(tmp_path: Path) -> None:
    write(tmp_path, "x.toml", "format = 1\n")
    (tmp_path / "y.toml").write_bytes(b"\xff\xfe")
    (tmp_path / "z.toml").mkdir()
    shelf = LevelShelf(tmp_path)
    assert shelf.levels == SHIPPED
    assert len(shelf.troubles) == 3
    assert all("left out" in told for told in shelf.troubles)


def test_a_shipped_id_takes_its_place_and_says_so(tmp_path: Path) -> None:
    write(tmp_path, "zz.toml", level_text(replace(SHIPPED[1], title="Harder")))
    shelf = LevelShelf(tmp_path)
    assert [level.id for level in shelf.levels] == [level.id for level in SHIPPED]
    assert shelf.levels[1].title == "Harder"
    [note] = shelf.notes
    assert "zz.toml" in note
    assert SHIPPED[1].id in note
    write(tmp_path, "zz.toml", "broken")
    shelf.refresh()
    assert shelf.levels[1].title == "Harder"
    assert LevelShelf(tmp_path).levels == SHIPPED, "a new program has only the shipped one"


def test_two_own_files_of_one_id_are_told(tmp_path: Path) -> None:
    write(tmp_path, "a.toml", OURS)
    write(tmp_path, "b.toml", OURS.replace('"Ours"', '"Twin"'))
    shelf = LevelShelf(tmp_path)
    assert titles(shelf) == ["Ours"]
    [told] = shelf.troubles
    assert "b.toml" in told
    assert "a.toml" in told


def test_the_number_in_front_orders_own_and_shipped_together(tmp_path: Path) -> None:
    write(tmp_path, "12-ours.toml", OURS)
    write(tmp_path, "1000-late.toml", OURS.replace('"ours"', '"late"'))
    ids = [level.id for level in LevelShelf(tmp_path).levels]
    assert ids[:3] == [SHIPPED[0].id, "ours", SHIPPED[1].id]
    assert ids[-1] == "late"


@settings(max_examples=25)
@given(st.lists(st.sampled_from(["good", "other", "broken", "gone"]), max_size=8))
def test_whatever_is_done_to_a_file_the_last_good_one_stays(
    tmp_path_factory: pytest.TempPathFactory, steps: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("levels")
    shelf, good = LevelShelf(folder), list[str]()
    for n, step in enumerate(steps):
        path = folder / "x.toml"
        if step == "gone":
            path.unlink(missing_ok=True)
            good = []
        else:
            text = {"good": OURS, "other": OURS.replace('"Ours"', '"Other"')}.get(step, "no level")
            path.write_text(text, encoding="utf-8")
            os.utime(path, ns=(n * 10**9, n * 10**9))
            good = {"good": ["Ours"], "other": ["Other"]}.get(step, good)
        shelf.refresh()
        assert titles(shelf) == good
        assert bool(shelf.troubles) == (step == "broken")
