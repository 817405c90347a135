"""The language stage holds no lists of spoken words in its code: those are data of ``journal/interpret/vocabulary``."""

from __future__ import annotations

import ast
import dataclasses
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import journal.interpret
from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading, Reference, Role, State, Trend
from journal.domain.unit_table import unit_table
from journal.domain.visit import Equipment
from journal.interpret.numbers.amounts import Amount
from journal.interpret.standing import sureness
from journal.interpret.vocabulary import FILES, entries, table
from tests.interpret.phrase_tables import names

STAGE = Path(journal.interpret.__file__).parent
LITERALS = (ast.Tuple, ast.List, ast.Set)
LABELLED = ("claim", "mark", "Claim", "Doubt")  # calls whose first string is a label
SECTIONED = ("numbers", "points", "plates", "not_readings", "conditions", "unsaid", "corrections")  # read by section

INTERNAL = frozenset(
    (
        # sections of tables
        *("at_least", "at_most", "against_minus", "against_plus"),
        # how a number was put together
        *("decimal", "fraction", "pair", "point left out", "written", "zero first"),
        # why a unit or points are as they are
        *("corrected reading", "number denied", "reading that moved", "value it is set against", "setting before"),
        *("difference from a neighbour", "nominal voltage", "named before"),
        # what a number counts
        *("pronoun", "words that count nothing"),
        # how two listeners differ
        *("other", "where it was taken", "what it was taken on", "its role"),
        # the file of the tagger's weights
        *("layers", "outputs"),
    )
)
"""Labels of the code itself that nothing above or in the vocabulary names."""


@cache
def _parsed() -> tuple[tuple[str, ast.Module], ...]:
    files = sorted(STAGE.rglob("*.py"))
    return tuple((str(file.relative_to(STAGE)), ast.parse(file.read_text(encoding="utf-8"))) for file in files)


def _string(node: ast.AST | None) -> str | None:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


def _strings(nodes: list[Any]) -> Iterator[str]:
    """The strings among some nodes, and those of literals that hold nothing else: ``(["on"], ["in"])``."""
    for node in nodes:
        text = _string(node)
        if text is not None:
            yield text
        elif isinstance(node, LITERALS) and all(isinstance(element, ast.Constant) for element in node.elts):
            yield from _strings(node.elts)


def _compared(node: ast.BoolOp) -> Iterator[str]:
    """The strings that one and the same thing is compared with: ``word == "a" or word == "an"``."""
    by_left: dict[str, list[str]] = {}
    for value in node.values:
        if isinstance(value, ast.Compare) and len(value.ops) == 1 and isinstance(value.ops[0], (ast.Eq, ast.NotEq)):
            text = _string(value.comparators[0])
            if text is not None:
                by_left.setdefault(ast.dump(value.left), []).append(text)
    for texts in by_left.values():
        if len(texts) > 1:
            yield from texts


def _listed(node: ast.AST) -> Iterator[str]:
    if isinstance(node, LITERALS):
        yield from _strings(node.elts)
    elif isinstance(node, ast.Dict):
        yield from _strings(node.keys)
    elif isinstance(node, ast.BoolOp):
        yield from _compared(node)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "split":
        yield from (_string(node.func.value) or "").split()


def word_lists(tree: ast.Module) -> Iterator[tuple[int, frozenset[str]]]:
    """Yield the line and the lower-case strings of every literal with two or more of them."""
    for node in ast.walk(tree):
        lower = frozenset(text for text in _listed(node) if text == text.lower())
        if len(lower) > 1:
            yield getattr(node, "lineno", 0), lower


@cache
def _labels() -> frozenset[str]:
    """What the code itself calls its claims, doubts, forms of numbers and ways to bind."""
    found: set[str | None] = set()
    for _, tree in _parsed():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                found |= {_string(node.args[0])} if called in LABELLED and node.args else set()
                found |= {_string(node.args[1])} if called == "Bound" and len(node.args) > 1 else set()
                found |= {_string(keyword.value) for keyword in node.keywords if keyword.arg in ("form", "withheld")}
    return frozenset(text for text in found if text)


@cache
def _named() -> frozenset[str]:
    """Canonical names of the domain and of the vocabulary, and the names of tables, sections and fields."""
    known, points = names(), table("points")["point"]
    return frozenset(
        {
            *sureness.learned(),
            *(value for enum in (Kind, Role, State, Phase, Trend, Reference) for value in enum),
            *unit_table(),
            *(known.components | known.points | known.findings | known.actions | known.conditions),
            *(
                name
                for file in ("units", "components", "kinds", "roles", "states", "equipment")
                for name in table(file)
            ),
            *points,
            *(point["family"] for point in points.values()),
            *FILES,
            *(entry.context for entry in entries()),
            *(section for file in SECTIONED for section in table(file)),
            *(
                key
                for file in ("components", "work")
                for body in table(file).values()
                if isinstance(body, dict)
                for key in body
            ),
            *journal.interpret.__all__,
            *(field.name for kind in (Reading, Amount, Equipment) for field in dataclasses.fields(kind)),
        }
    )


def _offences(file: str, tree: ast.Module) -> list[str]:
    allowed = _named() | _labels() | INTERNAL
    return [
        f"{file}:{line}: {sorted(words)}; {sorted(words - allowed)} belong into journal/interpret/vocabulary"
        for line, words in word_lists(tree)
        if words - allowed
    ]


def test_no_list_of_spoken_words_stands_in_code() -> None:
    assert len(_parsed()) > 50
    offences = [offence for file, tree in _parsed() for offence in _offences(file, tree)]
    assert not offences, "\n".join(offences)


@pytest.mark.parametrize(
    "code",
    [
        'found = word in ("a", "an")',
        'ends = {"", "and", *others}',
        'changed = between in (["to"], ["up", "to"])',
        'found = word == "here" or word == "there"',
        'sounds = {"for": 4, "too": 2}',
        'words = "so and but".split()',
        'found = word in (".", ";")',
    ],
)
def test_a_list_of_spoken_words_is_found(code: str) -> None:
    offences = _offences("somewhere.py", ast.parse(code))
    assert offences
    assert all(offence.startswith("somewhere.py:1:") for offence in offences)


def test_names_are_no_spoken_words() -> None:
    assert not _offences(
        "somewhere.py", ast.parse('named = claim.label in ("component", "points") or unit in ("volt", "ohm")')
    )


def test_every_internal_label_is_needed() -> None:
    listed = {word for _, tree in _parsed() for _, words in word_lists(tree) for word in words}
    assert listed >= INTERNAL
    assert not INTERNAL & (_named() | _labels())


def test_every_small_word_list_is_asked_for() -> None:
    asked = {
        _string(node.args[0])
        for _, tree in _parsed()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "small_words"
    }
    assert asked == set(table("small_words"))
