"""How likely a reading is wrong, weighed from all that is known of it at once.

The rules doubt for single reasons (an unsaid unit, a number that may be parted otherwise), the tagger for single
shares.  A logistic regression over both, learned from readings of authors that the tagger had not met
(``models/recipe/tagger/sureness.py``), tells which of them to believe: weak reasons that are outweighed are dropped,
and a reading for which no single reason was strong enough may be doubted all the same.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from importlib import resources

from journal.domain.reading import Reading
from journal.interpret.board import Board
from journal.interpret.tagger.tags import NONE, NOWHERE, TAKEN_BACK, label_of

LEAST = 0.005  # no share is taken for nought or one, nor for surer than was often met
LONG = 40  # words: longer utterances count as these


@cache
def learned() -> dict[str, float]:
    """The weights of the features by name, ``bias`` among them, and the limits ``doubted_from``, ``kept_from``."""
    text = resources.files("journal.interpret.standing").joinpath("sureness.toml").read_text(encoding="utf-8")
    return {name: float(value) for name, value in tomllib.loads(text).items()}


def features(
    reading: Reading, board: Board, first: int, last: int, kinds: dict[str, float], parted: float
) -> dict[str, float]:
    """What is known of a reading whose number stands at pieces ``first`` to ``last``: shares as their logits, facts as
    0 or 1. ``kinds`` are the shares of the kinds that are possible there, ``parted`` that of the number's bounds."""
    roles, components = board.tags.roles(first, last), board.tags.components(first, last)
    kind = _logit(kinds.get(label_of(reading.kind, reading.unit), 0.0))
    role, bounds = _logit(roles.get(reading.role.value, 0.0)), _logit(parted)
    said = float(not any(name == "unit" for name, _ in reading.inferred))
    found = {
        "bias": 1.0,
        "kind": kind,
        "read": _logit(1 - kinds.get(NONE, 0.0)),
        "role": role,
        "bounds": bounds,
        "weakest": min(kind, role, bounds),
        "place": _logit(components.get(reading.component or NOWHERE, 0.0)),
        "likeliest place": max(components.values(), default=0.0),
        "taken back": board.tags.over("withdrawn", first, last).get(TAKEN_BACK, 0.0),
        "unit said": said,
        "kind where the unit was said": said * kind,
        "words": min(len(board.pieces), LONG) / LONG,
        "other readings": float(len(reading.alternatives)),
        "hedged": float(reading.hedged),
        "number words": float(last - first + 1),
        f"role {reading.role.value}": 1.0,
    }
    found.update({f"doubt {doubt.code}": 1.0 for doubt in reading.doubts})
    return found


def share_wrong(found: dict[str, float]) -> float:
    """How likely the reading is wrong in number, unit, kind or role."""
    weights = learned()
    return 1 / (1 + math.exp(-sum(weights.get(name, 0.0) * value for name, value in found.items())))


def _logit(share: float) -> float:
    share = min(max(share, LEAST), 1 - LEAST)
    return math.log(share / (1 - share))
