"""Named facts that are spoken: each as a careful colleague would write it down; none becomes a reading."""

from __future__ import annotations

from dataclasses import replace

import pytest

from journal.domain.kind import Kind
from journal.domain.speech import Utterance, utterance_of
from journal.domain.visit import Equipment, Field, Interpretation, Known
from journal.interpret import interpret
from journal.interpret.agreement import agree
from journal.interpret.seen.known import choose, normal

KNOWN = Known(
    ("Quillwort Bakery", "Quillwort Depot", "Store 112", "Sawyer Lane Dairy, Inc."), ("Moss & Fern", "Hedgerow Foods")
)


def heard(text: str, index: int = 0, by: str = "vosk") -> Utterance:
    return replace(utterance_of(text, index=index), heard_by=by)


def understood(*lines: str, known: Known | None = None, by: str = "vosk") -> Interpretation:
    return interpret([heard(line, index, by) for index, line in enumerate(lines)], known=known)


@pytest.mark.parametrize(
    ("said", "name", "value", "doubted"),
    [
        ("work order two two three one", "work order", "2231", True),
        ("purchase order number eighty eight dash forty one", "purchase order", "88-41", True),
        ("not to exceed nine hundred dollars", "not to exceed", "900 dollars", False),
        ("authorized by mrs lindqvist and then i went up", "authorized by", "mrs lindqvist", True),
        ("this one's not under warranty", "warranty", "no", False),
        ("it's a warranty call", "warranty", "yes", False),
        ("emergency call", "labour kind", "emergency", False),
        ("arrived at eight ten", "arrived", "8:10", False),
        ("got here at a quarter past eight", "arrived", "8:15", False),
        ("arrived at eight oh five a m", "arrived", "08:05", False),
        ("got here at two thirty in the afternoon", "arrived", "14:30", False),
        ("leaving at ten to eleven", "left", "10:50", False),
        ("leaving at twelve o'clock", "left", "12:00", False),
        ("arrival twelve twenty p m", "arrived", "12:20", False),
        ("travel time thirty five minutes and twenty two miles", "travel", "35 min, 22 miles", False),
        ("old compressor serial number q x seven seven one eight", "removed part serial", "QX7718", True),
        ("date code nineteen twenty two", "removed part date code", "1922", True),
        ("old part is the start relay", "removed part", "the start relay", True),
        ("put one in off the truck", "part from", "truck", False),
        ("quoted the customer a new compressor", "quoted", "a new compressor", True),
        ("customer declined the door gasket", "declined", "the door gasket", True),
        ("cylinder number r two dash zero seven seven", "cylinder", "R2-077", True),
        ("my certificate is u five oh eight eight one two", "certificate", "U508812", True),
        ("found the leak at the suction service valve", "leak found at", "the suction service valve", True),
        ("left it running", "how it was left", "running", False),
        ("locked out and tagged", "how it was left", "locked out and tagged", False),
        ("told the manager", "who was told", "the manager", False),
        ("i told mrs lindqvist", "who was told", "mrs lindqvist", True),
        ("contact on site is dana", "contact", "dana", True),
    ],
)
def test_what_is_said(said: str, name: str, value: str, doubted: bool) -> None:
    whole = understood(said)
    (fact,) = [fact for fact in whole.fields if fact.name == name]
    assert (fact.value, fact.source, bool(fact.doubts)) == (value, "said", doubted)
    assert fact.evidence is not None
    assert whole.readings == ()
    assert all(machine.serial is None for machine in whole.equipment), "the old part's serial is not the machine's"


@pytest.mark.parametrize(
    "said",
    [
        "work order says the freezer is warm", "arrived and looked around", "set point left at thirty eight",
        "the warranty on these is short", "i told them to replace it", "travel on that valve is short",
        "i'm at the condensing unit", "customer is complaining it's warm", "this is the compressor",
    ],
)  # fmt: skip
def test_what_is_no_fact(said: str) -> None:
    assert understood(said, known=KNOWN).fields == ()


def test_facts_and_readings_in_one_breath() -> None:
    whole = understood("arrived at ten fifteen work order four four one nine common to run one point four ohms")
    assert [(fact.name, fact.value) for fact in whole.fields] == [("arrived", "10:15"), ("work order", "4419")]
    (ohms,) = whole.readings
    assert (ohms.kind, str(ohms.value)) == (Kind.RESISTANCE, "1.4")


def test_typed_facts_are_not_doubted_and_take_any_clock() -> None:
    whole = understood("arrived 8:10", "work order WO-2231", "authorized by M. Lindqvist", by="typed")
    assert [(fact.name, fact.value, fact.doubts) for fact in whole.fields] == [
        ("arrived", "8:10", ()), ("work order", "WO-2231", ()), ("authorized by", "M. Lindqvist", ()),
    ]  # fmt: skip


