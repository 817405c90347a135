"""Where the files lie that travel with the journal: package data first, then the checkout.

The wheel carries ``models/trade-english`` and ``demo`` as ``journal/data/...``; an editable install finds them at the
top of the checkout.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def carried(*parts: str) -> Path | None:
    """Return the path of a carried file or folder, e.g. ``carried("models", "trade-english")``; ``None`` if absent."""
    for root in (_PACKAGE / "data", _PACKAGE.parent):
        path = root.joinpath(*parts)
        if path.exists():
            return path
    return None
