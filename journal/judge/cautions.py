"""The usual cautions where work can hurt somebody: by topic, from ``cautions.toml``.

They are raised when a step is announced, once for a visit and topic; they defer to local codes, the maker's
instructions and licensed practice.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Caution:
    """One topic: its sentence, where it comes from, and the announced steps that call for it."""

    topic: str
    text: str
    source: str
    mark: str
    steps: tuple[str, ...] = ()
    left_behind: str = ""  # what a customer's copy says when the hazard stays after the visit


@cache
def topics() -> dict[str, Caution]:
    """Return every caution by its topic."""
    text = resources.files("journal.judge").joinpath("cautions.toml").read_text(encoding="utf-8")
    found = {}
    for topic, entry in tomllib.loads(text).items():
        found[topic] = Caution(
            topic,
            entry["text"],
            entry["source"],
            entry["mark"],
            tuple(entry.get("steps", ())),
            entry.get("left_behind", ""),
        )
        if not (found[topic].text and found[topic].source and found[topic].mark):
            raise ValueError(f"cautions.toml: {topic} needs text, source and mark")
    return found


def text(topic: str) -> str:
    """Return the sentence of a topic."""
    return topics()[topic].text


def for_steps(steps: Sequence[str]) -> tuple[str, ...]:
    """Return the topics that announced steps call for, each once, in the order they were announced."""
    found: dict[str, None] = {}
    for step in steps:
        said = " ".join(re.findall(r"[a-z0-9]+", step.lower()))
        for topic, caution in topics().items():
            if any(f" {words} " in f" {said} " for words in (topic, *caution.steps)):
                found[topic] = None
    return tuple(found)