def test_the_last_mention_holds_and_several_are_kept_where_there_may_be_several() -> None:
    whole = understood(
        "arrived at eight ten", "arrived at eight twenty", "customer declined the gasket", "they declined the motor"
    )
    assert [(fact.name, fact.value) for fact in whole.fields] == [
        ("arrived", "8:20"), ("declined", "the gasket"), ("declined", "the motor"),
    ]  # fmt: skip


class TestKnownNames:
    @pytest.mark.parametrize(
        ("said", "name"),
        [
            ("i'm at quillwort bakery", "Quillwort Bakery"), ("this is the quillwort depot job", "Quillwort Depot"),
            ("i'm at the quillwort bakery suction is sixty", "Quillwort Bakery"),
            ("we're at store one twelve", "Store 112"),
            ("arrived at sawyer lane dairy", "Sawyer Lane Dairy, Inc."),
            ("site is QUILLWORT BAKERY", "Quillwort Bakery"),
        ],
    )  # fmt: skip
    def test_a_known_site_is_chosen(self, said: str, name: str) -> None:
        (fact,) = understood(said, known=KNOWN).fields
        assert (fact.name, fact.value, fact.source, fact.doubts) == ("site", name, "chosen", ())

    def test_a_known_customer_is_chosen(self) -> None:
        (fact,) = understood("customer is moss and fern", known=KNOWN).fields
        assert (fact.name, fact.value, fact.source, fact.doubts) == ("customer", "Moss & Fern", "chosen", ())

    @pytest.mark.parametrize(
        ("said", "name"),
        [
            ("i'm at quillward bakery", "Quillwort Bakery"), ("this is the quilwort baker job", "Quillwort Bakery"),
            ("i'm at quillwort", "Quillwort Bakery"), ("bill to hedge row food", "Hedgerow Foods"),
        ],
    )  # fmt: skip
    def test_what_is_only_like_a_known_name_is_a_doubted_suggestion(self, said: str, name: str) -> None:
        (fact,) = understood(said, known=KNOWN).fields
        assert (fact.value, fact.source) == (name, "said")
        (doubt,) = fact.doubts
        assert name in doubt.why

    def test_two_names_alike_are_both_told(self) -> None:
        (fact,) = understood("i'm at quillwort", known=KNOWN).fields
        assert "Quillwort Bakery or Quillwort Depot" in fact.doubts[0].why

    def test_an_unknown_name_counts_only_where_it_is_announced(self) -> None:
        (fact,) = understood("customer name is pine and sons", known=KNOWN).fields
        assert (fact.name, fact.value, fact.doubts[0].code) == ("customer", "pine and sons", "unknown name")
        assert understood("i'm at pine and sons", known=KNOWN).fields == ()

    def test_nothing_is_known(self) -> None:
        assert understood("i'm at quillwort bakery").fields == ()

    def test_names_that_read_the_same_are_never_chosen(self) -> None:
        choice = choose(["pine", "street"], ["Pine Street", "PINE STREET, Ltd"])
        assert choice is not None
        assert (choice.sure, len(choice.names)) == (False, 2)

    @pytest.mark.parametrize(
        ("one", "other"),
        [
            ("store one twelve", "store 112"), ("store twenty six", "store 26"),
            ("the moss & fern", "moss and fern"), ("unit four oh two", "unit 402"),
        ],
    )  # fmt: skip
    def test_how_names_are_compared(self, one: str, other: str) -> None:
        assert normal(one.split()) == normal(other.split())

    def test_other_scripts_and_marks(self) -> None:
        known = Known(("Šárka's Café", "冷凍 12"), ())
        (fact,) = understood("i'm at šárka's café", known=known).fields
        assert fact.value == "Šárka's Café"
        assert choose(["..."], known.sites) is None
        assert choose([], known.sites) is None


def test_listeners_that_heard_different_facts() -> None:
    first, second = understood("work order two two three one"), understood("work order two two three nine")
    (fact,) = agree(first, second, (), [utterance_of("x")]).fields
    assert fact.value == "2239"
    assert "2231" in fact.doubts[-1].why
    (same,) = agree(first, understood("work order 2231"), (), [utterance_of("x")]).fields
    assert [doubt.code for doubt in same.doubts] == ["spelled"]


def test_a_fact_of_a_machine_belongs_to_the_one_spoken_of() -> None:
    machine = Equipment("walk-in freezer")
    whole = interpret(
        [heard("now the walk-in freezer"), heard("old compressor serial q x seven seven", 1)], equipment=(machine,)
    )
    (fact,) = whole.fields
    assert isinstance(fact, Field)
    assert fact.equipment == "walk-in freezer"
