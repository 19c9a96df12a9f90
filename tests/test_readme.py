"""The README's commands and pictures are the real ones."""

import re
from pathlib import Path

from swaytrainer.cli import _parser

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")


def test_ci_runs_the_readmes_test_command() -> None:
    commands = re.findall(r"^python3 -m venv .*$", README, flags=re.MULTILINE)
    assert len(commands) == 2
    assert commands[0].endswith("swaytrainer demo")
    assert commands[1] in (TOP / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_links_and_pictures_exist() -> None:
    targets = re.findall(r"\]\(([^)#]+)\)", README)
    assert len([t for t in targets if t.startswith("tests/golden/")]) >= 4
    for target in targets:
        assert (TOP / target).exists(), target


def test_every_command_named_in_the_readme_is_there() -> None:
    named = set(re.findall(r"`swaytrainer ([a-z]+)", README))
    [commands] = [a.choices for a in _parser()._actions if a.dest == "command"]
    assert commands is not None
    assert named
    assert named <= set(commands)
