"""A competition: its file, who is next, the standings, rulings, results."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6 import QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office import orders
from swaytrainer.office.contest_form import ContestForm
from swaytrainer.office.forms import Form
from swaytrainer.office.page import Page, button, label
from swaytrainer.office.runner import Runner
from swaytrainer.squad.contest import Contest, sort_out
from swaytrainer.squad.contest_draft import ContestDraft, check_draft, draft_of, judged_in
from swaytrainer.squad.contest_places import open_places, standings
from swaytrainer.squad.contest_words import newest_first, trial_words
from swaytrainer.store.contest_book import ContestBook, contest_text, parsed_contest
from swaytrainer.store.contest_edit import edited_contest
from swaytrainer.store.home import Home, replace_same
from swaytrainer.words import Name, say, short, tr

_KINDS = "TOML (*.toml)"
#: Changed in mid-contest, these change what was done.
_TERMS = ("level", "since", "until", "trials", "warm_up")
#: Letters of a name in a question.
_WIDEST = 40
_OPEN_AGAIN = say("Give up, and open it again.")


class ContestPage(Page):
    """What the judges' table needs."""

    HELP = (
        "A competition is a file: level, time, classes, teams. “Begin” writes one to change."
        " The gym then calls in the drawn order; the scoreboard is for the hall's big screen. Every"
        " trial is a recording: a protest is settled by seeing it again before all. Nothing is kept"
        " but the recordings and this file, so a power cut loses nothing."
    )

    def __init__(self, runner: Runner, home: Home) -> None:
        super().__init__(runner)
        self._home = home
        self.path: Path | None = None
        self.which = label("No competition is chosen.")
        self.spotter = QtWidgets.QCheckBox(tr("A spotter stands by: offer all levels"))
        self.row(
            button("Choose its file …", self._choose),
            button("Begin a new one …", self._begin),
            button("Change it …", self._change),
            button("Change it as text", self._edit),
        )
        self.column.addWidget(self.which)
        self.row(
            button("Open the gym in its order", self._gym),
            button("The scoreboard", self._board),
            self.spotter,
        )
        self.row(
            button("How it stands", self._ask),
            button("Every trial", lambda: self._ask("--trials")),
            button("A withdrawal …", self._withdrawn),
            button("Repeat a trial …", self._repeat),
            button("A stand-off …", self._stand_off),
            button("See a trial again …", self._replay),
            button("Results …", self._results),
        )
        self.column.addWidget(self.said, 1)

    def take(self, path: Path) -> None:
        """This competition from now on."""
        self.path = path
        self.which.setText(str(path))
        self._ask()

    def _chosen(self) -> Path | None:
        if self.path is None:
            self.tell("Choose a competition's file first, or begin a new one.")
        return self.path

    def _ask(self, *more: str) -> None:
        path = self._chosen()
        if path is not None:
            self.ask(orders.contest(path, *more))

    def _choose(self) -> None:
        path = self.old_file("A competition's file", _KINDS, str(self._home.path))
        if path is not None:
            self.take(path)

    def _begin(self) -> None:
        path = self.new_file("A new competition", str(self._home.path / "contest.toml"), _KINDS)
        if path is None:
            return

        def begun(well: bool) -> None:
            if well:
                self.path = path
                self.which.setText(str(path))
                # What it is to be is asked at once.
                self._change()

        self.ask(orders.contest(path, "begin"), begun)

    def _change(self) -> None:
        def ask() -> None:
            try:
                form = self.form()
            except SwaytrainerError as error:
                # What no form can show is mended where it is written.
                raise SwaytrainerError(
                    error.told, say("“Change it as text” opens it to be mended.")
                ) from None
            if form is not None and form.exec():
                self._ask()

        self.trying(ask)

    def form(self) -> ContestForm | None:
        """The form for the chosen file; None without one.

        Raises:
            SwaytrainerError: the file is not one that a form can change.
        """
        path = self._chosen()
        if path is None:
            return None
        book = ContestBook(self._home, path)
        text, where = contest_text(path), path.name
        before = draft_of(text, where)

        def check(draft: ContestDraft) -> Contest:
            check_draft(draft)
            return parsed_contest(edited_contest(text, where, draft, self._home), where, self._home)

        def keep(draft: ContestDraft) -> None:
            new = edited_contest(text, where, draft, self._home)
            book.refresh()
            done = sum(book.contest.is_on(attempt.at) for attempt in book.attempts)
            if done and any(getattr(draft, f) != getattr(before, f) for f in _TERMS):
                question = say("{n} trials are there already. Change what they count for?", n=done)
                if not self.sure("A competition that has begun", question):
                    raise SwaytrainerError(say("Nothing was kept."), say("Undo it, or give up."))
            replace_same(path, text, new, _OPEN_AGAIN)

        names = [v.name for v in self._home.vaulters()]
        rulings, stand_offs = judged_in(text, where, names)
        levels = self._home.level_shelf().levels
        return ContestForm(self, before, names, levels, rulings, stand_offs, check, keep)

    def _edit(self) -> None:
        path = self._chosen()
        if path is None:
            return
        editor = TextDialog(self, path, lambda text: parsed_contest(text, path.name, self._home))
        editor.exec()
        self._ask()

    def _gym(self) -> None:
        path = self._chosen()
        if path is not None:
            self.open(orders.contest_gym(path, self.spotter.isChecked()))

    def _board(self) -> None:
        path = self._chosen()
        if path is not None:
            self.open(orders.scoreboard(path))

    def _book(self) -> ContestBook | None:
        """The contest as its file and recordings tell it; what is wrong is shown."""
        path = self._chosen()
        found: list[ContestBook] = []
        if path is not None:
            self.trying(lambda: found.append(ContestBook(self._home, path)))
        return found[0] if found else None

    def _reason(self, title: str, question: str) -> str | None:
        """Why, in a line; None if it was given up, or left empty, which is told."""
        reason = self.typed(title, question)
        if reason == "":
            self.tell("Nothing was written: a ruling needs its reason.")
        return reason or None

    def _withdrawn(self) -> None:
        book = self._book()
        if book is None:
            return
        contest = book.contest
        there = [name for name in contest.vaulters if not contest.withdrawn(name)]
        at = self.picked("A withdrawal", "Who takes no further part?", there)
        if at is None:
            return
        why = say("Why does {name} take no further part?", name=Name(short(there[at], _WIDEST)))
        reason = self._reason("A withdrawal", why)
        if reason is not None:
            self.ask(orders.ruling(book.path, reason, "withdrawn", there[at]))

    def _repeat(self) -> None:
        book = self._book()
        if book is None:
            return
        done = sort_out(book.contest, book.attempts)
        counted = {a for each in done.values() for a in (*each.counted, *each.stand_offs.values())}
        newest = [attempt for attempt in newest_first(book.attempts) if attempt in counted]
        lines = [trial_words(book.contest, book.attempts, attempt) for attempt in newest]
        if not lines:
            self.tell("No trial of this competition counts yet.")
        at = self.picked(
            "Repeat a trial", "Which one is taken back? The newest stands first.", lines
        )
        if at is None:
            return
        taken = newest[at]
        why = say("Why does {name} repeat it?", name=Name(short(taken.vaulter, _WIDEST)))
        reason = self._reason("Repeat a trial", why)
        if reason is not None:
            what = ("repeat", taken.whole_name, str(taken.number))
            self.ask(orders.ruling(book.path, reason, *what))

    def _stand_off(self) -> None:
        book = self._book()
        if book is None:
            return
        open_now = [
            names
            for lines in standings(book.contest, book.attempts).values()
            for names in open_places(lines)
        ]
        if not open_now:
            self.tell("No places are shared or can't be told apart: there is nothing to stand off.")
        at = self.picked("A stand-off", "Between whom?", [", ".join(names) for names in open_now])
        if at is not None:
            names = ", ".join(short(name, _WIDEST) for name in open_now[at])
            question = say("One more trial each: {names}?", names=Name(names))
            if self.sure("A stand-off", question):
                self.ask(orders.stand_off(book.path, open_now[at]))

    def _replay(self) -> None:
        book = self._book()
        if book is None:
            return
        folder = self._home.path / "recordings"
        newest = newest_first(book.attempts)
        if not newest:
            self.tell("No trial of this competition is there yet.")
        lines = [trial_words(book.contest, book.attempts, attempt) for attempt in newest]
        at = self.picked("A trial", "Which one is seen again? The newest stands first.", lines)
        if at is not None:
            self.open(orders.replay(folder / newest[at].whole_name))

    def _results(self) -> None:
        if self._chosen() is None:
            return
        path = self.new_file(
            "The results", "results.pdf", "PDF (*.pdf);;HTML (*.html);;CSV (*.csv)"
        )
        if path is not None:
            kind = path.suffix.lower().removeprefix(".")
            if kind not in ("pdf", "html", "csv"):
                self.tell("Give the file one of these endings: .pdf, .html, .csv")
                return
            self._ask(f"--{kind}", str(path))


class TextDialog(Form):
    """A text file to change; kept only when it is asked for.

    Args:
        parent: the page.
        path: of the file.
        check: raises what is wrong with a text, which is then not kept.
    """

    def __init__(
        self,
        parent: QtWidgets.QWidget,
        path: Path,
        check: Callable[[str], object] = lambda _text: None,
    ) -> None:
        super().__init__(parent, Name(path.name))
        self._path = path
        self._check = check
        self._was = ""
        self.resize(800, 600)
        self.text = QtWidgets.QPlainTextEdit()
        self.column.addWidget(self.text, 1)
        self.end_with()
        try:
            self._was = path.read_text(encoding="utf-8")
            self.text.setPlainText(self._was)
        except (OSError, UnicodeDecodeError) as error:
            self.trouble.setText(str(error))
            self.text.setReadOnly(True)
            self.keep_button.setEnabled(False)

    def keep(self) -> None:
        """Write it.

        Raises:
            SwaytrainerError: it may not be so, or can't be written.
        """
        text = self.text.toPlainText()
        self._check(text)
        replace_same(self._path, self._was, text, _OPEN_AGAIN)
