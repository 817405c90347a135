"""Sentences of the open phrase tables (``fixtures/phrases/``) and of ``data/talk.txt`` as text for the language model.

The talk was written as technicians talk, by people who had seen neither the tables nor the rules; the tables by
several other authors.  Tables that are held out are never opened here, nor is anything of ``models/evaluation/``.
Numbers are drawn anew most of the time: the model is to learn how numbers are framed, not which ones were written down.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from random import Random

from models.recipe import spoken

TABLES = Path(__file__).parents[2] / "fixtures" / "phrases"
TALK = Path(__file__).parent / "data" / "talk.txt"
COMMANDS = Path(__file__).parents[2] / "journal" / "live" / "spoken.toml"
MEASURING = Path(__file__).parents[1] / "evaluation" / "narration.txt"
OPEN = ("*.toml", "fresh/*.toml", "to_learn/*.toml")
_WORDS = re.compile(r"[a-z]+(?:'[a-z]+)*")


def sentences(folder: Path = TABLES) -> list[str]:
    """Every utterance of the open tables that is spoken (not typed), in words; empty where there are no tables.

    Sentences to measure with are left out, should an author have hit on one.
    """
    found: dict[str, None] = {}
    for pattern in OPEN:
        for path in sorted(folder.glob(pattern)):
            for phrase in tomllib.loads(path.read_text(encoding="utf-8")).get("phrase", []):
                said = phrase["said"] if isinstance(phrase["said"], list) else [phrase["said"]]
                for line in said:
                    if not phrase.get("typed") and not re.search(r"\d", line):
                        found[" ".join(_WORDS.findall(line.lower()))] = None
    measured = set(MEASURING.read_text(encoding="utf-8").splitlines())
    return [line for line in found if line not in measured]


def talk(path: Path = TALK) -> list[str]:
    """The lines of the talk."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [line.strip() for line in lines if line.strip() and not line.startswith("#")]


def commands(path: Path = COMMANDS) -> list[str]:
    """What is said to the journal rather than into it, and what answers its questions."""
    told = tomllib.loads(path.read_text(encoding="utf-8"))
    wordings = [wording for name in ("commands", "answers") for ways in told[name].values() for wording in ways]
    return [" ".join(_WORDS.findall(w)) for w in [*wordings, *told["around"]["words"]] if not w.startswith("[")]


@functools.cache
def all_lines() -> tuple[str, ...]:
    """Open phrases, talk and commands, each once."""
    return tuple(line for line in dict.fromkeys([*sentences(), *talk(), *commands()]) if line)


def words(folder: Path = TABLES) -> set[str]:
    """Every word in them."""
    return {word for line in [*sentences(folder), *talk(), *commands()] for word in line.split()}


def redrawn(line: str, rng: Random) -> str:
    """The sentence with other numbers of about the same size, said in one of the usual ways."""
    said: list[str] = []
    for run in _runs(line.split()):
        said += _other(run, rng) if run[0] in spoken.NUMBER_WORDS and len(run) > 1 else _other_word(run, rng)
    return " ".join(said)


def _runs(line: list[str]) -> Iterator[list[str]]:
    """Number words in a row together, every other word alone."""
    run: list[str] = []
    for word in line:
        if word in spoken.NUMBER_WORDS:
            run.append(word)
            continue
        if run:
            yield run
            run = []
        yield [word]
    if run:
        yield run


def _other_word(run: list[str], rng: Random) -> list[str]:
    word = run[0]
    if word in spoken.TENS:
        return [rng.choice(spoken.TENS)]
    if word in spoken.ONES[13:]:
        return [rng.choice(spoken.ONES[13:])]
    if word in spoken.ONES[2:13]:
        return [rng.choice(spoken.ONES[2:13])]
    return run


def _other(run: list[str], rng: Random) -> list[str]:
    if "point" in run:
        places = len(run) - run.index("point") - 1
        whole = run[: run.index("point")]
        if not 1 <= places <= 3:
            return run
        low, high = (0.0, 1.0) if not whole else (0.0, 20.0) if len(whole) == 1 else (20.0, 100.0)
        return spoken.decimal(f"{rng.uniform(low, high):.{places}f}", rng).split()
    if "thousand" in run or "million" in run or "minus" in run:
        return run
    low, high = (20, 99) if len(run) == 2 and run[0] in spoken.TENS else (100, 999)
    return spoken.integer(rng.randint(int(low), int(high)), rng).split()
