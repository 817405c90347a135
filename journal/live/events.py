"""What those who watch a capture are told."""

from __future__ import annotations

from dataclasses import dataclass

from journal.domain.reading import Reading


@dataclass(frozen=True, slots=True)
class Event:
    """Something happened.

    ``words``: words heard, final or not; ``provisional``: readings of words still being spoken, never stored or spoken
    back; ``understood``: the snapshot changed, ``readings`` are new or changed; ``say``: a sentence for the person;
    ``question``: the same, with an answer wanted; ``status``: listening, paused, finishing; ``gap``; ``trouble``;
    ``finished``: ``text`` is the visit's code.  ``at`` is the second of sound up to which the journal had heard.
    """

    kind: str
    text: str = ""
    final: bool = True
    readings: tuple[Reading, ...] = ()
    at: float = 0.0
    recording: str = ""
