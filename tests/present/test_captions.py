"""Captions against the syntax of the W3C recommendation (WebVTT, section 4.1), read by a checker of our own."""

from __future__ import annotations

import html
import itertools
import re
from collections.abc import Callable

import pytest

from journal.domain.speech import Utterance, Word, utterance_of
from journal.domain.visit import Visit
from journal.present.export import utterances_vtt, visit_vtt
from tests.builders import a_recording, a_visit, an_utterance
from tests.present import visits

STAMP = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
TIMING = re.compile(f"{STAMP}[ \t]+-->[ \t]+{STAMP}$")


def cues(text: str) -> list[tuple[float, float, str]]:
    """Return (start, end, text) of every cue; fails where the syntax is broken."""
    assert text.startswith("WEBVTT\n\n") or text == "WEBVTT\n"
    assert "\r" not in text
    assert "\0" not in text
    found: list[tuple[float, float, str]] = []
    identifiers: set[str] = set()
    for block in text.removeprefix("WEBVTT").strip("\n").split("\n\n"):
        lines = block.split("\n")
        if not block or lines[0] == "NOTE":
            assert "-->" not in block
            continue
        assert "-->" not in lines[0]
        assert lines[0] not in identifiers, "cue identifiers are unique (section 4.1)"
        identifiers.add(lines[0])
        match = TIMING.match(lines[1])
        assert match, lines[1]
        start, end = (
            int(h or 0) * 3600 + int(m) * 60 + int(s) + int(ms) / 1000
            for h, m, s, ms in (match.groups()[:4], match.groups()[4:])
        )
        assert start < end, "a cue ends after it begins (section 4.1)"
        assert not found or found[-1][0] <= start, "cues are ordered by their beginning (section 4.1)"
        payload = "\n".join(lines[2:])
        assert payload
        assert "<" not in payload
        assert "-->" not in payload
        assert not re.search(r"&(?!amp;|lt;|gt;|nbsp;|lrm;|rlm;)", payload)
        found.append((start, end, html.unescape(payload)))
    return found


@pytest.mark.parametrize("make", visits.ALL.values(), ids=visits.ALL)
def test_every_visit_gives_valid_captions(make: Callable[[], Visit]) -> None:
    visit = make()
    found = cues(visit_vtt(visit))
    words = [word for utterance in visit.utterances for word in utterance.text.split()]
    assert [word for _, _, text in found for word in text.split()] == words


def test_seconds_and_words_of_a_cue() -> None:
    text = utterances_vtt([an_utterance("common to run one point four ohms", at=3725.5)])
    assert text == "WEBVTT\n\nr1-0-1\n01:02:05.500 --> 01:02:08.300\ncommon to run one point four ohms\n"


def test_long_utterances_become_short_lines_with_their_own_seconds() -> None:
    found = cues(utterances_vtt([an_utterance(" ".join(["thirty"] * 40), at=0.0)]))
    assert len(found) > 1
    for (_, end, text), (start, _, _) in itertools.pairwise(found):
        assert end <= start
        assert all(len(line) <= 42 for line in text.split("\n"))
        assert text.count("\n") <= 1


def test_typed_notes_have_no_captions() -> None:
    assert cues(utterances_vtt([utterance_of("C to R 1.4 ohms")])) == []


def test_only_one_recording_is_captioned_and_the_others_are_named() -> None:
    visit = a_visit(
        a_recording("r1"), a_recording("r2"), an_utterance("one"), an_utterance("two", recording="r2"), title="Freezer"
    )
    assert [text for _, _, text in cues(visit_vtt(visit))] == ["one"]
    assert [text for _, _, text in cues(visit_vtt(visit, "r2"))] == ["two"]
    assert "not in here: r2" in visit_vtt(visit)


def test_a_word_without_length_still_shows() -> None:
    (start, end, _) = cues(utterances_vtt([Utterance("r1", 0, (Word("nine", 2.0, 2.0),))]))[0]
    assert end > start
