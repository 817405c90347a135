"""A machine's readings over time as a picture: well-formed, right places, nothing lost."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree import ElementTree

import html5lib
import pytest

from journal.domain.reading import Reading
from journal.errors import BadInput
from journal.present.plot import HEIGHT, series_html, series_svg
from tests.builders import a_reading
from tests.present.visits import HOSTILE


@dataclass(frozen=True)
class At:
    visit: str
    moment: str
    reading: Reading


def capacitor() -> dict[str, list[At]]:
    """A run capacitor that loses capacitance over four visits, once doubted, once as left."""
    days = ("2025-01-10", "2025-05-10", "2025-09-10", "2026-01-10")
    readings = (
        a_reading(microfarad="45.0"),
        a_reading(microfarad="43.5"),
        a_reading(microfarad="4.15", doubt="a decimal point may be missing"),
        a_reading(microfarad="40.0", phase="as left"),
    )
    return {
        "run capacitor": [
            At(f"V{n}", f"{day}T08:00:00Z", reading)
            for n, (day, reading) in enumerate(zip(days, readings, strict=True))
        ]
    }


def marks(svg: str) -> list[tuple[str, float, float]]:
    found = re.findall(r'<circle class="(found|left|doubt)" cx="([\d.]+)" cy="([\d.]+)"', svg)
    return [(kind, float(x), float(y)) for kind, x, y in found]


def test_every_number_is_a_mark_at_its_time_and_height() -> None:
    svg = series_svg("serial QX1", capacitor(), {})
    ElementTree.fromstring(svg)
    drawn = [mark for mark in marks(svg) if mark[0] != "doubt"]
    assert [kind for kind, _, _ in drawn] == ["found", "found", "found", "left"]
    across = [x for _, x, _ in drawn]
    assert across == sorted(across)
    down = [y for _, _, y in drawn]
    assert down[0] < down[1] < down[3] < down[2], "a smaller value lies lower"
    assert all(0 <= y <= HEIGHT for y in down)
    assert len([mark for mark in marks(svg) if mark[0] == "doubt"]) == 1
    line = re.search(r'<polyline class="way" points="([^"]*)"', svg)
    assert line is not None
    assert len(line[1].split()) == 2, "a doubtful number and one as left are no part of the line"


def test_values_in_other_units_are_drawn_in_that_of_the_last() -> None:
    series = {
        "winding": [
            At("A", "2025-01-01T00:00:00Z", a_reading(kiloohm="1")),
            At("B", "2026-01-01T00:00:00Z", a_reading(ohm="1000")),
        ]
    }
    (_, _, first), (_, _, second) = marks(series_svg("x", series, {}))
    assert first == second
    assert "kΩ" not in re.sub(r"<title>.*?</title>", "", series_svg("x", series, {}))


def test_a_drift_stands_in_words_and_a_page_has_the_numbers_too() -> None:
    series = capacitor()
    drifts = {"run capacitor": "run capacitor has fallen from 45 to 40 µF."}
    assert "drift: has fallen from 45 to 40 µF." in series_svg("serial QX1", series, drifts)
    page = series_html("serial QX1", series, drifts, "ab" * 32)
    html5lib.HTMLParser(strict=True).parse(page)
    for shown in ("45.0 µF", "as left", "needs listening", "ab" * 32):
        assert shown in page


def test_hostile_names_are_text() -> None:
    series = {HOSTILE: [At(HOSTILE, "2025-01-01T00:00:00Z", a_reading(volt="1", component=HOSTILE))]}
    svg = series_svg(HOSTILE, series, {HOSTILE: HOSTILE})
    assert not list(ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}script"))
    html5lib.HTMLParser(strict=True).parse(series_html(HOSTILE, series, {}))


def test_without_a_number_there_is_no_plot() -> None:
    states = {"winding": [At("A", "2025-01-01T00:00:00Z", a_reading(kind="resistance", state="open"))]}
    with pytest.raises(BadInput, match="no number"):
        series_svg("x", states, {})
    assert "open" in series_html("x", states, {})


@pytest.mark.parametrize("value", ["0", "0.0004", "12", "-40", "999999"])
def test_one_value_alone_lies_inside_its_plot(value: str) -> None:
    svg = series_svg("x", {"p": [At("A", "2025-01-01T00:00:00Z", a_reading(volt=value))]}, {})
    ((_, _, y),) = marks(svg)
    assert 40 < y < HEIGHT - 30
