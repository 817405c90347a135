"""One family of errors: what happened, why, and the way out, in one sentence.

Every child keeps its data in fields, so that a page or a test can use them, and builds its sentence late.
The command line prints the sentence and exits with code 2; nothing else of the journal prints errors.
"""

from __future__ import annotations

from pathlib import Path


class JournalError(Exception):
    """Anything a user can put right: bad input or bad surroundings."""

    def sentence(self) -> str:
        """Return the one sentence a person reads, with the way out in it."""
        return str(self.args[0]) if self.args else "Something went wrong that has no description."

    def __str__(self) -> str:
        return self.sentence()


class BadInput(JournalError):
    """A command, a value or a name that cannot be used; the message says which would be right."""


class SoundUnreadable(JournalError):
    """A file that holds no sound this installation can read.

    ``reason`` is a clause without a full stop; ``remedy`` a sentence of its own.
    """

    def __init__(self, path: Path, reason: str, remedy: str) -> None:
        super().__init__(path, reason, remedy)
        self.path = path
        self.reason = reason
        self.remedy = remedy

    def sentence(self) -> str:
        return f"{self.path}: {self.reason}. {self.remedy}"


class ModelUnusable(JournalError):
    """A speech model that is missing, incomplete or not what its manifest says."""

    def __init__(self, where: Path | str, reason: str, remedy: str) -> None:
        super().__init__(where, reason, remedy)
        self.where = where
        self.reason = reason
        self.remedy = remedy

    def sentence(self) -> str:
        return f"Speech model {self.where}: {self.reason}. {self.remedy}"


class StoreUnusable(JournalError):
    """A store that cannot be opened, read or written; what was in it is untouched."""

    def __init__(self, path: Path, reason: str, remedy: str) -> None:
        super().__init__(path, reason, remedy)
        self.path = path
        self.reason = reason
        self.remedy = remedy

    def sentence(self) -> str:
        return f"Store {self.path}: {self.reason}. {self.remedy}"


class SettingsUnusable(JournalError):
    """A settings file with an unknown key or a value that cannot be used."""

    def __init__(self, path: Path, reason: str, remedy: str) -> None:
        super().__init__(path, reason, remedy)
        self.path = path
        self.reason = reason
        self.remedy = remedy

    def sentence(self) -> str:
        return f"Settings {self.path}: {self.reason}. {self.remedy}"


class NotFound(JournalError):
    """The asked thing is not there (exit code 1, not 2: the question was fine)."""
