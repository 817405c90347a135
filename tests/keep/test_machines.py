"""One machine over its visits: found, compared, drifting; and what earlier corrections suggest."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Evidence, Phase, Reading, Role
from journal.domain.visit import Equipment, Visit, WorkDone
from journal.errors import BadInput, NotFound
from journal.keep import Machine, Store, machine_of
from journal.keep.learning import Suggestion
from journal.keep.machines import Place, place_of
from journal.keep.trend import slope_of

COOLER = Equipment("walk-in", serial="88-042")


def microfarads(value: str, **changes: object) -> Reading:
    fields: dict[str, object] = {
        "kind": Kind.CAPACITANCE,
        "value": Decimal(value),
        "unit": "microfarad",
        "component": "run capacitor",
        "equipment": "walk-in",
    }
    return Reading(**{**fields, **changes})  # type: ignore[arg-type]


@pytest.fixture
def yearly(store: Store) -> Callable[..., list[Visit]]:
    """Store one visit a year, each with the readings given."""

    def stored(*readings: tuple[Reading, ...], machine: Equipment = COOLER, **frame: object) -> list[Visit]:
        return [
            store.add_visit(
                Visit(
                    "",
                    "",
                    started=f"{2019 + year}-05-04T08:00:00Z",
                    equipment=(machine,),
                    readings=some,
                    technician="Ola Brandt",
                    **{"site": "Corner Larder", **frame},  # type: ignore[arg-type]
                ),
                {},
            )
            for year, some in enumerate(readings)
        ]

    return stored


def test_a_machine_is_found_by_serial_or_by_name_and_site(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    first, second = yearly((microfarads("40"),), (microfarads("39"),))
    (elsewhere,) = yearly((microfarads("10"),), machine=Equipment("walk-in"), site="Harbour Kitchen")

    def found(**machine: str) -> list[str]:
        return [summary.code for summary in store.machine_visits(Machine(**machine))]

    assert found(serial="88-042") == [second.code, first.code]
    assert found(serial="88-042 ".strip().lower()) == [second.code, first.code]
    assert found(name="Walk-In", site="corner larder") == [second.code, first.code]
    assert found(name="walk-in", site="Harbour Kitchen") == [elsewhere.code]
    with pytest.raises(BadInput, match="Several sites"):
        found(name="walk-in")
    with pytest.raises(NotFound, match="No visit"):
        found(serial="88-043")
    with pytest.raises(BadInput, match="which machine"):
        found(site="Corner Larder")
    assert machine_of(first) == Machine(serial="88-042")
    assert machine_of(elsewhere) == Machine(name="walk-in", site="Harbour Kitchen")
    with pytest.raises(BadInput, match="it has: none"):
        machine_of(Visit("", "X"))


def test_readings_of_one_place_come_in_order(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    ohms = {"kind": Kind.RESISTANCE, "unit": "ohm", "component": "compressor"}
    visits = yearly(
        (microfarads("40"), microfarads("2.1", **ohms, points=("common", "run"))),
        (microfarads("39.5"), microfarads("2.2", **ohms, points=("run", "common"))),
        (microfarads("39"), microfarads("45", role=Role.NAMEPLATE), microfarads("7", withdrawn=True)),
    )
    series = store.machine_series(Machine(serial="88-042"))
    capacitor = Place(Kind.CAPACITANCE, "run capacitor", (), Role.MEASURED)
    winding = Place(Kind.RESISTANCE, "compressor", ("common", "run"), Role.MEASURED)
    assert set(series) == {capacitor, winding}
    assert [str(point.reading.value) for point in series[capacitor]] == ["40", "39.5", "39"]
    assert [point.visit for point in series[winding]] == [visit.code for visit in visits[:2]]
    only = store.machine_series(Machine(serial="88-042"), kind=Kind.RESISTANCE, points=("run", "common"))
    assert set(only) == {winding}
    assert set(store.machine_series(Machine(serial="88-042"), role=Role.NAMEPLATE)) == {
        Place(Kind.CAPACITANCE, "run capacitor", (), Role.NAMEPLATE)
    }
    assert str(winding) == "compressor, common-run, resistance"


def test_history_shows_what_was_put_right(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    first, second = yearly((microfarads("40"),), (microfarads("93"),))
    store.correct(second.code, second.readings[0].id, {"value": "39"}, by="Ola", why="swapped")
    series = store.machine_series(Machine(serial="88-042"), kind=Kind.CAPACITANCE)
    assert [str(point.reading.value) for points in series.values() for point in points] == ["40", "39"]
    store.correct(first.code, first.readings[0].id, {"kind": "current", "unit": "ampere"}, by="Ola", why="amps")
    assert [place.kind for place in store.machine_series(Machine(serial="88-042"), kind=Kind.CURRENT)] == [Kind.CURRENT]
    store.correct(first.code, first.id, {"equipment/walk-in/serial": "88-099"}, by="Ola", why="plate")
    assert len(store.machine_visits(Machine(serial="88-042"))) == 1


def test_readings_of_other_machines_stay_out(store: Store) -> None:
    two = (COOLER, Equipment("freezer"))
    readings = (microfarads("40"), microfarads("5", equipment="freezer"), microfarads("6", equipment=None))
    store.add_visit(Visit("", "", site="Corner Larder", equipment=two, readings=readings), {})
    (points,) = store.machine_series(Machine(serial="88-042")).values()
    assert [str(point.reading.value) for point in points] == ["40"]


def test_a_slow_drift_is_pointed_out(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    yearly(*[(microfarads(value),) for value in ("45.0", "44.1", "43.5", "42.0", "41.2")])
    (drift,) = store.machine_drifts(Machine(serial="88-042"))
    assert drift.place.component == "run capacitor"
    assert drift.visits == 5
    assert drift.per_year == pytest.approx(-0.97, abs=0.05)
    assert drift.sentence.startswith("run capacitor, capacitance has fallen from 45")
    assert "(2019-05-04 to 2023-05-04)" in drift.sentence


@pytest.mark.parametrize(
    "values",
    [
        ("45.0", "44.1", "43.5"),  # too few
        ("45.0", "43.0", "45.5", "44.0", "45.0"),  # no order
        ("45.0", "44.9", "44.8", "44.7", "44.6"),  # not worth a word
    ],
)
def test_what_is_no_drift_is_not_pointed_out(
    store: Store, yearly: Callable[..., list[Visit]], values: tuple[str, ...]
) -> None:
    yearly(*[(microfarads(value),) for value in values])
    assert store.machine_drifts(Machine(serial="88-042")) == ()


def test_doubtful_numbers_make_no_drift(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    doubt = (Doubt("confusable", "forty and fourteen"),)
    yearly(*[(microfarads(value, doubts=doubt),) for value in ("45", "43", "41", "39", "37")])
    assert store.machine_drifts(Machine(serial="88-042")) == ()


def test_a_drift_is_seen_through_different_units(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    def superheat(value: str, unit: str) -> Reading:
        return microfarads(value, kind=Kind.SUPERHEAT, unit=unit, component="evaporator")

    yearly(
        *[
            (superheat(*pair),)
            for pair in (("9", "delta_degF"), ("6", "delta_degC"), ("13", "delta_degF"), ("16", "delta_degF"))
        ]
    )
    (drift,) = store.machine_drifts(Machine(serial="88-042"))
    assert drift.unit == "delta_degF"
    assert (drift.first, drift.last) == (pytest.approx(8.7, abs=0.6), pytest.approx(15.4, abs=0.8))


def test_a_renewed_component_starts_anew(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    yearly(*[(microfarads(value),) for value in ("45.0", "44.0", "43.0", "42.0")])
    assert store.machine_drifts(Machine(serial="88-042"))
    store.add_visit(
        Visit(
            "",
            "",
            started="2023-06-01T08:00:00Z",
            equipment=(COOLER,),
            site="Corner Larder",
            readings=(microfarads("41"), microfarads("45", phase=Phase.AS_LEFT)),
            work=(WorkDone("replaced", "run capacitor"),),
        ),
        {},
    )
    assert store.machine_drifts(Machine(serial="88-042")) == ()


#: P(S >= s) of Mann's and Kendall's statistic, after Gilbert, 'Statistical Methods for Environmental Pollution
#: Monitoring' (1987), table A18; the figures are from memory
UPPER_TAILS = {
    4: {2: 0.375, 4: 0.167, 6: 0.042},
    5: {2: 0.408, 4: 0.242, 6: 0.117, 8: 0.042, 10: 0.0083},
    6: {3: 0.360, 5: 0.235, 7: 0.136, 9: 0.068, 11: 0.028, 13: 0.0083, 15: 0.0014},
    8: {8: 0.199, 12: 0.089, 16: 0.031, 20: 0.0071},
}


def with_statistic(n: int, s: int) -> list[float]:
    """Return 1..n in an order whose S is ``s``: the biggest number moves left until enough pairs are turned."""
    order = list(range(1, n + 1))
    turned = (n * (n - 1) // 2 - s) // 2
    result: list[int] = []
    for number in order:
        back = min(turned, len(result))
        result.insert(len(result) - back, number)
        turned -= back
    return [float(number) for number in result]


@pytest.mark.parametrize(("n", "s", "tail"), [(n, s, p) for n, tails in UPPER_TAILS.items() for s, p in tails.items()])
def test_chances_are_those_of_the_table(n: int, s: int, tail: float) -> None:
    trend = slope_of([float(place) for place in range(n)], with_statistic(n, s))
    assert trend.chance == pytest.approx(2 * tail, abs=0.0011)


def test_one_wild_value_does_not_turn_the_slope() -> None:
    assert slope_of([0, 1, 2, 3, 4], [10, 11, 99, 13, 14]).slope == pytest.approx(1.0)
    assert slope_of([0, 2, 4], [5, 5, 5]).slope == 0
    assert slope_of([0, 1, 2, 3], [5, 5, 5, 5]).chance == 1
    long = [float(n) for n in range(30)]
    assert slope_of(long, long).chance < 1e-9
    with pytest.raises(ValueError, match="two moments"):
        slope_of([1, 1], [2, 3])


def misheard(value: str, **changes: object) -> Reading:
    evidence = Evidence("r1", 0, 0, 1, 0.0, 1.0, f"capacitor {value}", 0.9)
    return microfarads(value, evidence=evidence, **changes)


def test_the_same_mishearing_is_suggested_and_never_applied(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    first, second, third = yearly((misheard("50"),), (misheard("50"),), (misheard("50"), misheard("40")))
    store.correct(first.code, first.readings[0].id, {"value": "15"}, by="Ola", why="fifteen")
    assert [s.times for s in store.suggestions(second)] == [1]
    store.correct(second.code, second.readings[0].id, {"value": "15"}, by="Ola", why="fifteen")
    (suggestion,) = store.suggestions(third)
    assert (suggestion.reading, suggestion.field, suggestion.now, suggestion.suggested, suggestion.times) == (
        *(third.readings[0].id, "value", "50", "15"),
        2,
    )
    assert suggestion.why == "value 50 was put right to 15 2 times before."
    assert store.visit(third.code) == third
    assert store.suggestions(second) != ()  # handed in as it was, before its correction
    assert store.suggestions(store.visit(second.code)) == ()


def test_confirmations_are_told_beside_a_suggestion(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    doubt = (Doubt("confusable", "fifty and fifteen"),)
    first, second, third = yearly(*[(misheard("50", doubts=doubt),)] * 3)
    store.correct(first.code, first.readings[0].id, {"value": "15"}, by="Ola", why="fifteen")
    store.correct(second.code, second.readings[0].id, {"confirmed": "yes"}, by="Ola", why="it is fifty")
    (suggestion,) = store.suggestions(third)
    assert (suggestion.times, suggestion.kept) == (1, 1)
    assert "confirmed as it is 1 times" in suggestion.why


def test_other_peoples_and_other_kinds_mishearings_are_not_suggested(
    store: Store, yearly: Callable[..., list[Visit]]
) -> None:
    (first,) = yearly((misheard("50"),))
    store.correct(first.code, first.readings[0].id, {"value": "15"}, by="Ola", why="fifteen")
    amps = misheard("50", kind=Kind.CURRENT, unit="ampere")
    assert store.suggestions(replace(first, id="x", readings=(replace(amps, id="r"),))) == ()
    mine = replace(first, id="x", readings=(replace(misheard("50"), id="r"),))
    assert len(store.suggestions(mine)) == 1
    assert store.suggestions(replace(mine, technician="Ana Ruiz")) == ()
    assert store.suggestions(replace(mine, technician=None)) == ()


def test_words_that_were_no_reading_are_suggested_by_their_words(
    store: Store, yearly: Callable[..., list[Visit]]
) -> None:
    first, second = yearly((misheard("50"),), (misheard("50"),))
    store.correct(first.code, first.readings[0].id, {"not a reading": "yes"}, by="Ola", why="a part number")
    assert [suggestion.field for suggestion in store.suggestions(second)] == ["not a reading"]
    assert isinstance(store.suggestions(second)[0], Suggestion)


def test_the_journals_own_corrections_teach_nothing(store: Store, yearly: Callable[..., list[Visit]]) -> None:
    first, second = yearly((misheard("50"),), (misheard("50"),))
    store.correct(first.code, first.readings[0].id, {"value": "15"}, by="journal", why="second listener")
    assert store.suggestions(second) == ()


def test_place_of_ignores_the_order_of_points() -> None:
    one, other = microfarads("1", points=("run", "common")), microfarads("1", points=("common", "run"))
    assert place_of(one) == place_of(other)
