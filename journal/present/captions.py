"""The narration as captions of its recording.

WebVTT: W3C, 'WebVTT: The Web Video Text Tracks Format', sections 4.1 and 6.4.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from journal.domain.speech import Utterance, Word
from journal.domain.visit import Visit

LINE = 42  # letters of a line that stay readable under a picture; common practice for captions
LINES = 2


def visit_vtt(visit: Visit, recording: str | None = None, head: str = "") -> str:
    """Return the captions of one recording of a visit, the first if none is named; typed notes have no seconds.

    ``head``, the digest of the store, stands in the note at the top.
    """
    if recording is None:
        spoken = [utterance.recording for utterance in visit.utterances if utterance.end > 0]
        recording = visit.recordings[0].name if visit.recordings else (spoken[0] if spoken else "")
    title = " ".join(f"visit {visit.code} {visit.title}".split())
    others = [r.name for r in visit.recordings if r.name != recording]
    note = f"{title}, recording {recording}" + (f"; not in here: {', '.join(others)}" if others else "")
    if head:
        note += f"\nstore digest {head}"
    return utterances_vtt([u for u in visit.utterances if u.recording == recording], note=note)


def utterances_vtt(utterances: Sequence[Utterance], *, note: str = "") -> str:
    """Return utterances of one recording as WebVTT.  Long ones become several cues, each of two short lines."""
    blocks = ["WEBVTT", *([f"NOTE\n{_escape(note)}"] if note else [])]
    for utterance in sorted(utterances, key=lambda u: (u.start, u.index)):
        for number, lines in enumerate(_cues(utterance.words), start=1):
            words = [word for line in lines for word in line]
            start, end = words[0].start, max(words[-1].end, words[0].start + 0.001)
            if words[-1].end <= 0:
                continue  # typed: there is no moment to show it at
            text = "\n".join(_escape(" ".join(word.text for word in line)) for line in lines)
            blocks.append(
                f"{_escape(utterance.recording)}-{utterance.index}-{number}\n{_stamp(start)} --> {_stamp(end)}\n{text}"
            )
    return "\n\n".join(blocks) + "\n"


def _cues(words: Iterable[Word]) -> Iterator[list[list[Word]]]:
    lines: list[list[Word]] = [[]]
    for word in words:
        if lines[-1] and sum(len(w.text) + 1 for w in lines[-1]) + len(word.text) > LINE:
            if len(lines) == LINES:
                yield lines
                lines = [[]]
            else:
                lines.append([])
        lines[-1].append(word)
    if lines[0]:
        yield lines


def _stamp(seconds: float) -> str:
    milliseconds = round(seconds * 1000)
    minutes, rest = divmod(milliseconds, 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def _escape(text: str) -> str:
    """Escape what cue text and comments must not hold; escaping '>' also keeps '-->' out of them."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
