"""Who may use the pages: people with passwords and roles, and tokens of other programs.

Kept in ``access/people.json`` below the store's folder, readable by its owner only; passwords as Argon2id hashes
(RFC 9106), tokens as SHA-256 of 256 random bits.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
import threading
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

from journal.errors import BadInput, NotFound

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
    """The people and tokens of one store; safe to use from several threads."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "access" / "people.json"
        self._lock = threading.Lock()
        self._read()

    def __len__(self) -> int:
        return len(self._people)

    def all(self) -> tuple[Person, ...]:
        return tuple(person for person, _ in self._people.values())

    def add(self, login: str, name: str, role: Role, password: str) -> Person:
        """Add somebody, or give somebody another password, name or role.  Raises ``BadInput``."""
        login = login.strip().lower()
        if not _LOGIN.fullmatch(login):
            raise BadInput("A log-in name has letters, digits, dots and dashes, e.g. 'ines'.")
        if not LEAST <= len(password) <= MOST:
            raise BadInput(f"A password has at least {LEAST} characters; several words are easy to remember.")
        if not name.strip():
            raise BadInput("Give the person's name as it stands on the visits.")
        person = Person(login, name.strip(), role)
        with self._lock:
            self._people[login] = (person, _hasher().hash(password))
            self._write()
        return person

    def remove(self, login: str) -> None:
        """Take somebody's access away.  Raises ``NotFound``."""
        with self._lock:
            if self._people.pop(login, None) is None:
                raise NotFound(f"Nobody logs in as '{login}'.")
            self._write()

    def find(self, login: str) -> Person | None:
        found = self._people.get(login)
        return found[0] if found else None

    def check(self, login: str, password: str) -> Person | None:
        """Return who this is; takes as long for a name that nobody has (a twentieth of a second)."""
        from argon2.exceptions import VerificationError

        found = self._people.get(login.strip().lower())
        try:
            _hasher().verify(found[1] if found else _nobody(), password[:MOST])
        except VerificationError:
            return None
        return found[0] if found else None

    def add_token(self, program: str) -> str:
        """Make a token for a program that only reads; it is shown once and cannot be found out again."""
        token = "vj_" + secrets.token_urlsafe(32)
        with self._lock:
            self._tokens[_digest(token)] = program.strip() or "program"
            self._write()
        return token

    def program_of(self, token: str) -> str | None:
        """Return which program a token belongs to."""
        return self._tokens.get(_digest(token))

    def _read(self) -> None:
        self._people: dict[str, tuple[Person, str]] = {}
        self._tokens: dict[str, str] = {}
        if not self.path.is_file():
            return
        data = json.loads(self.path.read_text(encoding="utf-8"))
        for one in data["people"]:
            person = Person(one["login"], one["name"], Role(one["role"]))
            self._people[person.login] = (person, one["password"])
        self._tokens = data["tokens"]

    def _write(self) -> None:
        people = [{**asdict(person), "password": hashed} for person, hashed in self._people.values()]
        write_private(self.path, json.dumps({"people": people, "tokens": self._tokens}, indent=1))


def write_private(path: Path, text: str) -> None:
    """Write a file whole or not at all, readable by its owner only."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
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
