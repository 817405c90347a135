"""Log-ins that expire, and how many wrong ones are borne.

A session is 256 random bits in a cookie that no script can read; the server keeps only its digest, in
``access/sessions.json``, so that a restart throws nobody out in the middle of a visit.
"""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import json
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from journal.present.web.people import write_private

LASTS = 14 * 3600.0  # seconds: a long day's work
IDLE = 8 * 3600.0
MOST_NAMELESS = 200  # sessions of this machine itself, where nobody logs in
WRONG, WRONG_HERE, WITHIN = 5, 20, 300.0  # wrong passwords for one name, from one address, in so many seconds


@dataclass(slots=True)
class Session:
    """``login`` is empty for the person at this machine, where nobody has to log in; ``stamp``: the password's."""

    digest: str
    login: str
    expires: float
    seen: float
    secret: str
    stamp: str = ""

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
            with contextlib.suppress(OSError, ValueError, TypeError, KeyError):  # unreadable: everybody logs in again
                kept = json.loads(self.path.read_text(encoding="utf-8"))
                self._all = {one["digest"]: Session(**one) for one in kept}

    def begin(self, login: str, stamp: str = "") -> tuple[str, Session]:
        """Begin a session; returns the cookie's value with it."""
        value = secrets.token_urlsafe(32)
        now = self._clock()
        session = Session(_digest(value), login, now + LASTS, now, secrets.token_urlsafe(32), stamp)
        with self._lock:
            self._all = {key: one for key, one in self._all.items() if self._lives(one)}
            if not login:  # a page elsewhere could ask again and again without a cookie
                for key in [key for key, one in self._all.items() if not one.login][:-MOST_NAMELESS]:
                    del self._all[key]
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

    def _lives(self, session: Session) -> bool:
        now = self._clock()
        return now < session.expires and now - session.seen < IDLE

    def _write(self) -> None:
        kept = [
            {name: getattr(one, name) for name in Session.__slots__} for one in self._all.values() if one.login
        ]  # those without a log-in begin again by themselves
        write_private(self.path, json.dumps(kept))


MOST_KEYS = 10_000


class WrongOnes:
    """Counts tries to log in, by name and by address; one that succeeds is taken back.  Safe from several threads."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._when: dict[str, deque[float]] = {}

    def try_again(self, limits: Mapping[str, int]) -> int:
        """Count one try for each key and return 0; or count nothing and return how many seconds to wait.

        ``limits``: so many tries of a key are borne within ``WITHIN`` seconds.
        """
        with self._lock:
            now = self._clock()
            if len(self._when) > MOST_KEYS:  # somebody tries names at random: what is over goes, what counts stays
                self._when = {key: times for key, times in self._when.items() if now - times[-1] <= WITHIN}
            waits = [self._wait(key, most, now) for key, most in limits.items()]
            if any(waits):
                return max(waits)
            for key in limits:
                self._when.setdefault(key, deque()).append(now)
            return 0

    def succeeded(self, name: str, address: str) -> None:
        """Forget the wrong tries of a name, and this one of the address."""
        with self._lock:
            self._when.pop(name, None)
            times = self._when.get(address)
            if times:
                times.pop()
                if not times:
                    del self._when[address]

    def _wait(self, key: str, most: int, now: float) -> int:
        times = self._when.get(key)
        while times and now - times[0] > WITHIN:
            times.popleft()
        if not times:
            self._when.pop(key, None)
            return 0
        return int(WITHIN - (now - times[0])) + 1 if len(times) >= most else 0


def _digest(value: str) -> str:
    return hashlib.sha256(value.encode()).hexdigest()
