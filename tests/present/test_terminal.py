"""The terminal at 80 columns: nothing overflows, nothing is markup, the same order as on paper."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from rich.cells import cell_len
from rich.console import Console

from journal.domain.verdict import Outcome
from journal.domain.visit import Interpretation, Visit
from journal.present.terminal import (
    readings_table,
    show_checks,
    show_outcome,
    show_summaries,
    show_verdict,
    show_visit,
    verdicts_table,
)
from tests.builders import a_limit, a_note, a_reading, a_verdict, a_visit
from tests.present import visits


def printed(show: Callable[[Console], None], width: int = 80, *, colours: bool = False) -> str:
    console = Console(
        file=io.StringIO(),
        width=width,
        highlight=False,
        force_terminal=colours,
        color_system="standard" if colours else None,
    )
    show(console)
    text = console.file.getvalue()  # type: ignore[attr-defined]
    if not colours:
        for line in text.split("\n"):
            assert cell_len(line) <= width, line
    return str(text)


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [80, 60, 200])
@pytest.mark.parametrize("make", visits.ALL.values(), ids=visits.ALL)
def test_every_visit_fits(make: Callable[[], Visit], width: int) -> None:
    visit = make()
    assert visit.code in printed(lambda console: show_visit(console, visit), width)
    assert visit.code in printed(lambda console: show_outcome(console, visit), width)


def test_hostile_text_steers_nothing() -> None:
    shown = printed(lambda console: show_visit(console, visits.hostile()))
    assert "\x1b" not in shown
    assert "\u202e" not in shown
    assert "[bold]" in shown
    coloured = printed(lambda console: show_visit(console, visits.hostile()), colours=True)
    assert "\ufffd[31m" in coloured.replace("\n", "")


def test_sections_stand_in_the_order_of_the_record() -> None:
    shown = printed(lambda console: show_visit(console, visits.full()))
    names = ["Complaint", "Machine", "Readings as found", "Verdicts", "Follow-up", "Cautions", "What is undetermined"]
    places = [shown.index(f"\n{name}\n") for name in [*names, "History of changes"]]
    assert places == sorted(places)


def test_amount_place_words_and_second_of_a_reading() -> None:
    reading = a_reading(ohm="3.40", points="common start", said="common to start three point four", at=64.3)
    shown = flat(printed(lambda console: console.print(readings_table([reading]))))
    assert shown == "3.40 Ω common to start 1:04.3 ‘common to start three point four’"


def test_doubt_is_told_in_words() -> None:
    reading = a_reading(volt="15", doubt="fifteen or fifty?", maybe=("50",))
    shown = flat(printed(lambda console: console.print(readings_table([reading]))))
    assert "needs listening: fifteen or fifty?; may have been 50 V" in shown


def test_withdrawn_readings_say_so() -> None:
    shown = flat(printed(lambda console: console.print(readings_table([a_reading(volt="9", withdrawn=True)]))))
    assert "withdrawn: no measurement" in shown


def test_a_verdict_shows_word_bar_sentence_and_arithmetic() -> None:
    verdict = a_verdict(
        "marginal",
        value="254",
        unit="volt",
        limits=(a_limit("187.2", "253", marginal_high="260"),),
        formula="1.1 x 230 V = 253 V",
        rests_on_doubt=True,
        cautions=("mind the shaft",),
    )
    shown = printed(lambda console: show_verdict(console, verdict))
    for part in (
        "marginal  Supply voltage",
        "━",
        "┃",
        "187.2 to 253 V",
        "1.1 x 230 V = 253 V",
        "caution: mind the shaft",
    ):
        assert part in shown
    assert "needs listening" in shown
    table = printed(lambda console: console.print(verdicts_table([verdict], (), console)))
    assert flat(table) == flat(shown)


def test_an_empty_visit_says_so() -> None:
    assert "No reading was understood" in printed(lambda console: show_visit(console, visits.empty()))
    assert "No reading was understood" in printed(lambda console: show_outcome(console, visits.empty()))


def test_other_notes_keep_their_topic() -> None:
    shown = printed(lambda console: show_visit(console, a_visit(a_note("how it was left", "locked out"))))
    assert "How it was left\n  locked out" in shown


@dataclass(frozen=True)
class Line:
    code: str = "HK3472"
    started: str | None = "2026-03-02T08:15:00+00:00"
    made: str = "2026-03-02T09:00:00+00:00"
    title: str = "Walk-in freezer: compressor winding to ground [red]x[/red]"
    site: str | None = "Quillwort Bakery, Sawyer Lane"
    status: str = "complete"
    readings: int = 20
    doubtful: int = 3
    worst: Outcome | None = Outcome.OUTSIDE


def test_the_list_of_visits() -> None:
    shown = printed(lambda console: show_summaries(console, [Line(), Line(code="MX22", worst=None, doubtful=0)]))
    for part in ("HK3472", "2026-03-02 08:15", "out of limits", "MX22", "none"):
        assert part in flat(shown)
    assert "[red]" in shown
    assert "journal ingest" in printed(lambda console: show_summaries(console, []))


@dataclass(frozen=True)
class Card:
    name: str = "run-capacitor"
    title: str = "Run capacitor against its marking"

    @property
    def needs(self) -> dict[str, object]:
        return {"measured": 1, "marked": 2}


def test_the_list_of_checks() -> None:
    shown = flat(printed(lambda console: show_checks(console, [Card()])))
    assert "run-capacitor Run capacitor against its marking --measured --marked" in shown
    assert "run-capacitor" in printed(lambda console: show_checks(console, {"run-capacitor": Card()}))


def test_interpretation_without_visit() -> None:
    from types import SimpleNamespace

    from journal.present.terminal import show_understanding

    reading = a_reading(volt="241", points="L1 L2")
    understanding = SimpleNamespace(
        interpretation=Interpretation(readings=(reading,)),
        judgement=SimpleNamespace(verdicts=(a_verdict(readings=(reading.id,)),)),
    )
    shown = flat(printed(lambda console: show_understanding(console, understanding)))  # type: ignore[arg-type]
    assert "241 V L1 to L2" in shown
    assert "within limits Supply voltage" in shown
