from __future__ import annotations

import locale
from collections.abc import Iterator

import pytest

from swaytrainer import words
from swaytrainer.app.language import choose_language
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    yield
    words.use_language("en")


def test_an_unknown_language_names_those_there_are() -> None:
    with pytest.raises(SwaytrainerError, match="no language “tlh”") as error:
        choose_language("tlh")
    assert "de or en" in str(error.value)


@pytest.mark.parametrize(("wanted", "spoken"), [("en", "en"), ("de", "de"), (None, "de")])
def test_the_language_is_the_one_wanted_or_the_system_s(
    monkeypatch: pytest.MonkeyPatch, wanted: str | None, spoken: str
) -> None:
    asked: list[str] = []
    monkeypatch.setattr("swaytrainer.app.language.use_language", asked.append)
    monkeypatch.setattr(locale, "getlocale", lambda: ("de_AT", "UTF-8"))
    choose_language(wanted)
    assert asked == [spoken]


def test_a_locale_that_can_t_be_read_is_english(monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown() -> None:
        raise ValueError("unknown locale: UTF-8")

    monkeypatch.setattr(locale, "getlocale", unknown)
    choose_language(None)
    assert words.language() == "en"


def test_the_command_line_refuses_what_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--language", "tlh", "list"]) == 1
    assert "tlh" in capsys.readouterr().err
