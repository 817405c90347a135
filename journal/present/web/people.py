"""Who may use the pages: people with passwords and roles, and tokens of other programs.

Kept in ``access/people.json`` below the store's folder, readable by its owner only; passwords as Argon2id hashes
(RFC 9106), tokens as SHA-256 of 256 random bits.  The file is looked at again whenever it changed, so that what is
changed by command holds at once for a server that runs; a file that cannot be read lets nobody in.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import secrets
import threading
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

from journal.errors import BadInput, NotFound, StoreUnusable

if TYPE_CHECKING:
    from argon2 import PasswordHasher

_LOGIN = re.compile(r"[a-z0-9][a-z0-9._-]{0,39}")
LEAST = 10  # characters of a password
MOST = 200


class Role(StrEnum):
    TECHNICIAN = "technician"
    OFFICE = "office"


@dataclass(frozen=True, slots=True)
class Person:
    """``name`` is how the person stands on visits; a technician sees those visits only."""

    login: str
    name: str
    role: Role

    def may_see(self, technician: str | None) -> bool:
        """Whether a visit of this technician is theirs to see."""
        return self.role is Role.OFFICE or (technician or "").casefold() == self.name.casefold()


class People:
    """The people and tokens of one store; safe to use from several threads and beside other processes."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "access" / "people.json"
        self._lock = threading.RLock()
        self._people: dict[str, tuple[Person, str]] = {}
        self._tokens: dict[str, str] = {}
        self._read_at: tuple[int, ...] | None = ()
        self._fresh()

    def __len__(self) -> int:
        self._fresh()
        return len(self._people)

    def all(self) -> tuple[Person, ...]:
        self._fresh()
        return tuple(sorted((person for person, _ in self._people.values()), key=lambda person: person.login))

    def programs(self) -> tuple[str, ...]:
        """Return the programs that have a token, each once."""
        self._fresh()
        return tuple(sorted(set(self._tokens.values())))

    def add(self, login: str, name: str, role: Role, password: str) -> Person:
        """Add somebody, or give somebody another password, name or role.  Raises ``BadInput``."""
        login = login.strip().lower()
        if not _LOGIN.fullmatch(login):
            raise BadInput("A log-in name has letters, digits, dots and dashes, e.g. 'ines'.")
        if not LEAST <= len(password) <= MOST:
            raise BadInput(f"A password has at least {LEAST} characters; several words are easy to remember.")
        if not name.strip():
            raise BadInput("Give the person's name as it stands on the visits.")
        person = Person(login, name.strip()[:80], role)
        hashed = _hasher().hash(password)
        with self._changing():
            self._people[login] = (person, hashed)
        return person

    def remove(self, login: str) -> Person:
        """Take somebody's access away; returns who it was.  Raises ``NotFound``."""
        with self._changing():
            found = self._people.pop(login, None)
            if found is None:
                raise NotFound(f"Nobody logs in as '{login[:40]}'.")
        return found[0]

    def find(self, login: str) -> Person | None:
        self._fresh()
        found = self._people.get(login)
        return found[0] if found else None

    def stamp(self, login: str) -> str:
        """Return what changes with somebody's password: a session that began with another one is over."""
        self._fresh()
        found = self._people.get(login)
        return _digest(found[1])[:16] if found else ""

    def check(self, login: str, password: str) -> Person | None:
        """Return who this is; takes as long for a name that nobody has (a twentieth of a second)."""
        from argon2.exceptions import VerificationError

        self._fresh()
        found = self._people.get(login.strip().lower())
        try:
            _hasher().verify(found[1] if found else _nobody(), password[:MOST])
        except VerificationError:
            return None
        return found[0] if found else None

    def add_token(self, program: str) -> str:
        """Make a token for a program that only reads; it is shown once and cannot be found out again."""
        if not program.strip():
            raise BadInput("Say which program the token is for.")
        token = "vj_" + secrets.token_urlsafe(32)
        with self._changing():
            self._tokens[_digest(token)] = program.strip()[:80]
        return token

    def remove_tokens(self, program: str) -> int:
        """Take back every token of a program; returns how many.  Raises ``NotFound``."""
        with self._changing():
            mine = [digest for digest, whose in self._tokens.items() if whose == program]
            if not mine:
                raise NotFound(f"No program '{program[:40]}' has a token.")
            for digest in mine:
                del self._tokens[digest]
        return len(mine)

    def program_of(self, token: str) -> str | None:
        """Return which program a token belongs to."""
        self._fresh()
        return self._tokens.get(_digest(token))

    @contextlib.contextmanager
    def _changing(self) -> Iterator[None]:
        """One change at a time, also beside another process; what the block raises changes nothing."""
        with self._lock, _alone(self.path):
            self._read_at = ()
            self._fresh()
            try:
                yield
                self._write()
            except BaseException:
                self._read_at = ()
                raise

    def _fresh(self) -> None:
        """Read the file again if it is another one than last time."""
        now = _mark(self.path)
        if now == self._read_at:
            return
        with self._lock:
            self._read()
            self._read_at = now

    def _read(self) -> None:
        people: dict[str, tuple[Person, str]] = {}
        tokens: dict[str, str] = {}
        try:
            text = self.path.read_text(encoding="utf-8")
            data = json.loads(text)
            for one in data["people"]:
                people[one["login"]] = (Person(one["login"], one["name"], Role(one["role"])), one["password"])
            tokens = dict(data["tokens"])
        except FileNotFoundError:
            pass
        except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
            remedy = "Bring it back from a backup, or take it away and add the people again."
            raise StoreUnusable(
                self.path, f"the list of people cannot be read ({type(error).__name__})", remedy
            ) from None
        self._people, self._tokens = people, tokens

    def _write(self) -> None:
        people = [{**asdict(person), "password": hashed} for person, hashed in self._people.values()]
        write_private(self.path, json.dumps({"people": people, "tokens": self._tokens}, indent=1))
        self._read_at = _mark(self.path)


def _mark(path: Path) -> tuple[int, ...] | None:
    """Return what tells one writing of a file from another; every writing is a file of its own."""
    try:
        about = path.stat()
    except FileNotFoundError:
        return None
    return (about.st_ino, about.st_mtime_ns, about.st_size)


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Hold the lock beside a file, where the system has such locks."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with path.with_suffix(".lock").open("w") as lock:
        with contextlib.suppress(ImportError):
            import fcntl

            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def write_private(path: Path, text: str) -> None:
    """Write a file whole or not at all, readable by its owner only."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher  # only where somebody logs in

    return PasswordHasher()


_nobodys: list[str] = []


def _nobody() -> str:
    if not _nobodys:
        _nobodys.append(_hasher().hash(secrets.token_urlsafe(16)))
    return _nobodys[0]
