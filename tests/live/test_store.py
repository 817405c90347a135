"""What is spoken stands in the store as it ends, and outlasts a kill."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from journal.errors import BadInput
from journal.keep import Store
from journal.live.events import Event
from tests.live.test_capture import Begin, begin, hear, store, wait  # noqa: F401

SCRIPT = [
    (1.0, "common to run one point one ohms"),
    (5.0, "strike the last reading"),
    (9.0, "common to start two point two ohms"),
]


def stored(events: list[Event]) -> int:
    return max((int(event.text) for event in events if event.kind == "stored"), default=0)


def test_utterances_are_in_an_open_visit_while_somebody_speaks(begin: Begin, store: Store) -> None:  # noqa: F811
    captures, capture, events = begin(SCRIPT)
    hear(capture, 8.0)
    wait(lambda: stored(events) == 2)
    (listed,) = store.visits()
    assert (listed.id, listed.status, listed.technician) == (capture.id, "open", "Ines Okafor")
    visit = store.visit(capture.id)
    assert [one.text for one in visit.utterances] == [text for _, text in SCRIPT[:2]]
    assert store.verify().ok
    with pytest.raises(BadInput, match="still being spoken"):
        store.sign_off(visit.code, by="Marit Adeyemi")
    hear(capture, 6.0)
    whole = captures.finish(capture.id)
    assert whole is not None
    assert (whole.id, whole.code, whole.status) == (capture.id, visit.code, "complete")
    assert [one.text for one in whole.utterances] == [text for _, text in SCRIPT]
    assert [(str(one.value), one.id) for one in whole.readings] == [
        ("1.1", whole.readings[0].id),
        ("2.2", whole.readings[1].id),
    ]
    assert store.verify().ok
    assert [line.action for line in store.history(visit.code)] == ["began to be spoken", "visit added"]
    assert "spoken" not in [line.action for line in store.lines()]
    assert [one.status for one in store.visits()] == ["complete"]


def test_a_pause_leaves_nothing_of_itself_in_the_open_visit(begin: Begin, store: Store) -> None:  # noqa: F811
    _, capture, events = begin([(1.0, "pause the journal"), (5.0, "the gate code is four four one"), (9.0, "carry on")])
    hear(capture, 13.0)
    wait(lambda: stored(events) == 1)
    assert [one.text for one in store.visit(capture.id).utterances] == ["pause the journal"]


def test_nothing_said_leaves_no_open_visit(begin: Begin, store: Store) -> None:  # noqa: F811
    captures, capture, _ = begin([])
    hear(capture, 2.0)
    assert store.visits() == []
    assert captures.finish(capture.id) is not None, "the sound is a visit all the same"


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kill -9 needs a POSIX system")
def test_twenty_kills_in_the_middle_of_speaking_lose_nothing() -> None:
    command = [sys.executable, "-m", "tests.benchmarks.crash_live", "--kills", "20"]
    ended = subprocess.run(command, capture_output=True, text=True, check=False, timeout=900)
    assert ended.returncode == 0, ended.stderr
    told = json.loads(ended.stdout)
    assert len(told["held"]) == 20
    assert max(told["held"]) > 0, "some of the kills came after words were stored"
