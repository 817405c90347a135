"""The words of the trade, read once from ``vocabulary/*.toml``; each file opens with its own grammar.

A form is one or several words.  Inside one context (a table such as *components* or *roles*) a form has one meaning: a
second one is refused when the files are read, with both places named.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from journal.errors import JournalError

FILES = (
    "numbers", "units", "points", "components", "kinds", "roles", "states", "hedges", "corrections", "conditions",
    "refrigerants", "equipment", "not_readings", "findings", "work", "notes", "steps", "mishearings", "plates",
    "unsaid", "clauses", "small_words", "facts",
)  # fmt: skip


class VocabularyConflict(JournalError):
    """One form with two meanings in one context."""

    def __init__(self, context: str, form: str, first: str, second: str) -> None:
        super().__init__(context, form, first, second)
        self.context, self.form, self.first, self.second = context, form, first, second

    def sentence(self) -> str:
        return (
            f"Vocabulary {self.context}: {self.form!r} means both {self.first!r} and {self.second!r}; "
            "take it out of one of them or make one of them longer."
        )


@dataclass(frozen=True, slots=True)
class Entry:
    """One form and what it stands for: the table it is looked up in, the name it has there."""

    context: str
    name: str
    form: str


@cache
def table(name: str) -> dict[str, Any]:
    """Return one vocabulary file as plain data."""
    text = (
        resources.files("journal.interpret").joinpath("vocabulary").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    )
    return tomllib.loads(text)


@cache
def small_words(name: str) -> frozenset[str]:
    """Return one list of ``small_words.toml``."""
    return frozenset(table("small_words")[name])


def entries() -> tuple[Entry, ...]:
    """Return every form of every context, checked for second meanings."""
    return checked(_all_forms())


def checked(forms: Iterator[Entry]) -> tuple[Entry, ...]:
    """Return the forms; raise ``VocabularyConflict`` where one has two meanings in one context."""
    known: dict[tuple[str, str], Entry] = {}
    for entry in forms:
        before = known.setdefault((entry.context, entry.form), entry)
        if before.name != entry.name:
            raise VocabularyConflict(entry.context, entry.form, before.name, entry.name)
    return tuple(known.values())


def _all_forms() -> Iterator[Entry]:
    for name, unit in table("units").items():
        if name != "shared":
            yield from _each("units", name, unit["forms"])
            yield from _each("weak units", name, unit.get("weak", ()))
    for place, shared in enumerate(table("units")["shared"]):
        yield from _each("units", f"shared {place}", shared["forms"])
    points = table("points")
    for name, point in points["point"].items():
        yield from _each("points", name, point["forms"])
    for name, forms in points["sides"].items():
        yield from _each("sides", name, forms)
    yield from _each("same points", "same", points["same"])
    yield from _each("both points", "both", points["both"])
    yield from _each("groups", "group", points["groups"])
    for name, body in table("components").items():
        yield from _each("components with gauges", name, body.get("with_gauges", ()))
    yield from _each("leg groups", "group", points["leg_groups"])
    for context in ("components", "kinds", "equipment"):
        for name, body in table(context).items():
            yield from _each(context, name, body["forms"])
    for name, body in table("kinds").items():
        yield from _each("modes", name, body["mode"])
    for name, body in table("unsaid").items():
        if isinstance(body, dict) and name not in ("verbs", "followers"):
            yield from _each("unsaid", name, body["forms"])
    for name, body in table("roles").items():
        yield from _each("roles resumed" if name == "resumed" else "roles", name, body.get("forms", ()))
        yield from _each("roles behind", name, body.get("before", ()))
    for name, body in table("states").items():
        yield from _each("states", name, body["forms"])
        yield from _each("states", name, body["electrical"])
    for name, forms in table("hedges").items():
        yield from _each(f"hedges {name}", name, forms)
    for name, forms in table("corrections").items():
        yield from _each(f"corrections {name}", name, forms)
    for context in ("conditions", "trends", "phases", "instruments"):
        for name, forms in table("conditions")[context].items():
            yield from _each(context, name, forms)
    for topic, body in table("notes").items():
        yield from _each("notes", topic, body.get("forms", ()))
        yield from _each("notes at the start", topic, body.get("start", ()))
    yield from _each("settings made", "settings made", table("conditions")["settings_made"])
    yield from _each("own words", "own words", table("clauses")["own_words"])
    for topic, body in table("steps").items():
        yield from _each(f"steps {topic}", topic, body["forms"])
        yield from _each(f"no steps {topic}", topic, body["never"])
    for name, body in table("facts")["fact"].items():
        yield from _each("facts", name, body.get("forms", ()))
        yield from _each("facts asked", name, body.get("asked", ()))
        for form, value in body.get("said", {}).items():
            yield from _each("facts said", f"{name}: {value}", [form])
    yield from _not_readings()
    for field in ("model", "serial"):
        yield from _each(f"plates {field}", field, table("plates")[field])
    for name, body in table("findings").items():
        if isinstance(body, dict):
            yield from _each("findings", name, body["forms"])
    for name, body in table("work").items():
        if isinstance(body, dict):
            yield from _each("work", name, body["forms"])
            for kind in ("base", "behind", "standing", "with_amount"):
                yield from _each(f"work {kind}", name, body.get(kind, ()))


def _not_readings() -> Iterator[Entry]:
    body = table("not_readings")
    for name in ("named", "labels", "counted", "sized", "nominal", "positions", "pronouns", "idioms", "durations",
                 "appointments"):  # fmt: skip
        yield from _each(f"not {name}", name, body[name])
    for group in ("dates", "clock", "money", "telephone"):
        for name, forms in body[group].items():
            if isinstance(forms, list):
                yield from _each(f"not {group} {name}", name, forms)


def _each(context: str, name: str, forms: Any) -> Iterator[Entry]:
    for form in forms:
        yield Entry(context, name, form)


def spoken_forms() -> dict[str, tuple[str, ...]]:
    """Return every phrase the language stage understands, by context; the source of truth for a speech model.

    Contexts are the tables of ``vocabulary/``; number words are the context ``numbers``.
    """
    forms: dict[str, list[str]] = {}
    for entry in entries():
        forms.setdefault(entry.context, []).append(entry.form)
    numbers = table("numbers")
    plain = [*numbers["points"], *numbers["minus"], *numbers["joiners"], *numbers["articles"], *numbers["repeat"]]
    for name in ("zeros", "digits", "teens", "tens", "scales", "fractions", "bands", "decades"):
        plain += numbers[name]
    forms["numbers"] = list(dict.fromkeys(plain))
    designations = table("refrigerants")["refrigerants"]
    forms["refrigerants"] = list(dict.fromkeys(f for names in designations.values() for f in names))
    forms["letters"] = [letter for point in table("points")["point"].values() for letter in point.get("letters", ())]
    return {context: tuple(dict.fromkeys(found)) for context, found in sorted(forms.items())}


def spoken_words() -> tuple[str, ...]:
    """Return every single word of ``spoken_forms``, sorted."""
    return tuple(sorted({word for forms in spoken_forms().values() for form in forms for word in form.split()}))
