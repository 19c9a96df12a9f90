"""The desk off screen: its pages do what their buttons say, with the program's own commands."""

import os
import shutil
import time
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
from PySide6 import QtCore, QtWidgets

from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.office import orders
from swaytrainer.office.contest_page import ContestPage, TextDialog
from swaytrainer.office.evening_page import EveningPage
from swaytrainer.office.keep_page import KeepPage
from swaytrainer.office.orders import Order
from swaytrainer.office.page import Page, Pick
from swaytrainer.office.progress_page import ProgressPage
from swaytrainer.office.vaulters_page import VaultersPage
from swaytrainer.office.window import Office
from swaytrainer.squad.plan import Plan, read_plan
from swaytrainer.store.coach_file import LONGEST_NOTE
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.contest_edit import begin_contest
from swaytrainer.store.erased import FILE as ERASED
from swaytrainer.store.erased import erased_bytes, with_name
from swaytrainer.store.evening_file import begin_plan
from swaytrainer.store.home import Home
from swaytrainer.training.ladder import CoachWord
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import languages, use_language

SESSIONS = Path(__file__).parents[2] / "sessions"


@pytest.fixture(scope="module")
def application() -> QtWidgets.QApplication:
    there = QtWidgets.QApplication.instance() or QtWidgets.QApplication([])
    assert isinstance(there, QtWidgets.QApplication)
    return there


@pytest.fixture
def home(tmp_path: Path) -> Home:
    made = Home(tmp_path / "data")
    made.add_vaulter(Vaulter("Wren", 221.0, 180.0))
    made.add_vaulter(Vaulter("Romy", caution="a spotter on the left"))
    return made


@pytest.fixture
def office(application: QtWidgets.QApplication, home: Home) -> Iterator[Office]:
    window = Office(home)
    window.show()
    yield window
    window.close()


def opened(office: Office, title: str) -> Page:
    office.tabs.setCurrentIndex(list(office.pages).index(title))
    return office.page


def answered(application: QtWidgets.QApplication, office: Office) -> None:
    give_up_s = time.monotonic() + 120.0
    while office.runner.busy:
        application.processEvents()
        time.sleep(0.01)
        assert time.monotonic() < give_up_s


def test_somebody_is_added_and_changed(office: Office, home: Home) -> None:
    page = opened(office, "Vaulters")
    assert isinstance(page, VaultersPage)
    assert page.table.rowCount() == 2
    form = page.form(None)
    form.fields[0].setText("wren")
    form.accept()
    assert "already" in form.trouble.text()
    form.fields[0].setText("Tärn / =1+1")
    form.fields[2].setText("2014")
    form.accept()
    assert form.result() == QtWidgets.QDialog.DialogCode.Accepted
    page.refresh()
    assert page.table.rowCount() == 3
    change = page.form(home.vaulters()[0])
    assert change.fields[0].isReadOnly()
    change.fields[4].setText("226")
    change.accept()
    assert [(v.name, v.foot_length_mm, v.born) for v in home.vaulters()] == [
        ("Wren", 226.0, None), ("Romy", 240.0, None), ("Tärn / =1+1", 240.0, 2014),
    ]  # fmt: skip


def test_a_list_that_cannot_be_read_is_told(office: Office, home: Home) -> None:
    (home.path / "vaulters.toml").write_text("[[vaulter]]\nname = 3\n")
    for title in ("Vaulters", "Tonight", "Progress"):
        assert "vaulters.toml" in opened(office, title).said.toPlainText()


