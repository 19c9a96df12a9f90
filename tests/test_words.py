"""Sentences that remember how they were made."""

import ast
import copy
import gettext
import io
import json
import pickle
import string
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer import words
from swaytrainer.words import Said, number, say, tr
from tests import catalogue


class Upside(gettext.NullTranslations):
    """A language in which every template is known."""

    def gettext(self, message: str) -> str:
        return {"{n} of {all}": "{all} davon {n}", "two": "zwei"}.get(message, message)


@pytest.fixture
def other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(words._Language, "code", "xx")
    monkeypatch.setattr(words._Language, "catalogue", Upside())


@pytest.mark.usefixtures("other")
def test_a_sentence_is_put_into_the_language_in_use_with_its_values() -> None:
    sentence = say("{n} of {all}", n="two", all=3)
    assert sentence == "two of 3"
    assert tr(sentence) == "3 davon zwei"
    assert tr("two") == "zwei"
    assert tr("unknown") == "unknown"
    assert tr("") == ""


def test_a_sentence_is_a_string_wherever_it_goes() -> None:
    sentence = say("{n} of {all}", n=1, all=3)
    assert json.loads(json.dumps({"why": sentence})) == {"why": "1 of 3"}
    for twin in (copy.deepcopy(sentence), pickle.loads(pickle.dumps(sentence))):
        assert isinstance(twin, Said)
        assert (twin, twin.template, twin.values) == (sentence, "{n} of {all}", {"n": 1, "all": 3})


@given(st.floats(allow_nan=False, allow_infinity=False), st.text(max_size=20))
def test_values_are_filled_in_as_format_does(x: float, text: str) -> None:
    assert say("{x:.1f} {text}", x=x, text=text) == f"{x:.1f} {text}"


def test_german_numbers_have_a_comma_and_stored_sentences_a_point(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """DIN 1333, section 2: the decimal sign is a comma (from memory)."""
    sentence = say("{share:.1f} of {n} in v{version}", share=-7.25, n=1000, version="1.2")
    monkeypatch.setattr(words._Language, "code", "de")
    assert tr(sentence) == "-7,2 of 1000 in v1.2"
    assert (number(7.5, "6.2f"), number(3.0, "g"), number(12)) == ("  7,50", "3", "12")
    assert sentence == "-7.2 of 1000 in v1.2"


def test_a_language_without_a_catalogue_is_english() -> None:
    words.use_language("tlh")
    assert words.language() == "en"
    assert words.languages()[0] == "en"


LANGUAGES = catalogue.catalogues()


@pytest.fixture(scope="module")
def sentences() -> dict[str, str]:
    return catalogue.sentences()


def test_german_is_there_and_can_be_spoken() -> None:
    assert "de" in LANGUAGES
    assert words.languages() == ["en", *LANGUAGES]
    words.use_language("de")
    try:
        assert tr("Step on") == "Steig auf"
        assert tr(say("Trial {n} of {all}", n=2, all=3)) == "Runde 2/3"
    finally:
        words.use_language("en")


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_sentence_of_the_screens_is_translated(
    language: str, sentences: dict[str, str]
) -> None:
    known = catalogue.read(LANGUAGES[language])
    missing = [f"{where}: {text}" for text, where in sentences.items() if not known.get(text)]
    assert not missing, "\n".join(
        [
            f"{len(missing)} sentences have no {language}. 'python -m tests.catalogue' takes them"
            " up; translate them in the .po and run it again:",
            *missing,
        ]
    )
    assert not [text for text in known if text not in sentences], "run python -m tests.catalogue"


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_shows_only_values_that_there_are(language: str) -> None:
    def fields(template: str) -> dict[str, str]:
        parts = string.Formatter().parse(template)
        return {name: form or "" for _, name, form, _ in parts if name is not None}

    for text, translated in catalogue.read(LANGUAGES[language]).items():
        assert fields(translated) == fields(text), text


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_compiled_catalogue_is_the_written_one(language: str) -> None:
    def texts(mo: bytes) -> dict[str, str]:
        made = gettext.GNUTranslations(io.BytesIO(mo))
        return {text: made.gettext(text) for text in catalogue.read(LANGUAGES[language])}

    kept = LANGUAGES[language].with_suffix(".mo").read_bytes()
    assert texts(kept) == texts(catalogue.compiled(LANGUAGES[language]))


def test_no_screen_puts_words_together_by_itself() -> None:
    # An f-string's words could never be found in a catalogue.
    found = []
    for path in sorted((catalogue.PACKAGE / "games").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
                continue
            if node.func.attr != "text" or not node.args:
                continue
            parts = list(ast.walk(node.args[0]))
            forms = {id(p.format_spec) for p in parts if isinstance(p, ast.FormattedValue)}
            for part in parts:
                if isinstance(part, ast.JoinedStr) and id(part) not in forms:
                    said = "".join(str(p.value) for p in part.values if isinstance(p, ast.Constant))
                    found += [f"{path.name}: {said}"] if catalogue.has_words(said) else []
    assert not found


def test_the_search_finds_what_a_new_game_says(tmp_path: Path) -> None:
    module = tmp_path / "training" / "tasks" / "kite.py"
    module.parent.mkdir(parents=True)
    module.write_text(
        '"""A docstring with words."""\n'
        'def advise():\n    return "Let the kite climb." if high else say("Up {n} m!", n=3)\n'
        'def fails():\n    raise ValueError("not for a screen")\n'
        'KIND = TaskKind(name="kite", lesson=((5.0, "Lean into the wind"),))\n'
    )
    found = set(catalogue.of_module(module, "training/tasks/kite.py"))
    assert found == {"Let the kite climb.", "Up {n} m!", "Lean into the wind"}


def test_a_name_is_never_translated() -> None:
    words.use_language("de")
    try:
        assert tr(say("then {name}", name=words.Name("Done"))) == "dann Done"
        assert tr("Done") == "Fertig"
    finally:
        words.use_language("en")
