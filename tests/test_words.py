"""Sentences that remember how they were made."""

import copy
import gettext
import json
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer import words
from swaytrainer.words import Said, say, tr


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


def test_a_language_without_a_catalogue_is_english() -> None:
    words.use_language("tlh")
    assert words.language() == "en"
    assert words.languages()[0] == "en"
