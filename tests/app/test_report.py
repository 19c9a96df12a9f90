"""``swaytrainer report`` and ``progress --squad`` on a simulated season of fifteen."""

from __future__ import annotations

import re
import sys
from datetime import datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from swaytrainer.cli import main
from swaytrainer.progress.about import WORDS
from swaytrainer.words import use_language
from tests.report.season import SEASON, season
from tests.report.test_results import Read


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("season")
    season(folder, datetime.now().astimezone())
    return folder


def lines(home: Path, capsys: pytest.CaptureFixture[str], *before: str) -> list[str]:
    assert main(["--home", str(home), *before, "progress", "--squad"]) == 0
    return capsys.readouterr().out.splitlines()


def test_the_squad_fits_a_screen_and_each_has_a_word(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = lines(home, capsys)
    assert len(told) <= 24
    assert max(len(line) for line in told) <= 80
    words = {line[:14].strip(): line for line in told}
    for name, word in (
        ("Bosse", "too much"), ("Pim", "new"), ("Tarn", "not here"), ("Tjark", "stuck"),
        ("Romy", "step due"), ("Ämy Örtel", "steady"),
    ):  # fmt: skip
        assert word in words[name], words[name]
    # Whom a coach would look at first stands first, who is not there last.
    assert told[1].startswith("Bosse")
    named = [line for line in told[1 : told.index("")] if not line.startswith(" ")]
    assert len(named) == 15
    assert named[14].startswith("Pim")
    # What is too long for its column goes on below: no number is torn.
    moved = next(n for n, line in enumerate(told) if line.startswith("Juno"))
    assert re.search(r"sway speed from \d+ to$", told[moved])
    assert re.fullmatch(r"\d+ mm/s", told[moved + 1].strip())


def test_the_squad_in_german(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    try:
        told = "\n".join(lines(home, capsys, "--language", "de"))
    finally:
        use_language("en")
    assert "zu viel" in told
    assert "22 min an einem Tag" in told


@pytest.mark.parametrize("name", [course.name for course in SEASON if course.name[0] in "RW=<P"])
def test_every_vaulter_gets_one_page(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    pdf = tmp_path / "page.pdf"
    assert main(["--home", str(home), "report", "-o", str(pdf), "--", name]) == 0
    assert str(pdf) in capsys.readouterr().out
    assert len(PdfReader(pdf).pages) == 1


def test_what_the_page_says_of_who_learned(home: Path, tmp_path: Path) -> None:
    page = tmp_path / "wren.html"
    options = ["report", "wren", "-o", str(page), "--sentence", "Heels down & <smile>"]
    assert main(["--home", str(home), *options]) == 0
    text = Read(page.read_text(encoding="utf-8")).text
    assert "You stand calmer than when you began" in text
    assert "Left ankle taped" in text
    assert "Heels down & <smile>" in text
    assert "Next step" in text


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Nele", "Stay at Millpond: open water – until 4 of the last 5 trials, on 2 days or more,"
                 " had a mark of 6 or more."),
        # The newest trial is one on the easier water: what is due on the reeds stays due.
        ("Jale", "One up: Millpond: the lane in the reeds"),
        ("Pim", "Begin with Millpond: the shore"),
    ],
)  # fmt: skip
def test_the_next_step_is_a_sentence_that_agrees_with_the_ladder(
    home: Path, tmp_path: Path, name: str, said: str
) -> None:
    page = tmp_path / "page.html"
    assert main(["--home", str(home), "report", name, "-o", str(page)]) == 0
    text = " ".join(Read(page.read_text(encoding="utf-8")).text.split())
    assert said in text
    assert ("climbed the ladder to “Millpond: the reeds”" in text) == (name == "Jale")


def test_a_page_in_german_is_german(home: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    try:
        for whose in (["Romy"], ["Nele"], ["Jale"], ["--squad"]):
            options = ["--language", "de", "report", *whose, "-o", str(page)]
            assert main(["--home", str(home), *options]) == 0
            source = page.read_text(encoding="utf-8")
            text = Read(re.sub("<style>.*</style>", "", source, flags=re.DOTALL)).text
            assert not re.search(r"\b(the|of|day|days|mean|from|trials|with|mark)\b", text)
            days_taken = re.sub(r"\d\d\.\d\d\.\d*", "", text)
            assert not re.search(r"\d\.\d", days_taken)
            assert "<title>The squad" not in source
    finally:
        use_language("en")


def test_the_squads_sheet(home: Path, tmp_path: Path) -> None:
    page = tmp_path / "squad.html"
    assert main(["--home", str(home), "report", "--squad", "-o", str(page)]) == 0
    text = Read(page.read_text(encoding="utf-8")).text
    assert all(course.name[:20] in text for course in SEASON)
    assert "What the words mean" in text
    assert all(f"{word}: " in text for word in WORDS.values())


def test_the_index_tells_of_one_in_any_capitals_and_any_language(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        assert main(["--home", str(home), "--language", "de", "--vaulter", "NELE", "index"]) == 0
        told = capsys.readouterr().out
        assert main(["--home", str(home), "--language", "de", "index", "--squad"]) == 0
        squad = capsys.readouterr().out
    finally:
        use_language("en")
    assert re.search(r"\d\d\.\d\d\.\d{4} .*, Versuch 1: Note \d,\d\d\n", told)
    assert "Nele: 17 Sitzungen, 49 Versuche, davon 49 gewertet; zuletzt" in squad


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["report", "Wren", "-o", "wren.doc"], ".html, .pdf"),
        (["report", "-o", "x.pdf"], "about a vaulter, or about the squad"),
        (["report", "Wren", "--squad", "-o", "x.pdf"], "about a vaulter, or about the squad"),
        (["report", "Nobody", "-o", "x.pdf"], "There is no vaulter 'Nobody'"),
        (["report", "Wren", "-o", "x.pdf", "--sentence", "x" * 241], "a page holds 240"),
        (["report", "Wren", "-o", "no/such/folder/x.html"], "Can't write"),
    ],
)
def test_what_is_wrong_is_said(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch, options: list[str], said: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert main(["--home", str(home), *options]) == 1
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("library", ["weasyprint", "jinja2"])
def test_a_missing_library_is_named(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch, library: str,
) -> None:  # fmt: skip
    from swaytrainer.report import pages

    pages._environment.cache_clear()
    monkeypatch.setitem(sys.modules, library, None)
    file = tmp_path / "x.pdf"
    assert main(["--home", str(home), "report", "Wren", "-o", str(file)]) == 1
    assert "swaytrainer[report]" in capsys.readouterr().err
    assert not file.exists()


def test_somebody_in_the_list_alone_and_a_recording_of_somebody_deleted(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Pim has no trial; of nobody that isn't in the list there is a page."""
    page = tmp_path / "pim.html"
    assert main(["--home", str(home), "report", "Pim", "-o", str(page)]) == 0
    assert "No counted trial yet" in Read(page.read_text(encoding="utf-8")).text
    capsys.readouterr()
