"""The catalogues of sentences: which there must be, how they are refreshed and compiled.

``python -m tests.catalogue`` takes up every sentence of the code and the shipped levels into each
``swaytrainer/locale/*/LC_MESSAGES/swaytrainer.po``, drops what is gone, compiles the ``.mo`` and
prints what still wants a translation. Translations are written into the ``.po`` by hand.
``python -m tests.catalogue fr`` begins a language.
"""

from __future__ import annotations

import ast
import io
import re
import sys
import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from jinja2 import Environment
from jinja2.ext import extract_from_ast

from swaytrainer.words import DOMAIN

PACKAGE: Final = Path(__file__).parents[1] / "swaytrainer"
LOCALE: Final = PACKAGE / "locale"

#: Here every sentence in quotes is taken to reach a screen: rules, screens, the board's condition.
WHOLE: Final = ("games/", "office/", "training/", "sitting/", "board/acceptance.py",
                "board/findings.py",
                "board/guided.py", "board/judging.py", "board/wiring.py", "app/gym.py",
                "app/gym_board.py", "app/gym_evening.py", "app/gym_contest.py", "app/guide.py",
                "app/scoreboard.py", "app/contest_results.py", "app/check.py",
                "app/feet.py")  # fmt: skip
#: Errors from here are shown while the opening screen looks for a board, or in the first steps.
ERRORS: Final = ("app/guide.py", "board/link.py", "office/")
#: Of theirs there is nothing to be shown: errors are the terminal's.
_NOT_WHOLE: Final = (
    "office/style.py",
    "office/runner.py",
    "training/level_file.py",
    "training/found_feet.py",
)
#: Words that stand in the values of sentences, which no rule finds.
SINGLE: Final = ("left", "right", "a", "squat", "right leg", "two feet", "full", "bandwidth",
                 "sound", "none",
                 "causal 2nd-order Butterworth, 10 Hz",
                 "zero-phase Butterworth, order 4, -6 dB at 10 Hz")  # fmt: skip
#: Here only what these calls are given: the rest is the terminal's.
CALLS: Final = {"say", "text", "translated", "wrong"}
#: Calls whose words are for a maintainer or the terminal, or mean something to the program.
_INWARD: Final = {"SwaytrainerError", "ValueError", "KeyError", "TypeError", "AssertionError",
                  "Field", "Measure", "Random", "sub", "split", "join", "compile", "print",
                  "normalize", "input", "execute"}  # fmt: skip
#: Found by the rule, yet never on a screen.
NOT_SHOWN: Final = {
    "SELECT version_num FROM alembic_version",
    "swaytrainer", "F1", "F1 ?",
    "PDF (*.pdf);;HTML (*.html)", "PDF (*.pdf);;HTML (*.html);;CSV (*.csv)", "TOML (*.toml)",
    "Zip (*.zip)", "yyyy-MM-dd HH:mm",
    "grooming rough", "grooming tenth", "picnic gust", "picnic held", "picnic over", "picnic woke",
    "roost again", "roost hop", "roost land", "roost over", "roost still",  # calls for the sound
    "lily pad",  # names of pictures
    "the converter's own filter, which lies before the stamp",  # the terminal's
    "the constant part of the USB chip's latency: only what differs shows, as jitter",
    "drawing and the screen itself",
    "no converter answers",
}  # fmt: skip


def has_words(template: str) -> bool:
    """Whether anything is to be translated: letters outside of the values and beyond a unit.

    >>> has_words("{value:.1f} {unit}"), has_words("{step:g} mm"), has_words("Step on")
    (False, False, True)
    """
    bare = re.sub(r"\{[^}]*\}", " ", template)
    bare = re.sub(r"\b(mm/s|mm|cm|kg|ppm|Hz|ms|s|N|k|m|g|rms)\b", " ", bare)
    return bool(re.search(r"[^\W\d_]", bare))


def _looks_said(text: str) -> bool:
    return has_words(text) and (" " in text.strip() or (len(text) > 1 and text[0].isupper()))


def _callee(node: ast.AST) -> str:
    of = node.func if isinstance(node, ast.Call) else None
    return of.attr if isinstance(of, ast.Attribute) else of.id if isinstance(of, ast.Name) else ""


def _literals(node: ast.AST) -> Iterator[str]:
    """The strings an argument may be."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _literals(node.body)
        yield from _literals(node.orelse)
    elif isinstance(node, ast.BoolOp):
        for value in node.values:
            yield from _literals(value)


def _quoted(node: ast.AST) -> Iterator[str]:  # noqa: PLR0912 - one kind of node a branch
    """All that looks said below a node, but for docstrings and what is for the program."""
    if isinstance(node, ast.JoinedStr | ast.Raise | ast.Subscript | ast.Compare):
        return
    if isinstance(node, ast.Call) and _callee(node) in _INWARD:
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return
    if isinstance(node, ast.Assign | ast.AnnAssign):
        named = node.target if isinstance(node, ast.AnnAssign) else node.targets[0]
        if isinstance(named, ast.Name) and named.id == "__all__":
            return
        if node.value is not None:
            yield from _quoted(node.value)
        return
    if isinstance(node, ast.arg):
        return
    if isinstance(node, ast.ClassDef) and any("Enum" in ast.unparse(b) for b in node.bases):
        return
    if isinstance(node, ast.FunctionDef):
        for part in (*node.args.defaults, *node.body):
            yield from _quoted(part)
        return
    if isinstance(node, ast.Constant):
        if isinstance(node.value, str) and _looks_said(node.value):
            yield node.value
        return
    for child in ast.iter_child_nodes(node):
        yield from _quoted(child)


def of_module(path: Path, inside: str) -> Iterator[str]:
    """What a module has on a screen; ``inside`` is its path in the package."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and node.args:
            callee = _callee(node)
            if callee in CALLS:
                yield from (text for text in _literals(node.args[0]) if has_words(text))
            elif callee == "SwaytrainerError" and inside.startswith(ERRORS):
                for argument in node.args:
                    yield from (text for text in _literals(argument) if has_words(text))
    if inside.startswith(WHOLE) and inside not in _NOT_WHOLE:
        yield from _quoted(tree)


