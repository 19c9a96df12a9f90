"""The data folder: what is kept comes back; what is wrong is told and nothing is lost."""

from dataclasses import replace
from pathlib import Path

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.board import BoardMake
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.store.home import Home, slug
from swaytrainer.store.recording import Recorder
from swaytrainer.training.level_file import level_text, shipped_levels
from swaytrainer.training.vaulter import Vaulter
from tests.streams import NOON, WREN, board_of, one_visit, received, setup_for, short_level


def test_the_newest_calibration_is_used_and_old_ones_are_kept(tmp_path: Path) -> None:
    home = Home(tmp_path)
    old = board_of().true_calibration()
    new = replace(old, made=NOON, residual_n=0.5)
    assert home.calibration(old.board_id) is None
    first = home.keep_calibration(new)
    home.keep_calibration(old)  # of January: older than the one of May
    assert home.calibration(old.board_id) == new
    assert len(list(first.parent.iterdir())) == 2
    with pytest.raises(SwaytrainerError, match="already there"):
        home.keep_calibration(new)


def test_a_calibration_in_the_wrong_folder_is_told(tmp_path: Path) -> None:
    home = Home(tmp_path)
    path = home.keep_calibration(board_of(1).true_calibration())
    wrong = tmp_path / "boards" / "00000000000000ff"
    path.parent.rename(wrong)
    with pytest.raises(SwaytrainerError, match="not 00000000000000ff"):
        home.calibration("00000000000000ff")


def test_a_mad_newest_calibration_is_told_not_skipped(tmp_path: Path) -> None:
    home = Home(tmp_path)
    path = home.keep_calibration(board_of(1).true_calibration())
    (path.parent / "calibration-99990101T000000.toml").write_text("format = 1\n")
    with pytest.raises(SwaytrainerError, match="99990101"):
        home.calibration(path.parent.name)


def test_vaulters_come_back_with_comments_kept(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert home.vaulters() == []
    home.add_vaulter(WREN)
    file = tmp_path / "vaulters.toml"
    file.write_text("# our squad\n" + file.read_text(encoding="utf-8"), encoding="utf-8")
    odd = Vaulter('Änne "Ü" 🐎', 201.5, 150.0, 1320.0)
    home.add_vaulter(odd)
    assert home.vaulters() == [WREN, odd]
    assert file.read_text(encoding="utf-8").startswith("# our squad")


@pytest.mark.parametrize(
    ("vaulter", "why"),
    [
        (Vaulter("wren"), "already"),
        (Vaulter("  "), "name"),
        (Vaulter("a\nb"), "name"),
        (Vaulter("Tiny", foot_length_mm=24.0), "between 120 and 330"),
        (Vaulter("Nan", stance_width_mm=float("nan")), "must be a number"),
    ],
)
def test_impossible_vaulters_are_refused(tmp_path: Path, vaulter: Vaulter, why: str) -> None:
    home = Home(tmp_path)
    home.add_vaulter(WREN)
    with pytest.raises(SwaytrainerError, match=why):
        home.add_vaulter(vaulter)
    assert home.vaulters() == [WREN]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("vaulter = 3", "must be a list"),
        ("[[vaulter]]\nname = 'A'\nfoot_lenght_mm = 200", "unknown field"),
        ("[[vaulter]]\nname = 'A'\nfoot_length_mm = '200'", "must be a number"),
        ("[[vaulter]", "not valid TOML"),
        ("vaulter = [3]", "not a table"),
    ],
)
def test_a_wrong_vaulters_file_is_told(tmp_path: Path, text: str, why: str) -> None:
    (tmp_path / "vaulters.toml").write_text(text)
    with pytest.raises(SwaytrainerError, match=why):
        Home(tmp_path).vaulters()


def test_own_levels_join_the_shipped_ones_and_wrong_ones_are_told(tmp_path: Path) -> None:
    (tmp_path / "levels").mkdir()
    own = replace(shipped_levels()[0], id="lindenhof-1")
    harder = replace(shipped_levels()[1], pass_mark=9.0)
    for level in (own, harder):
        (tmp_path / "levels" / f"{level.id}.toml").write_text(level_text(level), encoding="utf-8")
    (tmp_path / "levels" / "bad.toml").write_text("format = 1\n")
    levels, troubles = Home(tmp_path).levels()
    assert [level.id for level in levels] == [*(s.id for s in shipped_levels()), "lindenhof-1"]
    assert harder in levels
    assert len(troubles) == 1
    assert "bad.toml" in troubles[0]


