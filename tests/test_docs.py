"""The pages say what the program does."""

from __future__ import annotations

import argparse
import re
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
    named = re.findall(r"`((?:journal|tests|models|fixtures|demo)/[\w./-]+)`", page.read_text(encoding="utf-8"))
    assert named
    missing = [name for name in named if not (page.parent / name).exists()]
    assert not missing


#: 'journal NAME' with what follows it on the line, in messages, templates and pages
_NAMED = re.compile(r"\bjournal ([a-z][a-z-]+)\b([^'\"`<\n]*)")
#: words before and behind 'journal' where the thing is meant, not the program
_THING = re.compile(r"\b(a|the|this|own|another|offline|field|visit) $", re.IGNORECASE)
_PROSE = {"at", "bundle", "visit", "would", "writes"}


def named_commands() -> list[tuple[str, str, str]]:
    """Every command that code, templates or pages tell somebody to run: (where, command, the rest of the line)."""
    root = README.parent
    pages = [README, CONTRIBUTORS, root / "demo" / "README.md", root / "models" / "README.md"]
    sources = [f for f in (root / "journal").rglob("*") if f.suffix in (".py", ".toml", ".html", ".j2", ".js", ".typ")]
    found = []
    for page in (*pages, *sources):
        for line in page.read_text(encoding="utf-8").splitlines():
            for m in _NAMED.finditer(line):
                if not _THING.search(line[: m.start()]):
                    found.append((page.relative_to(root).as_posix(), m[1], m[2]))
    return found


def test_commands_and_options_that_are_named_exist() -> None:
    """A way out that leads nowhere is worse than none."""
    known = commands()
    wrong = []
    checked = 0
    for where, name, rest in named_commands():
        if name not in known:
            if name not in _PROSE:
                wrong.append(f"{where}: journal {name}")
            continue
        options = {option for action in known[name]._actions for option in action.option_strings}
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]*", rest):
            checked += 1
            if option not in options and not _takes_any(known[name]):
                wrong.append(f"{where}: journal {name} {option}")
    assert not wrong
    assert checked > 20


@pytest.mark.parametrize("name", commands())
def test_the_readme_names_every_command(name: str) -> None:
    assert re.search(rf"^journal {name}\b", README.read_text(encoding="utf-8"), re.MULTILINE)


def _takes_any(parser: argparse.ArgumentParser) -> bool:
    return any(action.nargs == argparse.REMAINDER for action in parser._actions)
