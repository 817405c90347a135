"""Commands are whole utterances; answers are numbers, yes and no, first and second."""

from __future__ import annotations

import re
from decimal import Decimal
from importlib import resources

import pytest

from journal.hear.vosk_recogniser import VoskModel
from journal.live.spoken import Command, said_numbers, spoken
from tests.builders import an_utterance


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("strike the last reading", Command("strike")),
        ("okay mark this please", Command("mark")),
        ("what am i missing", Command("missing")),
        ("new machine", Command("machine")),
        ("new machine reach in two", Command("machine", "reach in two")),
        ("the contactor is finished", None),
        ("new machine bakery proofer", Command("machine", "bakery proofer")),
        ("new machine [unk]", Command("machine")),
        ("new machine is running hot", None),
        ("new machine suction sixty six psi", None),
        ("i am finished with the contactor", None),
        ("read it back to the office", None),
        ("mark this one as leaking", None),
        ("finished", Command("finished")),
        ("pause for three minutes then it starts", None),
        ("common to run one point one", None),
        ("okay", None),
        ("", None),
    ],
)
def test_a_command_is_a_whole_utterance(text: str, command: Command | None) -> None:
    assert spoken().command(text) == command


@pytest.mark.parametrize(
    ("text", "answer"),
    [("yes", "yes"), ("uh yeah", "yes"), ("the second one", "second"), ("no voltage", None), ("one five", None)],
)
def test_answers(text: str, answer: str | None) -> None:
    assert spoken().answer(text) == answer


@pytest.mark.parametrize(
    ("text", "value", "by_digits"),
    [
        ("one five", "15", True),
        ("five oh", "50", True),
        ("fifty", "50", False),
        ("uh fifteen", "15", False),
        ("three point four", "3.4", True),
    ],
)
def test_a_number_alone(text: str, value: str, by_digits: bool) -> None:
    first = said_numbers(an_utterance(text))[0]
    assert (first.value, first.by_digits) == (Decimal(value), by_digits)


@pytest.mark.parametrize("text", ["fifty ohms to ground", "run to start fifteen", "okay", "no"])
def test_more_than_a_number_is_no_answer(text: str) -> None:
    assert said_numbers(an_utterance(text)) == ()


def test_every_sentence_can_be_filled() -> None:
    names = {"place", "first", "second", "amount", "outcome", "name", "list", "readings", "doubtful", "code"}
    for name in spoken().said:
        assert spoken().sentence(name, **dict.fromkeys(names, "x"))


def test_what_the_page_says_one_can_say_is_heard_by_the_carried_model(speech_model: VoskModel) -> None:
    """A wording with a word that is not in the vocabulary would never be obeyed."""
    page = resources.files("journal.present.web").joinpath("templates", "capture.html").read_text(encoding="utf-8")
    shown = re.findall("‘([^’]+)’", page.partition('class="sayings"')[2].partition("</ul>")[0])
    assert len(shown) >= 9
    for saying in shown:
        assert all(speech_model.knows(word) for word in saying.lower().split()), saying
        assert spoken().command(saying) or spoken().answer(saying), saying
    heard = {name for form, name in spoken().wordings.items() if all(speech_model.knows(word) for word in form)}
    assert heard == set(spoken().wordings.values()), "every command has a wording that can be heard"