def test_the_best_mark_counts_equal_terms_only(tmp_path: Path) -> None:
    home = Home(tmp_path)
    board = board_of()
    setup = setup_for(board)
    path = home.new_recording_path(setup.level, WREN, NOON)
    recorder = Recorder(path, setup, NOON.isoformat())
    sitting = Sitting(setup)
    for item in received(board, one_visit()):
        for event in sitting.feed(item):
            if event.outcome is not None:
                recorder.append_outcome(event.outcome)
    recorder.close()
    outcome = sitting.view().outcome
    assert outcome is not None
    assert home.recordings() == [path]
    assert home.best_mark(setup.level, WREN, 80.0) == outcome.mark
    assert home.best_mark(setup.level, WREN, 1000.0) is None
    assert home.best_mark(setup.level, Vaulter("Wre"), 80.0) is None
    assert home.best_mark(short_level(7.0), WREN, 80.0) is None
    other = home.new_recording_path(setup.level, WREN, NOON)
    assert other != path
    other.write_bytes(b"damaged")
    # Newer files of a namesake, however many, are not his.
    for _ in range(31):
        home.new_recording_path(setup.level, Vaulter("Wren na"), NOON).write_bytes(
            path.read_bytes()
        )
    assert home.best_mark(setup.level, WREN, 80.0) == outcome.mark


def test_file_names_are_tame() -> None:
    assert slug("../../etc/passwd") == "etc-passwd"
    assert slug("=cmd|' /C calc'!A0") == "cmd-C-calc-A0"
    assert slug("///") == "vaulter"
    assert len(slug("x" * 300)) == 40


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(SwaytrainerError, match="Can't make the folder"):
        Home(tmp_path / "file").new_recording_path(short_level(), WREN, NOON)


@pytest.mark.parametrize("text", ['# x\n[[vaulter]]\nname="A"', "[[vaulter]]\nname='A' # no end"])
def test_a_hand_edited_file_grows_without_changing(tmp_path: Path, text: str) -> None:
    (tmp_path / "vaulters.toml").write_text(text, encoding="utf-8")
    home = Home(tmp_path)
    home.add_vaulter(Vaulter("B"))
    assert [v.name for v in home.vaulters()] == ["A", "B"]
    assert (tmp_path / "vaulters.toml").read_text(encoding="utf-8").startswith(text)


@pytest.mark.parametrize("text", ["vaulter = []", 'vaulter = [{name = "A"}]'])
def test_a_file_that_cannot_grow_is_left_alone(tmp_path: Path, text: str) -> None:
    (tmp_path / "vaulters.toml").write_text(text, encoding="utf-8")
    with pytest.raises(SwaytrainerError, match="by hand"):
        Home(tmp_path).add_vaulter(Vaulter("B"))
    assert (tmp_path / "vaulters.toml").read_text(encoding="utf-8") == text


def test_a_calibration_that_would_be_refused_is_not_kept(tmp_path: Path) -> None:
    board = board_of(1, BoardMake(half_width_mm=22.0, half_depth_mm=17.0))
    with pytest.raises(SwaytrainerError, match="mm"):
        Home(tmp_path).keep_calibration(board.true_calibration())
    assert not (tmp_path / "boards").exists()


@pytest.mark.parametrize(
    "text",
    ["a = " + "9" * 5000, "a = " + "[" * 3000, "[[vaulter]]\nname='A'\nfoot_length_mm=1e999"],
)
def test_monstrous_files_are_told_too(tmp_path: Path, text: str) -> None:
    (tmp_path / "vaulters.toml").write_text(text, encoding="utf-8")
    with pytest.raises(SwaytrainerError):
        Home(tmp_path).vaulters()


def test_feet_grow(tmp_path: Path) -> None:
    home = Home(tmp_path)
    text = (
        '# us\n[[vaulter]]\nname = "A"\nfoot_length_mm = 200 # in May\n\n[[vaulter]]\nname = "B"\n'
    )
    (tmp_path / "vaulters.toml").write_text(text, encoding="utf-8")
    home.change_vaulter(Vaulter("A", 207.5, 160.0))
    assert home.vaulters() == [Vaulter("A", 207.5, 160.0), Vaulter("B")]
    assert (tmp_path / "vaulters.toml").read_text(encoding="utf-8").startswith("# us\n")
    with pytest.raises(SwaytrainerError, match="no vaulter called"):
        home.change_vaulter(Vaulter("C"))
    with pytest.raises(SwaytrainerError, match="between"):
        home.change_vaulter(Vaulter("A", 20.0))


def test_a_folder_that_can_be_written_is_left_without_a_trace(tmp_path: Path) -> None:
    Home(tmp_path / "new" / "home").check_writable()
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "boards").mkdir()
    Home(tmp_path).check_writable()
    assert list((tmp_path / "boards").iterdir()) == []


def test_a_folder_under_a_file_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(SwaytrainerError, match="Nothing can be kept"):
        Home(tmp_path / "file" / "home").check_writable()
