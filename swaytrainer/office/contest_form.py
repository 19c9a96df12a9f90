"""A competition's file in a form: when, which level, classes, teams, rulings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import Any, Final

from PySide6 import QtCore, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office.forms import Below, Form, Lines, NameList
from swaytrainer.office.page import label
from swaytrainer.squad.contest import Contest
from swaytrainer.squad.contest_draft import By, ClassDraft, ContestDraft, TeamDraft, put_in
from swaytrainer.squad.contest_file import TRIALS, WARM_UPS
from swaytrainer.training.level import Level
from swaytrainer.words import Name, language, number, say, short, tr, translated

#: What a class goes by, in the order in which it is offered.
_KINDS: Final = (
    (By.NAME, say("by name")),
    (By.HEIGHT, say("by height")),
    (By.BORN, say("by year of birth")),
)
_WIDEST: Final = 24
#: A class by height or year begins with these, so that a form can be kept as it is.
_HEIGHT_CM: Final = (0, 140)
_YEARS: Final = (2012, 2014)


def class_words(each: ClassDraft) -> str:
    """Whom a class takes, in a line."""
    if each.by is By.HEIGHT:
        return translated(
            "from {low} up to, and without, {high} cm",
            low=number(each.low / 10.0, "g"),
            high=number(each.high / 10.0, "g"),
        )
    if each.by is By.BORN:
        return translated("born {low:.0f} to {high:.0f}", low=each.low, high=each.high)
    return ", ".join(short(name, _WIDEST) for name in each.names)


class ClassForm(Form):
    """One class.

    Args:
        parent: the competition's form.
        draft: to begin with.
        vaulters: all who are listed, each with the name of the class that she is in, or empty.
        keep: keeps what was chosen.
    """

    def __init__(
        self,
        parent: QtWidgets.QWidget,
        draft: ClassDraft,
        vaulters: Sequence[tuple[str, str]],
        keep: Callable[[ClassDraft], None],
    ) -> None:
        super().__init__(parent, "A class")
        self._keep = keep
        self.resize(620, 520)
        self.name = QtWidgets.QLineEdit(draft.name)
        self.kind = QtWidgets.QComboBox()
        for by, words in _KINDS:
            self.kind.addItem(tr(words), by)
        listed = {name for name, _ in vaulters}
        self.names = NameList([n for n in draft.names if n in listed], vaulters)
        heights = draft.by is By.HEIGHT
        low, high = (draft.low / 10.0, draft.high / 10.0) if heights else _HEIGHT_CM
        self.low = _number(low, 0.0, 250.0, " cm")
        self.high = _number(high, 0.0, 250.0, " cm")
        first, last = (draft.low, draft.high) if draft.by is By.BORN else _YEARS
        self.first = _whole(int(first), 1900, 2100)
        self.last = _whole(int(last), 1900, 2100)
        self.pages = QtWidgets.QStackedWidget()
        self.pages.addWidget(self.names)
        self.pages.addWidget(_fields(("From", self.low), ("Up to, and without", self.high)))
        self.pages.addWidget(_fields(("From", self.first), ("To, that year too", self.last)))
        self.kind.currentIndexChanged.connect(self.pages.setCurrentIndex)
        self.kind.setCurrentIndex([by for by, _ in _KINDS].index(draft.by))
        lines = QtWidgets.QFormLayout()
        lines.addRow(tr("Name"), self.name)
        lines.addRow(tr("Goes"), self.kind)
        self.column.addLayout(lines)
        self.column.addWidget(self.pages, 1)
        self.end_with()

    def draft(self) -> ClassDraft:
        """What stands in the form now."""
        by = self.kind.currentData()
        name = self.name.text().strip()
        if by == By.HEIGHT:
            return ClassDraft(
                name,
                By.HEIGHT,
                (),
                round(10.0 * self.low.value(), 3),
                round(10.0 * self.high.value(), 3),
            )
        if by == By.BORN:
            return ClassDraft(
                name, By.BORN, (), float(self.first.value()), float(self.last.value())
            )
        return ClassDraft(name, By.NAME, self.names.chosen())

    def keep(self) -> None:
        """Keep it, if it can be one."""
        draft = self.draft()
        if not draft.name or (draft.by is By.NAME and not draft.names):
            raise SwaytrainerError(
                say("A class needs a name, and somebody who is in it."), say("Add what is missing.")
            )
        if draft.low > draft.high or (draft.by is By.HEIGHT and draft.low == draft.high):
            raise SwaytrainerError(
                say("The first number must be the smaller one."), say("Change one of them.")
            )
        self._keep(draft)


class TeamForm(Form):
    """One team.

    Args:
        parent: the competition's form.
        draft: to begin with.
        entered: who may be in it, each with the name of the team that she is in, or empty.
        keep: keeps what was chosen.
    """

    def __init__(
        self,
        parent: QtWidgets.QWidget,
        draft: TeamDraft,
        entered: Sequence[tuple[str, str]],
        keep: Callable[[TeamDraft], None],
    ) -> None:
        super().__init__(parent, "A team")
        self._keep = keep
        self.resize(520, 480)
        self.name = QtWidgets.QLineEdit(draft.name)
        there = {name for name, _ in entered}
        self.names = NameList([n for n in draft.names if n in there], entered)
        lines = QtWidgets.QFormLayout()
        lines.addRow(tr("Name"), self.name)
        self.column.addLayout(lines)
        self.column.addWidget(label("Of those who are entered:"))
        self.column.addWidget(self.names, 1)
        self.end_with()

    def keep(self) -> None:
        """Keep it, if it can be one."""
        draft = TeamDraft(self.name.text().strip(), self.names.chosen())
        if not draft.name or not draft.names:
            raise SwaytrainerError(
                say("A team needs a name, and somebody who is in it."), say("Add what is missing.")
            )
        self._keep(draft)


class ContestForm(Form):
    """The whole file; what is wrong, or who is in which class, stands below all the time.

    Args:
        parent: the page.
        draft: what the file says.
        names: all who are listed.
        levels: all that there are.
        rulings, stand_offs: the file's, a sentence each.
        check: the contest that a draft makes; raises what is wrong.
        keep: writes a draft.
    """

    def __init__(
        self,
        parent: QtWidgets.QWidget,
        draft: ContestDraft,
        names: Sequence[str],
        levels: Sequence[Level],
        rulings: Sequence[str],
        stand_offs: Sequence[str],
        check: Callable[[ContestDraft], Contest],
        keep: Callable[[ContestDraft], None],
    ) -> None:
        super().__init__(parent, "A competition")
        self._draft = draft
        self._names = tuple(names)
        self._rulings, self._stand_offs = rulings, stand_offs
        self._check, self._keep = check, keep
        self.contest: Contest | None = None
        self.resize(900, 680)
        self.title = QtWidgets.QLineEdit(draft.title)
        self.level = QtWidgets.QComboBox()
        # As wide as its place, whatever a club calls its levels.
        self.level.setSizeAdjustPolicy(
            QtWidgets.QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        for level in levels:
            self.level.addItem(tr(level.title), level.id)
        self.level.setCurrentIndex(self.level.findData(draft.level))
        self.since, self.until = _moment(draft.since), _moment(draft.until)
        self.trials = _whole(draft.trials, *TRIALS)
        self.warm_up = _whole(draft.warm_up, *WARM_UPS)
        self.team_counts = _whole(draft.team_counts, 1, 99)
        self.only = QtWidgets.QCheckBox(
            tr("Only these take part in classes by height or year; else all who are listed")
        )
        self.only.setChecked(draft.entries is not None)
        entered = tuple(name for name in draft.entries or () if name in self._names)
        self.entries = NameList(entered, [(name, "") for name in self._names])
        self.entries.setEnabled(self.only.isChecked())
        self.classes = Lines(
            ("Class", "Goes", "Who"),
            partial(self.reorder, "classes"),
            self._add_class,
            self._change_class,
        )
        self.teams = Lines(
            ("Team", "Who"), partial(self.reorder, "teams"), self._add_team, self._change_team
        )
        self.rulings = Lines(("Ruling",), partial(self.reorder, "rulings"))
        self.stand_offs = Lines(("Stand-off",), partial(self.reorder, "stand_offs"))
        self.state = label("")
        self._lay_out()
        self.end_with(Below(self.state))
        self._connect()
        self._look()

    def _lay_out(self) -> None:
        first = QtWidgets.QWidget()
        lines = QtWidgets.QFormLayout(first)
        lines.addRow(tr("Title"), self.title)
        lines.addRow(tr("Level, all do it"), self.level)
        lines.addRow(tr("From"), self.since)
        lines.addRow(tr("To"), self.until)
        lines.addRow(tr("Trials that count, each"), self.trials)
        lines.addRow(tr("To warm up before them, each"), self.warm_up)
        who = QtWidgets.QWidget()
        column = QtWidgets.QVBoxLayout(who)
        column.addWidget(self.classes, 3)
        column.addWidget(self.only)
        column.addWidget(self.entries, 2)
        teams = QtWidgets.QWidget()
        column = QtWidgets.QVBoxLayout(teams)
        counts = QtWidgets.QFormLayout()
        counts.addRow(tr("So many best members count"), self.team_counts)
        column.addLayout(counts)
        column.addWidget(self.teams)
        judged = QtWidgets.QWidget()
        column = QtWidgets.QVBoxLayout(judged)
        column.addWidget(label("What is taken out here never was."))
        column.addWidget(self.rulings)
        column.addWidget(self.stand_offs)
        self.tabs = QtWidgets.QTabWidget()
        for page, title in (
            (first, "What and when"),
            (who, "Classes"),
            (teams, "Teams"),
            (judged, "Rulings"),
        ):
            self.tabs.addTab(page, tr(title))
        self.column.addWidget(self.tabs, 1)

    def _connect(self) -> None:
        self.title.textChanged.connect(self._look)
        self.level.currentIndexChanged.connect(self._look)
        for moment in (self.since, self.until):
            moment.dateTimeChanged.connect(self._look)
        for count in (self.trials, self.warm_up, self.team_counts):
            count.valueChanged.connect(self._look)
        self.only.toggled.connect(self.entries.setEnabled)
        self.only.toggled.connect(self._look)
        self.entries.itemChanged.connect(self._look)
        self.entries.model().rowsMoved.connect(self._look)

    def draft(self) -> ContestDraft:
        """What stands in the form now."""
        was = self._draft
        return replace(
            was,
            title=self.title.text().strip(),
            level=self.level.currentData() or was.level,
            since=_time(self.since, was.since),
            until=_time(self.until, was.until),
            trials=self.trials.value(),
            warm_up=self.warm_up.value(),
            team_counts=self.team_counts.value(),
            entries=self._entries(),
        )

    def _entries(self) -> tuple[str, ...] | None:
        if not self.only.isChecked():
            return None
        chosen, was = self.entries.chosen(), self._draft.entries
        # Whoever is not listed any more stands in the file still: it is not for this form to say.
        if was is not None and chosen == tuple(name for name in was if name in self._names):
            return was
        return chosen

    def keep(self) -> None:
        """Write it."""
        self._keep(self.draft())

    # What it makes ------------------------------------------------------------------------------

    def _look(self, *_: object) -> None:
        self.classes.show_lines(
            [
                (
                    short(each.name, _WIDEST),
                    tr(dict(_KINDS)[each.by]),
                    class_words(replace(each, names=self._listed(each.names))),
                )
                for _, each in self._draft.classes
            ]
        )
        self.teams.show_lines(
            [
                (
                    short(team.name, _WIDEST),
                    ", ".join(short(n, _WIDEST) for n in self._listed(team.names)),
                )
                for _, team in self._draft.teams
            ]
        )
        self.rulings.show_lines([(tr(self._rulings[n]),) for n in self._draft.rulings])
        self.stand_offs.show_lines([(tr(self._stand_offs[n]),) for n in self._draft.stand_offs])
        try:
            self.contest = self._check(self.draft())
        except SwaytrainerError as error:
            self.contest = None
            self.state.setText("")
            self.trouble.setText(tr(error.what))
        else:
            self.trouble.setText("")
            self.state.setText("\n".join(map(tr, _effect(self.contest))))
        self.keep_button.setEnabled(self.contest is not None)

    def _listed(self, names: Sequence[str]) -> tuple[str, ...]:
        """Without those who are erased: the file names them still, the form does not."""
        return tuple(name for name in names if name in self._names)

    def _others(self, names: Sequence[str]) -> tuple[str, ...]:
        """Those who are erased: they stay in the file, so that it tells how many were entered."""
        return tuple(name for name in names if name not in self._names)

    # Classes ------------------------------------------------------------------------------------

    def class_form(self, at: int | None) -> ClassForm:
        """The form for a class, or for a new one (None)."""
        classes = [each for _, each in self._draft.classes]
        draft = ClassDraft("") if at is None else classes[at]
        known = {n: each.name for k, each in enumerate(classes) if k != at for n in each.names}
        listed = [(name, known.get(name, "")) for name in self._names]
        return ClassForm(self, draft, listed, lambda new: self._put_class(at, new))

    def _put_class(self, at: int | None, new: ClassDraft) -> None:
        if at is not None and new.by is By.NAME:
            was = self._draft.classes[at][1].names
            new = replace(new, names=(*new.names, *self._others(was)))
        self._draft = replace(self._draft, classes=put_in(self._draft.classes, at, new))
        self._look()

    def _add_class(self) -> None:
        self.class_form(None).exec()

    def _change_class(self, at: int) -> None:
        self.class_form(at).exec()

    # Teams, rulings -----------------------------------------------------------------------------

    def team_form(self, at: int | None) -> TeamForm:
        """The form for a team, or for a new one (None)."""
        teams = [each for _, each in self._draft.teams]
        draft = TeamDraft("", ()) if at is None else teams[at]
        known = {n: team.name for k, team in enumerate(teams) if k != at for n in team.names}
        classes = {} if self.contest is None else self.contest.classes
        entered = [name for names in classes.values() for name in names] or list(self._names)
        listed = [(name, known.get(name, "")) for name in entered]
        return TeamForm(self, draft, listed, lambda new: self._put_team(at, new))

    def _put_team(self, at: int | None, new: TeamDraft) -> None:
        if at is not None:
            was = self._draft.teams[at][1].names
            new = replace(new, names=(*new.names, *self._others(was)))
        self._draft = replace(self._draft, teams=put_in(self._draft.teams, at, new))
        self._look()

    def _add_team(self) -> None:
        self.team_form(None).exec()

    def _change_team(self, at: int) -> None:
        self.team_form(at).exec()

    def reorder(self, field: str, order: list[int]) -> None:
        """Other lines, or another order, of the draft's classes, teams, rulings or stand-offs."""
        lines = getattr(self._draft, field)
        changed: dict[str, Any] = {field: tuple(lines[n] for n in order)}
        self._draft = replace(self._draft, **changed)
        self._look()


