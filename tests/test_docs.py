"""The pages say what the program does."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest

from journal.cli.parser import build_parser
from tests.readme import README, with_parts

CONTRIBUTORS = README.with_name("DEVELOPERS.md")


def commands() -> dict[str, argparse.ArgumentParser]:
    parser = build_parser()
    (action,) = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(action.choices)


def test_the_readmes_output_is_real_output() -> None:
    text = README.read_text(encoding="utf-8")
    assert text == with_parts(text), "write it anew with: python -m tests.readme"


@pytest.mark.parametrize("name", commands())
def test_every_option_has_help(name: str) -> None:
    mute = [action.dest for action in commands()[name]._actions if action.option_strings and not action.help]
    assert not mute


def test_the_test_command_of_the_readme_is_what_the_gate_runs() -> None:
    command = "python3 -m venv .venv-test && .venv-test/bin/pip install -q -e '.[test]' && .venv-test/bin/pytest"
    gate = README.parent / ".ci" / "run"
    assert command in README.read_text(encoding="utf-8")
    assert command in gate.read_text(encoding="utf-8")


@pytest.mark.parametrize("page", [README, CONTRIBUTORS], ids=lambda path: path.name)
def test_paths_named_in_the_pages_exist(page: Path) -> None:
    import re

    named = re.findall(r"`((?:journal|tests|models|fixtures|demo)/[\w./-]+)`", page.read_text(encoding="utf-8"))
    assert named
    missing = [name for name in named if not (page.parent / name).exists()]
    assert not missing
