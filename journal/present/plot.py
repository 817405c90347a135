"""A machine's readings over time as a picture: one plot for each place, as SVG, alone or in a page.

Geometry and text are ours; every text is escaped, nothing is loaded from anywhere.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import escape
from importlib import resources
from typing import Any

from journal.domain.reading import Phase
from journal.errors import BadInput
from journal.present.lists import Point
from journal.present.wording import amount_text, measure_text, moment_text, printable, remark
from journal.units import Amount, convert

WIDTH, HEIGHT = 640, 210
LEFT, RIGHT, TOP, BOTTOM = 84, 20, 46, 34
LINES = 4  # horizontal lines, about
MOST_DATES, A_DATE = 4, 130  # dates below a plot, and the room one of them needs
STYLE = """
.plot text{font:13px system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans","DejaVu Sans",sans-serif;fill:#1f1d1a}
.plot .quiet{fill:#625d55}.plot .title{font-weight:650;font-size:15px}.plot .grid{stroke:#d9d4c8}
.plot .way{stroke:#b9b2a4;stroke-width:1.5;fill:none}.plot .found{fill:#8c4513}
.plot .left{fill:#fbfaf6;stroke:#8c4513;stroke-width:2}
.plot .doubt{fill:none;stroke:#8c4513;stroke-width:2;stroke-dasharray:.1 4;stroke-linecap:round}
.plot .paper{fill:#fbfaf6}
"""


@dataclass(frozen=True, slots=True)
class Dot:
    """One reading to draw: when, how much in the plot's unit, and how it is drawn."""

    moment: dt.datetime
    value: float
    point: Point
    left: bool
    doubtful: bool


def series_svg(machine: str, series: Mapping[Any, Sequence[Point]], drifts: Mapping[Any, str]) -> str:
    """Return one SVG document: the plots of all places with numbers, one below the other.

    ``series`` and ``drifts`` (a sentence each) are by place.  Raises ``BadInput`` when no place has a number to draw.
    """
    drawn = [plot for place, points in series.items() if (plot := _plot(place, points, drifts.get(place, "")))]
    if not drawn:
        raise BadInput("There is no number to draw a plot of; journal history shows the readings as a table.")
    body = "".join(f'<g transform="translate(0 {44 + n * HEIGHT})">{plot}</g>' for n, plot in enumerate(drawn))
    height = 44 + len(drawn) * HEIGHT
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plot" viewBox="0 0 {WIDTH} {height}" width="{WIDTH}"'
        f' height="{height}" role="img"><title>{_text(machine)}</title><style>{STYLE}</style>'
        f'<rect class="paper" width="{WIDTH}" height="{height}"/>'
        f'<text class="title" x="16" y="28">{_text(machine)}</text>{body}</svg>\n'
    )


def series_html(machine: str, series: Mapping[Any, Sequence[Point]], drifts: Mapping[Any, str], head: str = "") -> str:
    """Return a self-contained page: for each place its plot, its drift in words, and its readings as a table."""
    parts = []
    for place, points in series.items():
        plot = _plot(place, points, drifts.get(place, ""))
        rows = "".join(
            f"<tr><td>{_text(p.moment[:10])}</td><td>{_text(p.visit)}</td><td><b>{_text(amount_text(p.reading))}</b></td>"
            f"<td>{_text(remark(p.reading))}</td></tr>"
            for p in points
        )
        picture = _picture(place, plot, WIDTH)
        title = "" if plot else f"<h2>{_text(str(place))}</h2>"
        parts.append(f"<section>{title}{picture}<table>{rows}</table></section>")
    css = resources.files("journal.present").joinpath("templates", "history.css").read_text(encoding="utf-8")
    digest = f"<p>Digest of the store when this copy was made: <code>{_text(head)}</code></p>" if head else ""
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{_text(machine)}</title><style>{STYLE}{css}</style></head><body><main>"
        f"<h1>{_text(machine)}</h1>{''.join(parts)}"
        "<footer><p>A filled mark is as found, an open one as left, a dotted ring needs listening. A drift names"
        f" numbers and time, and no cause.</p>{digest}</footer></main></body></html>\n"
    )


def plot_svg(place: object, points: Sequence[Point], width: int = WIDTH) -> str:
    """Return the plot of one place as an SVG element to put into a page that styles it and tells of the drift.

    Returns '' where there is no number to draw.
    """
    return _picture(place, _plot(place, points, None, width), width)


def _picture(place: object, plot: str, width: int) -> str:
    if not plot:
        return ""
    named = _text(f"{place} over time")
    return f'<svg class="plot" viewBox="0 0 {width} {HEIGHT}" role="img" aria-label="{named}">{plot}</svg>'


def _plot(place: object, points: Sequence[Point], drift: str | None, width: int = WIDTH) -> str:
    dots, unit = _dots(points)
    if not dots:
        return ""
    low, high, step = _scale([dot.value for dot in dots])
    first, last = min(d.moment for d in dots), max(d.moment for d in dots)
    span = (last - first).total_seconds()

    def x(moment: dt.datetime) -> float:
        share = (moment - first).total_seconds() / span if span else 0.5
        return LEFT + 14 + share * (width - LEFT - RIGHT - 28)

    def y(value: float) -> float:
        return HEIGHT - BOTTOM - (value - low) / (high - low) * (HEIGHT - TOP - BOTTOM)

    parts = [f'<text class="title" x="16" y="16">{_text(str(place))}</text>']
    if drift is not None:
        parts.append(f'<text class="quiet" x="16" y="34">{_text(_shortly(place, drift))}</text>')
    places = max(0, -math.floor(math.log10(step))) + (f"{step:e}"[:3] == "2.5")
    for n in range(round((high - low) / step) + 1):
        value = low + n * step
        label = measure_text(Decimal(f"{value:.{places}f}"), unit)
        parts.append(f'<line class="grid" x1="{LEFT}" x2="{width - RIGHT}" y1="{y(value):.1f}" y2="{y(value):.1f}"/>')
        parts.append(
            f'<text class="quiet" x="{LEFT - 8}" y="{y(value) + 4:.1f}" text-anchor="end">{_text(label)}</text>'
        )
    way = " ".join(f"{x(d.moment):.1f},{y(d.value):.1f}" for d in dots if not (d.left or d.doubtful))
    parts.append(f'<polyline class="way" points="{way}"/>')
    parts += [_mark(dot, x(dot.moment), y(dot.value)) for dot in dots]
    for at in _dates([d.moment for d in dots], most=max(1, (width - LEFT) // A_DATE)):
        anchor = "end" if at == last and at > first else "start" if at == first and at < last else "middle"
        parts.append(
            f'<text class="quiet" x="{x(at):.1f}" y="{HEIGHT - 12}" text-anchor="{anchor}">{at:%Y-%m-%d}</text>'
        )
    return "".join(parts)


def _shortly(place: object, drift: str) -> str:
    """Return a drift's sentence without the place, which stands above it."""
    return f"drift: {drift.removeprefix(str(place)).strip()}" if drift else "no drift to point out"


def _mark(dot: Dot, x: float, y: float) -> str:
    about = f"{amount_text(dot.point.reading)}, {moment_text(dot.point.moment)}, visit {dot.point.visit}"
    more = remark(dot.point.reading)
    title = f"<title>{_text(about + (', ' + more if more else ''))}</title>"
    ring = f'<circle class="doubt" cx="{x:.1f}" cy="{y:.1f}" r="8.5"/>' if dot.doubtful else ""
    return f'<g>{title}<circle class="{"left" if dot.left else "found"}" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>{ring}</g>'


def _dots(points: Sequence[Point]) -> tuple[list[Dot], str]:
    """Return the numbers among the readings in the unit of the last one; what has none is not drawn."""
    unit = next((p.reading.unit for p in reversed(points) if p.reading.number is not None and p.reading.unit), None)
    dots = []
    for point in points:
        reading = point.reading
        if unit is None or reading.number is None or reading.unit is None:
            continue
        try:
            value = float(convert(Amount(reading.number, reading.unit), unit).value)
            moment = dt.datetime.fromisoformat(point.moment)
        except (BadInput, ValueError):
            continue
        moment = moment if moment.tzinfo else moment.replace(tzinfo=dt.UTC)
        dots.append(Dot(moment, value, point, reading.phase is Phase.AS_LEFT, reading.needs_listening))
    return sorted(dots, key=lambda dot: dot.moment), unit or ""


def _scale(values: Sequence[float]) -> tuple[float, float, float]:
    """Return a low end, a high end and a round step between lines that hold all values."""
    least, most = min(values), max(values)
    wide = (most - least) or abs(most) * 0.2 or 1.0
    power = 10.0 ** math.floor(math.log10(wide / LINES))
    step = next(s * power for s in (1, 2, 2.5, 5, 10, 20) if s * power * LINES >= wide)
    low = step * (least // step)
    high = step * -(-most // step)
    if high <= low:
        low, high = low - step, high + step
    return low, high, step


def _dates(moments: Sequence[dt.datetime], most: int = MOST_DATES) -> list[dt.datetime]:
    """Return the first and last moment and a few between that are far enough apart to be written."""
    days = sorted(set(moments))
    least = (days[-1] - days[0]) / min(most, MOST_DATES)
    chosen = [days[0]]
    for day in days[1:]:
        if day - chosen[-1] >= least and (day == days[-1] or days[-1] - day >= least):
            chosen.append(day)
    return chosen


def _text(words: str) -> str:
    return escape(printable(words), quote=True)