def _effect(contest: Contest) -> list[str]:
    """Who is in no class, and who is in which."""
    lines: list[str] = []
    for name, names in contest.classes.items():
        who = Name(", ".join(short(each, _WIDEST) for each in names))
        lines.append(
            say("{class_name}: {n}, {names}", class_name=Name(short(name, _WIDEST)), n=len(names),
                names=who)
            if names
            else say("{class_name}: nobody", class_name=Name(short(name, _WIDEST)))
        )  # fmt: skip
    # First whom something must be done about: classes may be long.
    return [*contest.left_out(), *lines]


def _number(value: float, low: float, high: float, suffix: str) -> QtWidgets.QDoubleSpinBox:
    made = QtWidgets.QDoubleSpinBox()
    made.setLocale(QtCore.QLocale(language()))
    # What a file says beyond them stays as long as nobody changes it.
    made.setRange(min(low, value), max(high, value))
    made.setDecimals(1)
    made.setSuffix(suffix)
    made.setValue(value)
    return made


def _whole(value: int, low: int, high: int) -> QtWidgets.QSpinBox:
    made = QtWidgets.QSpinBox()
    made.setRange(min(low, value), max(high, value))
    made.setValue(value)
    return made


def _fields(*fields: tuple[str, QtWidgets.QWidget]) -> QtWidgets.QWidget:
    made = QtWidgets.QWidget()
    lines = QtWidgets.QFormLayout(made)
    for title, field in fields:
        lines.addRow(tr(title), field)
    return made


def _moment(at: datetime) -> QtWidgets.QDateTimeEdit:
    local = at.astimezone()
    made = QtWidgets.QDateTimeEdit(
        QtCore.QDateTime(
            QtCore.QDate(local.year, local.month, local.day),
            QtCore.QTime(local.hour, local.minute, local.second),
        )
    )
    # The calendar's months and days.
    made.setLocale(QtCore.QLocale(language()))
    made.setDisplayFormat("yyyy-MM-dd HH:mm")
    made.setCalendarPopup(True)
    return made


def _time(field: QtWidgets.QDateTimeEdit, was: datetime) -> datetime:
    """The field's moment; the file's own where it is the same minute, with its zone and seconds."""
    day, at = field.date(), field.time()
    made = datetime(day.year(), day.month(), day.day(), at.hour(), at.minute()).astimezone()
    same = was.astimezone().replace(second=0, microsecond=0) == made
    return was if same else made