def test_erasing_asks_for_the_name_and_then_does_it(
    office: Office, home: Home, application: QtWidgets.QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    (home.path / "recordings" / "2026-11-20").mkdir(parents=True)
    shutil.copy(SESSIONS / "2-romy-calm.sway", home.path / "recordings" / "2026-11-20")
    page = opened(office, "Vaulters")
    assert isinstance(page, VaultersPage)
    page.table.selectRow(1)
    for typed, left in (("Wren", 1), (None, 1), ("Romy", 0)):
        monkeypatch.setattr(page, "typed", lambda *_, answer=typed: answer)
        page.erase()
        answered(application, office)
        assert len(home.recordings()) == left
    assert [v.name for v in home.vaulters()] == ["Wren"]


def test_the_plan_is_checked_while_it_is_typed_and_kept_when_it_is_one(
    office: Office, home: Home, application: QtWidgets.QApplication
) -> None:
    page = opened(office, "Tonight")
    assert isinstance(page, EveningPage)
    assert page.keep_button.isEnabled()
    text = page.text.toPlainText()
    page.text.setPlainText(text.replace('"Wren"', '"Nobody"'))
    assert not page.keep_button.isEnabled()
    assert "Nobody" in page.state.text()
    page.text.setPlainText(text.replace("minutes = 8", "minutes = 6"))
    assert "12" in page.state.text()
    page.keep()
    answered(application, office)
    assert "Next: Wren, then Romy" in page.said.toPlainText()
    page.ask(orders.in_evening("missed", "Wren"))
    answered(application, office)
    assert "Next: Romy, then Wren" in page.said.toPlainText()


def test_a_plan_is_made_and_changed_without_a_letter_of_its_text(
    office: Office, home: Home
) -> None:
    page = opened(office, "Tonight")
    assert isinstance(page, EveningPage)
    assert "isn't kept yet" in page.state.text()
    page.keep()
    assert "isn't kept" not in page.state.text()
    form = page.form(None)
    form.accept()
    assert "needs a name" in form.trouble.text()
    form.name.setText("Seniors")
    form.vaulters.item(1).setCheckState(QtCore.Qt.CheckState.Checked)  # Romy leaves "Squad"
    form.choice.setCurrentIndex(form.choice.findData("millpond-shore"))
    form._add_level()
    form.minutes.setValue(6.5)
    form.accept()
    plan = read(home)
    assert [(g.name, g.vaulters, g.levels, g.minutes) for g in plan.groups] == [
        ("Squad", ("Wren",), (), 8.0),
        ("Seniors", ("Romy",), ("millpond-shore",), 6.5),
    ]
    assert page.groups.table.rowCount() == 2
    page._reorder([1, 0])
    assert [g.name for g in read(home).groups] == ["Seniors", "Squad"]
    home.add_vaulter(Vaulter("Pim"))
    page.refresh()
    assert "In no group: Pim." in page.state.text()
    page._put_in()
    assert read(home).groups[1].vaulters == ("Wren", "Pim")
    page.groups.table.selectRow(0)
    page.groups._do(page.groups._take_out)
    assert [g.name for g in read(home).groups] == ["Squad"]


def test_what_is_typed_and_not_kept_is_not_lost_by_looking_elsewhere(office: Office) -> None:
    page = opened(office, "Tonight")
    assert isinstance(page, EveningPage)
    page.text.insertPlainText("# tonight early\n")
    opened(office, "Start")
    opened(office, "Tonight")
    assert page.text.toPlainText().startswith("# tonight early")
    page.undo()
    assert "tonight early" not in page.text.toPlainText()


def test_the_window_asks_before_it_closes_over_what_was_typed(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = opened(office, "Tonight")
    assert isinstance(page, EveningPage)
    page.keep()
    assert "It is kept." in page.state.text()
    asked: list[str] = []

    def sure(_title: str, question: str) -> bool:
        asked.append(question)
        return len(asked) > 1

    monkeypatch.setattr(page, "sure", sure)
    page.text.insertPlainText("# late\n")
    assert "It isn't kept yet." in page.state.text()
    assert not office.close()
    assert not office.runner._closed
    assert page.text.toPlainText().startswith("# late")
    assert office.close()
    assert len(asked) == 2
    page.undo()
    assert office.close()
    assert len(asked) == 2, "there was nothing to lose"


def test_two_desks_write_over_nothing_of_each_other(office: Office, home: Home) -> None:
    page = opened(office, "Tonight")
    assert isinstance(page, EveningPage)
    page.keep()
    theirs = page.text.toPlainText() + "# theirs\n"
    (home.path / "squad.toml").write_text(theirs, encoding="utf-8")
    page.text.insertPlainText("# ours\n")
    page.keep()
    assert "somebody else" in page.said.toPlainText()
    assert (home.path / "squad.toml").read_text(encoding="utf-8") == theirs
    page.undo()
    assert page.text.toPlainText() == theirs
    page.text.insertPlainText("# ours\n")
    page.keep()
    assert (home.path / "squad.toml").read_text(encoding="utf-8") == f"# ours\n{theirs}"


def test_an_empty_list_makes_no_empty_plan_and_who_comes_later_is_in_one(
    application: QtWidgets.QApplication, tmp_path: Path
) -> None:
    home = Home(tmp_path / "new")
    window = Office(home)
    page = opened(window, "Tonight")
    assert isinstance(page, EveningPage)
    assert not page.keep_button.isEnabled()
    # As an older version wrote it.
    home.path.mkdir(exist_ok=True)
    (home.path / "squad.toml").write_text("")
    home.add_vaulter(Vaulter("Pim"))
    page.refresh()
    assert page.keep_button.isEnabled()
    page.keep()
    assert read(home).vaulters == ("Pim",)
    (home.path / "squad.toml").write_text("\n")
    begin_plan(home.path, home.vaulters())
    assert read(home).vaulters == ("Pim",)
    window.close()


def read(home: Home) -> Plan:
    text = (home.path / "squad.toml").read_text(encoding="utf-8")
    ids = [level.id for level in home.level_shelf().levels]
    return read_plan(text, "squad.toml", [v.name for v in home.vaulters()], ids)


def test_a_competition_is_made_and_changed_without_a_letter_of_its_text(
    office: Office, home: Home, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name, height in (("Tjark", 1510.0), ("L" * 300, None)):
        home.add_vaulter(Vaulter(name, height_mm=height))
    home.change_vaulter(Vaulter("Wren", height_mm=1320.0))
    cup = begin_contest(tmp_path / "cup.toml", home, "millpond-shore", datetime.now(UTC))
    page = opened(office, "Competition")
    assert isinstance(page, ContestPage)
    page.path = cup
    form = page.form()
    assert form is not None
    form.title.setText("Autumn cup")
    form.level.setCurrentIndex(form.level.findData("millpond-open-water"))
    form.trials.setValue(2)
    small = form.class_form(0)
    small.name.setText("Under 140 cm")
    small.kind.setCurrentIndex(1)
    small.low.setValue(150.0)
    small.accept()
    assert "smaller" in small.trouble.text()
    small.low.setValue(0.0)
    small.accept()
    assert "Under 140 cm: 1, Wren" in form.state.text()
    assert "for want of height or year of birth: Romy" in form.state.text()
    guests = form.class_form(None)
    guests.accept()
    assert "needs a name" in guests.trouble.text()
    guests.name.setText("Guests")
    for row in range(guests.names.count()):
        chosen = guests.names.item(row).data(QtCore.Qt.ItemDataRole.UserRole) in ("Romy", "Tjark")
        guests.names.item(row).setCheckState(
            QtCore.Qt.CheckState.Checked if chosen else QtCore.Qt.CheckState.Unchecked
        )
    guests.accept()
    assert "Guests: 2, Romy, Tjark" in form.state.text()
    form.reorder("classes", [1, 0])
    team = form.team_form(None)
    team.name.setText("Otters")
    for row in range(team.names.count()):
        team.names.item(row).setCheckState(QtCore.Qt.CheckState.Checked)
    team.accept()
    assert form.sizeHint().width() < 1366
    form.accept()
    assert form.result() == QtWidgets.QDialog.DialogCode.Accepted
    told = ContestBook(home, cup).contest
    assert (told.title, told.level, told.trials) == ("Autumn cup", "millpond-open-water", 2)
    assert told.classes == {"Guests": ("Romy", "Tjark"), "Under 140 cm": ("Wren",)}
    assert set(told.teams["Otters"]) == {"Romy", "Tjark", "Wren"}
    assert "# of the draw" in cup.read_text(encoding="utf-8")
    # What can't be one can't be kept; giving up changes nothing.
    before = cup.read_bytes()
    form = page.form()
    assert form is not None
    form.until.setDateTime(form.since.dateTime())
    assert not form.keep_button.isEnabled()
    assert form.trouble.text() == "“To” must be later than “From”."
    form.reject()
    assert cup.read_bytes() == before


def test_a_competition_that_has_begun_is_changed_only_after_a_question(
    office: Office, home: Home, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    day = home.path / "recordings" / "2026-09-12"
    day.mkdir(parents=True)
    shutil.copy(SESSIONS / "2-romy-calm.sway", day)
    cup = tmp_path / "cup.toml"
    cup.write_text(
        'title = "Cup"\nlevel = "millpond-open-water"\n'
        "since = 2026-09-01T00:00:00+00:00\nuntil = 2099-10-01T00:00:00+00:00\n"
        '[[class]]\nname = "All"\nvaulters = ["Romy", "Wren"]\n'
        '[[ruling]]\nvaulter = "Wren"\nkind = "withdrawn"\nreason = "ill"\n',
        encoding="utf-8",
    )
    page = opened(office, "Competition")
    assert isinstance(page, ContestPage)
    page.path = cup
    before = cup.read_bytes()
    for sure in (False, True):
        monkeypatch.setattr(page, "sure", lambda *_, answer=sure: answer)
        form = page.form()
        assert form is not None
        item = form.rulings.table.item(0, 0)
        assert item is not None
        assert item.text() == "Wren withdrew: ill."
        form.trials.setValue(5)
        form.accept()
        assert (cup.read_bytes() == before) is not sure
    assert b"until = 2099-10-01T00:00:00+00:00" in cup.read_bytes(), "a time keeps its zone"
    form = page.form()
    assert form is not None
    form.rulings._take_out(0)
    cup.write_bytes(cup.read_bytes() + b"# a judge was quicker\n")
    form.accept()
    assert "somebody else" in form.trouble.text()
    form = page.form()
    assert form is not None
    form.rulings._take_out(0)
    form.accept()
    assert ContestBook(home, cup).contest.rulings == ()


def test_the_judges_pick_and_need_type_only_the_reason(
    office: Office, home: Home, application: QtWidgets.QApplication,
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path,
) -> None:  # fmt: skip
    home.add_vaulter(Vaulter("Tjark"))
    day = home.path / "recordings" / "2026-09-12"
    day.mkdir(parents=True)
    shutil.copy(SESSIONS / "2-romy-calm.sway", day)
    cup = tmp_path / "cup.toml"
    cup.write_text(
        'title = "Cup"\nlevel = "millpond-open-water"\ntrials = 1\n'
        "since = 2026-09-01T00:00:00+00:00\nuntil = 2099-10-01T00:00:00+00:00\n"
        '[[class]]\nname = "All"\nvaulters = ["Romy", "Wren", "Tjark"]\n',
        encoding="utf-8",
    )
    page = opened(office, "Competition")
    assert isinstance(page, ContestPage)
    page._withdrawn()
    assert "Choose a competition's file first" in page.said.toPlainText()
    page.take(cup)
    answered(application, office)
    offered: list[list[str]] = []

    def pick(_title: str, _question: str, items: Sequence[str]) -> int | None:
        offered.append(list(items))
        return len(items) - 1 if items else None

    monkeypatch.setattr(page, "picked", pick)
    monkeypatch.setattr(page, "typed", lambda *_: "-- it rained")
    page._withdrawn()
    answered(application, office)
    assert offered[-1] == ["Romy", "Wren", "Tjark"]
    assert "withdrawn: -- it rained" in page.said.toPlainText()
    page._withdrawn()
    answered(application, office)
    assert offered[-1] == ["Romy", "Wren"], "who has withdrawn is offered no more"
    opened_now: list[Order] = []
    monkeypatch.setattr(page, "open", opened_now.append)
    page._replay()
    assert [line.split(":")[0] for line in offered[-1]] == ["Romy"]
    assert opened_now == [orders.replay(day / "2-romy-calm.sway")]
    monkeypatch.setattr(page, "typed", lambda *_: "")
    page._repeat()
    assert "Nothing was written" in page.said.toPlainText()
    assert "[[ruling]]" in cup.read_text(encoding="utf-8"), "the withdrawal"
    assert "repeat" not in cup.read_text(encoding="utf-8")
    monkeypatch.setattr(page, "typed", lambda *_: "-- it rained")
    page._repeat()
    answered(application, office)
    assert [line.split(":")[0] for line in offered[-1]] == ["Romy"]
    assert "Next: Romy" in page.said.toPlainText()
    page._repeat()
    assert offered[-1] == [], "what was taken back counts no more"
    assert "No trial of this competition counts yet" in page.said.toPlainText()
    page._stand_off()
    assert "nothing to stand off" in page.said.toPlainText()
    cup.write_text("title = 3", encoding="utf-8")
    page._repeat()
    assert "cup.toml" in page.said.toPlainText()


def test_what_a_command_refuses_is_shown(
    office: Office, application: QtWidgets.QApplication
) -> None:
    page = opened(office, "Progress")
    assert isinstance(page, ProgressPage)
    page.ask(orders.progress_of("Nobody"))
    answered(application, office)
    assert page.said.toPlainText().startswith("There is no counted trial")


def test_the_coach_s_word_is_kept_and_goes_first(
    application: QtWidgets.QApplication, office: Office, home: Home
) -> None:
    page = opened(office, "Progress")
    assert isinstance(page, ProgressPage)
    answered(application, office)
    page.names.setCurrentText("Romy")
    form = page.word_form()
    assert form is not None
    form.level.setCurrentIndex(form.level.findData("millpond-dusk"))
    form.accept()
    assert "The reason is missing" in form.trouble.text()
    assert home.coach_words("Romy") == []
    form.note.setText("x" * (LONGEST_NOTE + 1))
    form.accept()
    assert f"a page holds {LONGEST_NOTE}" in form.trouble.text()
    assert form.note.text(), "what was typed stays"
    form.note.setText("steady since the camp")
    form.accept()
    answered(application, office)
    assert [(w.level_id, w.note) for w in home.coach_words("Romy")] == [
        ("millpond-dusk", "steady since the camp")
    ]
    assert "Romy" in page.said.toPlainText()
    again = page.word_form()
    assert again is not None
    assert again.level.currentData() == "millpond-dusk"
    day = home.path / "recordings" / "2026-09-12"
    day.mkdir(parents=True)
    shutil.copy(SESSIONS / "2-romy-calm.sway", day / "120000-millpond-open-water-Romy.sway")
    with_trials = page.word_form()
    assert with_trials is not None
    assert with_trials.level.currentData() == "millpond-dusk", "said after that trial"
    (home.path / "coach.toml").unlink()
    by_trial = page.word_form()
    assert by_trial is not None
    assert by_trial.level.currentData() == "millpond-open-water", "where she stands"
    page.sentence.setText("Well done, Romy.")
    page.names.setCurrentText("Wren")
    page.names.activated.emit(page.names.currentIndex())
    assert page.sentence.text() == "", "it was about somebody else"
    answered(application, office)
    page.names.setCurrentText("Romy")
    home.keep_word(CoachWord("Romy", "millpond-dusk", datetime.now(UTC), "steady since the camp"))
    page.ask(orders.next_of("Romy"))
    answered(application, office)
    assert "steady since the camp" in page.said.toPlainText()


def test_a_trial_is_handed_to_another_program(
    application: QtWidgets.QApplication,
    office: Office,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    page = opened(office, "Keeping")
    assert isinstance(page, KeepPage)
    recording = SESSIONS / "1-mika-toes-then-even.sway"
    monkeypatch.setattr(page, "old_file", lambda *_: recording)
    picked: list[Sequence[str]] = []

    def pick(_title: str, _question: str, items: Sequence[str]) -> int:
        picked.append(items)
        return 1

    monkeypatch.setattr(page, "picked", pick)
    monkeypatch.setattr(page, "new_file", lambda *_: tmp_path / "t.xls")
    page.hand_on()
    assert ".parquet" in page.said.toPlainText()
    monkeypatch.setattr(page, "new_file", lambda *_: tmp_path / "t.csv")
    page.hand_on()
    answered(application, office)
    assert len(picked[0]) > 1
    wanted = tmp_path / "by-command.csv"
    assert main(["export", str(recording), "--as=csv", f"--output={wanted}", "--trial=2"]) == 0
    assert (tmp_path / "t.csv").read_text() == wanted.read_text()


def test_a_backup_is_made(
    office: Office, application: QtWidgets.QApplication, tmp_path: Path
) -> None:
    page = opened(office, "Keeping")
    assert isinstance(page, KeepPage)
    page.ask(orders.backup(tmp_path / "all.zip"))
    answered(application, office)
    assert (tmp_path / "all.zip").exists()
    assert "all.zip" in page.said.toPlainText()


def test_a_text_is_kept_only_when_it_is_asked_for(
    application: QtWidgets.QApplication, tmp_path: Path
) -> None:
    path = tmp_path / "cup.toml"
    path.write_text("title = 'a'\n")
    parent = QtWidgets.QWidget()
    first = TextDialog(parent, path)
    first.text.setPlainText("title = 'b'\n")
    first.reject()
    assert path.read_text() == "title = 'a'\n"
    second = TextDialog(parent, path)
    second.text.setPlainText("title = 'c'\n")
    second.accept()
    assert path.read_text() == "title = 'c'\n"
    third = TextDialog(parent, path)
    third.text.setPlainText("title = 'd'\n")
    path.write_text("title = 'c'\n# a judge was quicker\n")
    third.accept()
    assert "somebody else" in third.trouble.text()
    assert "a judge was quicker" in path.read_text()

    def refuse(_text: str) -> None:
        raise SwaytrainerError("Wrong.", "Mend it.")

    fourth = TextDialog(parent, path, refuse)
    fourth.text.setPlainText("x x x")
    fourth.accept()
    assert "Wrong. Mend it." in fourth.trouble.text()
    assert "a judge was quicker" in path.read_text()


@pytest.mark.parametrize("language", languages())
def test_every_page_has_its_help_and_opens_in_every_language(
    application: QtWidgets.QApplication, home: Home, language: str
) -> None:
    use_language(language)
    made: list[Office] = []
    try:
        office = Office(home)
        office.show()
        made.append(office)
        for title, page in office.pages.items():
            opened(office, title)
            assert page.HELP
            office.show_help()
            box = QtWidgets.QApplication.activeModalWidget()
            assert isinstance(box, QtWidgets.QMessageBox)
            assert len(box.text()) > 60
            box.close()
            assert office.grab().width() <= 1400
    finally:
        for office in made:
            office.close()
        use_language("en")


def test_closing_stops_what_was_only_asked(office: Office) -> None:
    office.page.ask(orders.INDEX)
    assert office.runner.busy
    office.close()
    assert not office.runner.busy


def test_one_of_two_equal_lines_is_picked_and_a_long_one_widens_nothing(office: Office) -> None:
    pick = Pick(office, "A trial", "Which one?", ["same", "same", "L" * 300])
    assert pick.sizeHint().width() < 1366
    pick.list.setCurrentRow(1)
    assert pick.row() == 1
    pick.accept()


def test_a_long_line_goes_on_below_and_a_table_stays(office: Office) -> None:
    page = opened(office, "Keeping")
    page.show_said("Wren   1\n  " + "word " * 80)
    lines = page.said.toPlainText().splitlines()
    assert lines[0] == "Wren   1"
    assert len(lines) > 2
    assert lines[2].startswith("      word")


def test_two_hundred_in_a_class_leave_the_form_its_place(
    office: Office, home: Home, application: QtWidgets.QApplication, tmp_path: Path
) -> None:
    names = [f"Vaulter {n} of ours" for n in range(200)]
    (home.path / "vaulters.toml").write_text(
        "".join(f'[[vaulter]]\nname = "{name}"\n' for name in names), encoding="utf-8"
    )
    page = opened(office, "Competition")
    assert isinstance(page, ContestPage)
    page.path = begin_contest(tmp_path / "cup.toml", home, "millpond-shore", datetime.now(UTC))
    form = page.form()
    assert form is not None
    form.show()
    form.tabs.setCurrentIndex(1)
    application.processEvents()
    assert names[-1] in form.state.text()
    assert form.height() < 700
    assert form.classes.table.height() > 60
    assert not form.classes.table.visibleRegion().isEmpty()
    form.reject()


def test_who_is_erased_is_not_shown_and_stays_counted(
    office: Office, home: Home, tmp_path: Path
) -> None:
    cup = tmp_path / "cup.toml"
    cup.write_text(
        'title = "Cup"\nlevel = "millpond-open-water"\n'
        "since = 2026-09-01T00:00:00+00:00\nuntil = 2026-10-01T00:00:00+00:00\n"
        '[[class]]\nname = "All"\nvaulters = ["Edda", "Romy", "Wren"]\n'
        '[[team]]\nname = "Otters"\nvaulters = ["Edda", "Wren"]\n'
        '[[ruling]]\nvaulter = "Edda"\nkind = "withdrawn"\nreason = "ill"\n'
        '[[stand_off]]\nvaulters = ["Edda", "Romy"]\nsince = 2026-09-02T00:00:00+00:00\n',
        encoding="utf-8",
    )
    (home.path / ERASED).write_bytes(erased_bytes(with_name([], "Edda")))
    page = opened(office, "Competition")
    assert isinstance(page, ContestPage)
    page.path = cup
    form = page.form()
    assert form is not None
    for lines in (form.classes, form.teams, form.rulings, form.stand_offs):
        for row in range(lines.table.rowCount()):
            for column in range(lines.table.columnCount()):
                item = lines.table.item(row, column)
                assert item is not None
                assert "Edda" not in item.text()
                assert "Edda" not in item.toolTip()
    item = form.stand_offs.table.item(0, 0)
    assert item is not None
    assert item.text().startswith("somebody erased – Romy, from 2026-09-0")
    change = form.class_form(0)
    change.name.setText("Everybody")
    change.accept()
    form.accept()
    told = ContestBook(home, cup).contest
    assert (told.classes, told.gone) == ({"Everybody": ("Romy", "Wren")}, 1)


def test_what_was_tried_before_a_competition_began_asks_nothing(
    office: Office, home: Home, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    day = home.path / "recordings" / "2026-09-12"
    day.mkdir(parents=True)
    shutil.copy(SESSIONS / "2-romy-calm.sway", day)
    [tried] = home.recordings()
    cup = tmp_path / "cup.toml"
    cup.write_text(
        'title = "Cup"\nlevel = "millpond-open-water"\n'
        "since = 2026-09-13T09:00:00+00:00\nuntil = 2026-09-13T18:00:00+00:00\n"
        '[[class]]\nname = "All"\nvaulters = ["Romy", "Wren"]\n',
        encoding="utf-8",
    )
    assert ContestBook(home, cup).attempts, f"{tried} is of the day before"
    page = opened(office, "Competition")
    assert isinstance(page, ContestPage)
    page.path = cup

    def never(*_: str) -> bool:
        raise AssertionError

    monkeypatch.setattr(page, "sure", never)
    form = page.form()
    assert form is not None
    form.trials.setValue(5)
    form.accept()
    assert ContestBook(home, cup).contest.trials == 5
