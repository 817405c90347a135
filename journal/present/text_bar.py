"""The limit bar drawn with characters."""

from __future__ import annotations

from rich.text import Text

from journal.present.limit_bar import Bar

WIDTH = 31
#: outside, marginal, permitted, tick, tick beyond the left end, beyond the right end
DRAWN = ("─", "╌", "━", "┃", "◂", "▸")
ASCII = ("-", "~", "=", "|", "<", ">")


def text_bar(bar: Bar, *, ascii_only: bool = False, width: int = WIDTH) -> Text:
    """Return a bar as one line: permitted span thick, value a tick on it, its ends and the value in figures."""
    outside, marginal, permitted, tick, left, right = ASCII if ascii_only else DRAWN
    cells = []
    for cell in range(width):
        middle = (cell + 0.5) / width
        if bar.permitted[0] <= middle <= bar.permitted[1]:
            cells.append(permitted)
        elif bar.marginal[0] <= middle <= bar.marginal[1]:
            cells.append(marginal)
        else:
            cells.append(outside)
    at = _cell_of(bar, width)
    cells[at] = {-1: left, 0: tick, 1: right}[bar.beyond]
    text = Text("".join(cells[:at]))
    text.append(cells[at], "bold dark_orange3")
    text.append("".join(cells[at + 1 :]))
    text.append(f"  {bar.label}", "bold")
    return text


def _cell_of(bar: Bar, width: int) -> int:
    """Return the tick's cell, kept on the right side of a bound it lies next to: a tick never crosses a limit."""
    at = min(int(bar.tick * width), width - 1)
    for bound in bar.permitted:
        edge = bound * width
        if bar.tick < bound and at + 0.5 >= edge:
            at = max(at - 1, 0)
        elif bar.tick > bound and at + 0.5 < edge:
            at = min(at + 1, width - 1)
    return at
