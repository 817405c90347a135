"""What every page needs, made once when the application starts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from journal.present.web.people import People, Person, Role
from journal.present.web.sessions import Sessions, WrongOnes

if TYPE_CHECKING:
    from journal.keep import Store
    from journal.live import Captures
    from journal.pipeline import Rules

LOCAL = {"127.0.0.1", "localhost", "[::1]", "testserver"}


@dataclass(slots=True)
class State:
    """``hosts`` are the names this server answers to; ``secure`` says that it speaks TLS."""

    store: Store
    captures: Captures
    rules: Rules
    people: People
    sessions: Sessions
    technician: str = ""
    secure: bool = False
    hosts: frozenset[str] = frozenset(LOCAL)
    guarded: bool = False  # somebody logged in once, or others reach this address: a lost list of people opens nothing
    authority: bytes | None = None  # the certificate to install, if we made one
    wrong: WrongOnes = field(default_factory=WrongOnes)

    @property
    def needs_log_in(self) -> bool:
        self.guarded = self.guarded or len(self.people) > 0
        return self.guarded

    @property
    def cookie(self) -> str:
        """The ``__Host-`` prefix binds the cookie to this host and to TLS (RFC 6265bis section 4.1.3.2)."""
        return "__Host-journal" if self.secure else "journal"

    def person_here(self) -> Person:
        """The person at this machine when nobody has to log in: sees everything."""
        return Person("", self.technician or "this machine", Role.OFFICE)
