"""Log-ins that expire, and how many wrong ones are borne.

A session is 256 random bits in a cookie that no script can read; the server keeps only its digest, in
``access/sessions.json``, so that a restart throws nobody out in the middle of a visit.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
import time
from collections import defaultdict, deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from journal.present.web.people import write_private

LASTS = 14 * 3600.0  # seconds: a long day's work
IDLE = 8 * 3600.0
WRONG, WITHIN = 5, 300.0  # so many wrong passwords in so many seconds, for one name or one address


@dataclass(slots=True)
class Session:
    """``login`` is empty for the person at this machine when nobody has to log in."""

    digest: str
    login: str
    expires: float
    seen: float
    secret: str

    @property
    def form_token(self) -> str:
        """What a form of this session has to bring along."""
        return hmac.new(self.secret.encode(), b"form", hashlib.sha256).hexdigest()


class Sessions:
    """The sessions of one store; safe to use from several threads."""

    def __init__(self, folder: Path, clock: Callable[[], float] = time.time) -> None:
        self.path = folder / "access" / "sessions.json"
        self._clock = clock
        self._lock = threading.Lock()
        self._all: dict[str, Session] = {}
        if self.path.is_file():
            self._all = {one["digest"]: Session(**one) for one in json.loads(self.path.read_text(encoding="utf-8"))}

    def begin(self, login: str) -> tuple[str, Session]:
        """Begin a session; returns the cookie's value with it."""
        value = secrets.token_urlsafe(32)
        now = self._clock()
        session = Session(_digest(value), login, now + LASTS, now, secrets.token_urlsafe(32))
        with self._lock:
            self._all = {key: one for key, one in self._all.items() if self._lives(one)}
            self._all[session.digest] = session
            if login:
                self._write()
        return value, session

    def find(self, value: str) -> Session | None:
        """Return a session that still lives."""
        session = self._all.get(_digest(value)) if value else None
        if session is None or not self._lives(session):
            return None
        session.seen = self._clock()
        return session

    def end(self, session: Session) -> None:
        with self._lock:
            self._all.pop(session.digest, None)
            self._write()

    def end_all_of(self, login: str) -> None:
        """End every session of somebody whose password or access changed."""
        with self._lock:
            self._all = {key: one for key, one in self._all.items() if one.login != login}
            self._write()

    def _lives(self, session: Session) -> bool:
        now = self._clock()
        return now < session.expires and now - session.seen < IDLE

    def _write(self) -> None:
        kept = [
            {name: getattr(one, name) for name in Session.__slots__} for one in self._all.values() if one.login
        ]  # those without a log-in begin again by themselves
        write_private(self.path, json.dumps(kept))


class WrongOnes:
    """Counts wrong passwords by name and by address."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._when: dict[str, deque[float]] = defaultdict(deque)

    def wait(self, *keys: str) -> int:
        """Return how many seconds to wait before the next try, 0 for none."""
        now, longest = self._clock(), 0.0
        for key in keys:
            times = self._when.get(key)
            while times and now - times[0] > WITHIN:
                times.popleft()
            if times and len(times) >= WRONG:
                longest = max(longest, WITHIN - (now - times[0]))
        return int(longest) + 1 if longest > 0 else 0

    def note(self, *keys: str) -> None:
        if len(self._when) > 10_000:  # somebody tries names at random
            self._when.clear()
        for key in keys:
            self._when[key].append(self._clock())

    def forget(self, key: str) -> None:
        self._when.pop(key, None)


def _digest(value: str) -> str:
    return hashlib.sha256(value.encode()).hexdigest()
