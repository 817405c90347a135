"""What went wrong, as a status and a page; nothing of a stranger's exception is ever shown."""

from __future__ import annotations

from journal.errors import BadInput, JournalError, NotFound, SoundUnreadable, StoreUnusable

_STATUS: tuple[tuple[type[Exception], int], ...] = (
    (NotFound, 404),
    (BadInput, 400),
    (SoundUnreadable, 422),
    (StoreUnusable, 503),
    (JournalError, 500),
)

SENTENCES = {
    400: "That could not be understood.",
    401: "Log in first.",
    403: "That is not yours to see or to change.",
    404: "There is nothing here.",
    405: "That cannot be done here.",
    409: "Somebody else was quicker: look at what it says now.",
    413: "That is too much at once.",
    415: "That is not the kind of thing expected here.",
    429: "Too many tries; wait a little.",
    500: "The journal met something it was not built for. What is stored is as it was.",
    503: "The store cannot be used just now.",
}


class Refused(Exception):
    """A request that is not carried out; ``sentence`` says why in words for people."""

    def __init__(self, status: int, sentence: str = "", headers: dict[str, str] | None = None) -> None:
        super().__init__(status, sentence)
        self.status = status
        self.sentence = sentence or SENTENCES[status]
        self.headers = headers or {}


def status_of(error: JournalError) -> int:
    """Return the HTTP status for an error of ours."""
    return next(status for kind, status in _STATUS if isinstance(error, kind))