def _of_templates() -> Iterator[str]:
    """What the sheets of paper say by themselves."""
    reader = Environment()
    for path in sorted(PACKAGE.glob("report/templates/*.html")):
        found = extract_from_ast(reader.parse(path.read_text(encoding="utf-8")), ("tr", "say"))
        for _, _, text in found:
            told = text[0] if isinstance(text, tuple) else text
            if isinstance(told, str) and has_words(told):
                yield told


def _of_levels() -> Iterator[str]:
    for path in sorted(PACKAGE.glob("training/levels/*.toml")):
        level = tomllib.loads(path.read_text(encoding="utf-8"))
        yield from (level["title"], level["purpose"])
        yield from level.get("cautions", ())


def _of_games() -> Iterator[str]:
    """What is put together while the program runs: labels of measures, and their units."""
    from swaytrainer.board.findings import Trouble
    from swaytrainer.scope.draft import tables
    from swaytrainer.training.feedback import FEEDBACKS
    from swaytrainer.training.level import BASES, EYES, STANCES
    from swaytrainer.training.tasks.catalogue import KINDS, markable

    for game in KINDS:
        for measure in markable(game).values():
            yield measure.label
            if has_words(measure.unit):
                yield measure.unit
    yield from (trouble.value for trouble in Trouble)
    yield from (*BASES, *STANCES, *EYES, *FEEDBACKS, *SINGLE, "true", "false")
    # Units of a level's numbers, in what is said of one that is wrong.
    yield from ("of 10", "% toe share")
    # The level editor's page: what may stand in a level's file.
    for name, told in tables().items():
        if not name.startswith("["):
            yield from (part for part in (name, *told) if has_words(part))
    for game, kind in KINDS.items():
        yield game
        for name, field in kind.fields.items():
            yield from (part for part in (name, field.unit, field.meaning) if has_words(part))


def sentences() -> dict[str, str]:
    """Every sentence that a screen may show, with the file where it was found first."""
    found: dict[str, str] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE).as_posix()
        for text in of_module(path, inside):
            found.setdefault(text, inside)
    for text in _of_levels():
        found.setdefault(text, "training/levels")
    for text in _of_templates():
        found.setdefault(text, "report/templates")
    for text in _of_games():
        found.setdefault(text, "training/tasks")
    return {text: where for text, where in found.items() if text not in NOT_SHOWN}


def catalogues() -> dict[str, Path]:
    """The ``.po`` of each language there is."""
    paths = sorted(LOCALE.glob(f"*/LC_MESSAGES/{DOMAIN}.po"))
    return {path.parents[1].name: path for path in paths}


def read(path: Path) -> dict[str, str]:
    """A catalogue's sentences and what they are translated to; empty where they are not."""
    with path.open("rb") as file:
        catalogue = read_po(file)
    return {str(m.id): str(m.string) for m in catalogue if m.id}


def compiled(path: Path) -> bytes:
    """What its ``.mo`` must be, byte by byte."""
    with path.open("rb") as file:
        catalogue = read_po(file)
    # No date of its own, so that equal texts make equal files.
    catalogue.creation_date = catalogue.revision_date = datetime(2000, 1, 1, tzinfo=UTC)
    out = io.BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def write(path: Path, language: str, translations: dict[str, str]) -> None:
    """A catalogue of all sentences with the translations known, and its ``.mo``."""
    catalogue = Catalog(locale=language, domain=DOMAIN, fuzzy=False, charset="utf-8")
    catalogue.header_comment = f"# What swaytrainer says, in {language}."
    for text, where in sorted(sentences().items(), key=lambda item: (item[1], item[0])):
        catalogue.add(text, translations.get(text, ""), auto_comments=[where])
    out = io.BytesIO()
    write_po(out, catalogue, width=100, omit_header=True)
    header = (
        f'{catalogue.header_comment}\nmsgid ""\nmsgstr ""\n"Language: {language}\\n"\n'
        '"MIME-Version: 1.0\\n"\n"Content-Type: text/plain; charset=utf-8\\n"\n'
        '"Content-Transfer-Encoding: 8bit\\n"\n\n'
    )
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(header.encode() + out.getvalue())
    path.with_suffix(".mo").write_bytes(compiled(path))


def main(arguments: list[str]) -> None:
    """Refresh all, begin those that are named."""
    for language in arguments:
        path = LOCALE / language / "LC_MESSAGES" / f"{DOMAIN}.po"
        if not path.exists():
            write(path, language, {})
    for language, path in catalogues().items():
        write(path, language, read(path))
        wanting = [text for text, translated in read(path).items() if not translated]
        print(f"{language}: {len(sentences())} sentences, {len(wanting)} without a translation")
        for text in wanting:
            print(f"  {text}")


if __name__ == "__main__":
    main(sys.argv[1:])
