"""Giving and taking access, by command and on the page alike: each change is one line of the store's ledger.

The line says who did it and to whom, never a password or a token.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.present.web.people import People, Person, Role

if TYPE_CHECKING:
    from journal.keep import Store


def give_access(store: Store, people: People, login: str, name: str, role: Role, password: str, *, by: str) -> Person:
    """Add somebody, or change their name, role and password; their sessions are over.  Raises ``BadInput``."""
    held = people.find(login.strip().lower())
    person = people.add(login, name, role, password)
    action = "access changed" if held else "access given"
    store.note(action, by=by, why=f"{person.login}: {person.name}, {person.role.value}, new password")
    return person


def take_access(store: Store, people: People, login: str, *, by: str) -> Person:
    """Take somebody's access away at once.  Raises ``NotFound``."""
    person = people.remove(login)
    store.note("access taken away", by=by, why=f"{person.login}: {person.name}, {person.role.value}")
    return person


def make_token(store: Store, people: People, program: str, *, by: str) -> str:
    """Make a token for a program that reads; returned this once."""
    token = people.add_token(program)
    store.note("token made", by=by, why=program.strip()[:80])
    return token


def take_token(store: Store, people: People, program: str, *, by: str) -> int:
    """Take back every token of a program; returns how many.  Raises ``NotFound``."""
    count = people.remove_tokens(program)
    store.note("token taken back", by=by, why=program)
    return count
