"""Output for terminals that know few characters: the signs of the trade are spelled instead of lost."""

from __future__ import annotations

import codecs
import unicodedata
from typing import TextIO

HANDLER = "journal-plainly"
#: signs a unit or a limit cannot do without, as they are typed
_SPELLED = {
    "µ": "u", "μ": "u", "Ω": "ohm", "°": "deg ", "Δ": "d", "−": "-", "–": "-", "—": "-", "±": "+/-", "×": "x",
    "‘": "'", "’": "'", "“": '"', "”": '"', "…": "...", "→": "->", "─": "-", "━": "=", "│": "|", "┃": "|",
}  # fmt: skip


def settle(stream: TextIO) -> None:
    """Let a stream spell what its encoding cannot write, instead of failing in the middle of a record."""
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        codecs.register_error(HANDLER, spelled)
        reconfigure(errors=HANDLER)


def spelled(error: UnicodeError) -> tuple[str, int]:
    """Replace characters an encoding lacks: µ by u, Ω by ohm, letters by their plain forms, anything else by '?'."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_plain(character) for character in error.object[error.start : error.end]), error.end


def _plain(character: str) -> str:
    if character in _SPELLED:
        return _SPELLED[character]
    letters = unicodedata.normalize("NFKD", character).encode("ascii", "ignore").decode()
    return letters or "?"
