"""What a prompted listener is told: the trade's words in the spelling wanted, from the vocabulary; never a value."""

from __future__ import annotations

from collections.abc import Sequence

from journal.domain.visit import Equipment
from journal.interpret.vocabulary import table


def listening_prompt(equipment: Sequence[Equipment] = ()) -> str:
    """Return a few phrases of the trade for whisper's ``initial_prompt``; machines of the visit come first."""
    told = table("prompt")
    phrases = [" ".join(part for part in (machine.type, machine.refrigerant) if part) for machine in equipment]
    phrases += [f"{_point(a)} to {_point(b)} {_unit(unit)}" for a, b, unit in told["between"]]
    phrases += [f"{table('components')[component]['forms'][0]} {_unit(unit)}" for component, unit in told["speaks_of"]]
    phrases += told["words"]
    return ". ".join(phrase[0].upper() + phrase[1:] for phrase in phrases if phrase) + "."


def _point(name: str) -> str:
    return str(table("points")["point"][name]["forms"][0])


def _unit(code: str) -> str:
    """The plural, which is how a unit is said behind most numbers."""
    forms = [form for form in table("units")[code]["forms"] if form.endswith("s")]
    return str((forms or table("units")[code]["forms"])[0])
