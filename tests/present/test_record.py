"""The record as HTML: well-formed, self-contained, escaped, and right for its reader."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest

from journal.domain.reading import Phase
from journal.domain.verdict import Diagnosis
from journal.domain.visit import Visit, WorkDone
from journal.errors import BadInput
from journal.present.page import Audience
from journal.present.record import visit_html
from tests.builders import a_correction, a_limit, a_note, a_reading, a_recording, a_verdict, a_visit, an_utterance
from tests.present import visits

AUDIENCES: tuple[Audience, ...] = ("technician", "office", "customer")
OGG = b"OggS" + bytes(100)


def parsed(text: str) -> Element:
    """Parse strictly by the HTML standard: any parse error is a failure."""
    tree: Element = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    return tree


def words(node: Element) -> str:
    """Return what is read on the page, without style and script."""
    skip = {part for tag in ("style", "script") for element in node.iter(tag) for part in element.itertext()}
    return " ".join(" ".join(part for part in node.itertext() if part not in skip).split())


def by_class(node: Element, name: str) -> list[Element]:
    return [element for element in node.iter() if name in (element.get("class") or "").split()]


@pytest.mark.parametrize("audience", AUDIENCES)
@pytest.mark.parametrize("make", visits.ALL.values(), ids=visits.ALL)
def test_every_visit_is_well_formed_and_loads_nothing(make: Callable[[], Visit], audience: Audience) -> None:
    text = visit_html(make(), audience=audience)
    page = parsed(text)
    for element in page.iter():
        assert element.tag not in ("link", "iframe", "object", "embed", "img", "base", "form")
        for name, value in element.attrib.items():
            plain = str(name).rsplit("}", 1)[-1]
            assert not plain.startswith("on"), f"{element.tag} has {plain}"
            if plain in ("href", "src", "action", "data"):
                assert value.startswith(("#", "data:")), f"{element.tag} loads {value}"
    style = next(page.iter("style")).text or ""
    assert "@import" not in style
    assert all(url.startswith("data:") for url in re.findall(r"url\(\s*[\"']?([^\"')]+)", style))
    policy = next(m.get("content") or "" for m in page.iter("meta") if m.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none'")
    assert list(page.iter("script")) == []


@pytest.mark.parametrize("audience", AUDIENCES)
def test_hostile_text_is_shown_and_never_run(audience: Audience) -> None:
    text = visit_html(visits.hostile(), audience=audience)
    page = parsed(text)
    assert list(page.iter("script")) == []
    assert "<script>alert" in words(page)
    assert "{{ 7*7 }}" in words(page)


def test_ids_are_unique_and_every_link_arrives() -> None:
    for make in (visits.full, visits.long, visits.everything_wrong):
        page = parsed(visit_html(make()))
        ids = [element.get("id") for element in page.iter() if isinstance(element.tag, str) and element.get("id")]
        assert len(ids) == len(set(ids))
        links = [str(element.get("href")) for element in page.iter("a")]
        assert links or make is visits.everything_wrong
        assert {link.removeprefix("#") for link in links} <= set(ids)


def test_sections_stand_in_the_order_of_the_record() -> None:
    visit = a_visit(
        a_recording(),
        an_utterance("two forty one"),
        a_reading(volt="241"),
        a_reading(volt="240", phase=Phase.AS_LEFT),
        a_reading(volt="230", role="nameplate"),
        a_verdict(),
        a_verdict("undetermined"),
        WorkDone("tightened", "contactor"),
        a_note("follow-up", "back thursday"),
        a_correction("x"),
        complaint="it is warm",
        cautions=("mind the shaft",),
    )
    headings = [words(h) for h in parsed(visit_html(visit)).iter("h2")]
    assert headings == [
        "Complaint",
        "Machine",
        "Readings as found",
        "Verdicts",
        "Work done",
        "As left",
        "Follow-up",
        "Cautions",
        "What is undetermined",
        "Missing from the record",
        "History of changes",
        "Narration, as heard",
    ]


def test_every_reading_shows_its_second_and_its_words() -> None:
    visit = visits.long(40)
    rows = by_class(parsed(visit_html(visit)), "reading")
    assert len(rows) == 40
    for row, reading in zip(rows, visit.readings, strict=True):
        assert reading.evidence is not None
        shown = words(row)
        assert f"{reading.value} V" in shown
        assert reading.evidence.said in shown
        assert words(by_class(row, "clock")[0])


def test_doubt_is_told_in_words_with_its_alternatives_in_place() -> None:
    reading = a_reading(volt="15", doubt="fifteen or fifty?", maybe=("50",))
    page = parsed(visit_html(a_visit(reading, a_recording(), an_utterance("fifteen"))))
    (row,) = by_class(page, "doubtful")[1:]  # the first is its mark on the strip
    assert "needs listening : fifteen or fifty?" in words(row)
    assert words(by_class(row, "other")[0]) == "50 V"


def test_many_alternatives_are_counted_not_listed() -> None:
    reading = a_reading(volt="15", doubt="Not sure.", maybe=tuple("12345678"))
    (row,) = by_class(parsed(visit_html(a_visit(reading))), "doubtful")
    assert "Not sure. May have been 1 V or 2 V or 3 V or 4 V or 5 V or 3 more" in words(row)


def test_verdicts_show_word_shape_bar_sentence_formula_source_and_readings() -> None:
    reading = a_reading(volt="241", points="L1 L2")
    verdict = a_verdict(
        "outside",
        value="241",
        unit="volt",
        limits=(a_limit("187.2", "230", source="plate of the motor"),),
        formula="241 > 230",
        readings=(reading.id,),
        cautions=("mind the shaft",),
        rests_on_doubt=True,
    )
    (row,) = by_class(parsed(visit_html(a_visit(reading, verdict))), "verdict")
    shown = words(row)
    for part in (
        "out of limits",
        "241 > 230",
        "187.2 to 230 V",
        "plate of the motor",
        "241 V L1 to L2",
        "mind the shaft",
    ):
        assert part in shown
    assert "needs listening" in shown
    assert len(by_class(row, "bar")) == 1
    assert by_class(row, "bar")[0].get("aria-label") == "241 V; permitted 187.2 V to 230 V"
    assert by_class(row, "shape")


def test_each_caution_is_said_once_beside_the_verdict_out_of_limits_or_in_its_section() -> None:
    visit = a_visit(
        a_verdict("within", cautions=("mind the shaft",)),
        a_verdict("outside", cautions=("mind the shaft", "hot oil")),
        a_verdict("outside", cautions=("hot oil",)),
        a_verdict("marginal", cautions=("roof edge",)),
        cautions=("lock and tag", "hot oil"),
    )
    page = parsed(visit_html(visit))
    assert all(words(page).count(c) == 1 for c in ("mind the shaft", "hot oil", "roof edge", "lock and tag"))
    assert [words(element) for element in by_class(page, "caution")] == [
        "Caution : mind the shaft",
        "Caution : hot oil",
    ]
    assert [words(element) for element in by_class(page, "cautions")] == ["Cautions lock and tag roof edge"]


def test_the_worst_verdict_stands_first() -> None:
    visit = a_visit(
        *(a_verdict(outcome, title=outcome) for outcome in ("within", "undetermined", "marginal", "outside"))
    )
    titles = [words(element) for element in by_class(parsed(visit_html(visit)), "title")]
    assert titles == ["outside", "marginal", "within", "undetermined"]  # the last in its own section


def test_practice_never_says_out_of_limits() -> None:
    page = words(parsed(visit_html(a_visit(a_verdict("outside", authority="practice")))))
    assert "outside usual practice" in page
    assert "out of limits" not in page


@pytest.mark.parametrize("audience", AUDIENCES)
def test_a_visit_without_readings_says_so(audience: Audience) -> None:
    assert "No reading was understood in this visit." in words(parsed(visit_html(visits.empty(), audience=audience)))


def test_no_page_calls_anything_safe() -> None:
    for make in (visits.empty, visits.full, visits.long, visits.everything_wrong):
        for audience in AUDIENCES:
            assert not re.search(r"\bsafe", words(parsed(visit_html(make(), audience=audience))), re.I)


class TestCustomersCopy:
    def visit(self) -> Visit:
        from journal.judge.cautions import topics

        ground = topics()["compressor terminals"]
        return a_visit(
            a_recording(),
            an_utterance("the manager is a fool"),
            a_reading(ohm="12", points="common ground", said="twelve ohms to ground"),
            a_reading(volt="15", doubt="fifteen or fifty?", maybe=("50",)),
            a_reading(volt="9", withdrawn=True, said="nine no wait"),
            a_verdict(
                "outside",
                check="winding-to-ground",
                component="compressor",
                cautions=(ground.text,),
                formula="12 < 2",
                plain="It has to go.",
            ),
            a_verdict("outside", check="product-temperature", cautions=(topics()["food"].text,)),
            a_verdict("within", check="product-temperature", phase="as left"),
            a_note("internal", "bill them twice"),
            a_note("follow-up", "back thursday"),
            a_correction("x", why="nobody listened"),
            complaint="it is warm",
            cautions=("Lock and tag the disconnect.",),
        )

    def test_holds_no_transcript_sound_or_internal_note(self) -> None:
        visit = self.visit()
        text = visit_html(visit, audience="customer")
        assert list(parsed(text).iter("audio")) == []
        for hidden in (
            "fool",
            "twelve ohms",
            "bill them",
            "nobody listened",
            "nine no wait",
            "12 &lt; 2",
            "Lock and tag",
        ):
            assert hidden not in text
        with pytest.raises(BadInput, match="no sound"):
            visit_html(visit, audience="customer", sound=OGG)

    def test_keeps_what_a_customer_needs(self) -> None:
        shown = words(parsed(visit_html(self.visit(), audience="customer")))
        for kept in ("it is warm", "12 Ω", "common to ground", "It has to go.", "out of limits", "back thursday"):
            assert kept in shown

    def test_names_only_the_hazards_left_behind(self) -> None:
        from journal.judge.cautions import topics

        shown = words(parsed(visit_html(self.visit(), audience="customer")))
        assert topics()["compressor terminals"].left_behind in shown
        assert topics()["compressor terminals"].text not in shown
        assert topics()["food"].left_behind not in shown  # mended: within limits as left

    def test_warns_of_a_number_that_is_not_sure(self) -> None:
        assert "not sure : still to be confirmed" in words(parsed(visit_html(self.visit(), audience="customer")))

    def test_shows_the_word_of_the_person_who_overruled(self) -> None:
        verdict = a_verdict("outside", plain="It has to go.", value="1", unit="volt", limits=(a_limit("2"),))
        cause = Diagnosis("compressor grounded", "few ohms", "a better test", id="d1")
        rulings = (
            a_correction(
                verdict.id, field="overruled", before="out of limits", after="the motor is sound", why="wet leads"
            ),
            a_correction(
                "d1", field="overruled", before="compressor grounded", after="wet terminal box", why="dried it"
            ),
        )
        visit = a_visit(verdict, cause, *rulings)
        customer = words(parsed(visit_html(visit, audience="customer")))
        office = words(parsed(visit_html(visit)))
        for shown in ("in Ines Okafor's judgement", "the motor is sound", "wet terminal box"):
            assert shown in customer
        for hidden in ("out of limits", "It has to go.", "compressor grounded", "wet leads"):
            assert hidden not in customer
        for shown in (
            "out of limits",
            "It has to go.",
            "compressor grounded",
            "overruled by Ines Okafor: the motor is sound",
        ):
            assert shown in office
        assert "because wet leads" in office


def test_readings_without_ids_keep_their_own_words() -> None:
    readings = [
        a_reading(volt=str(n), said=f"said {n}", id="-").with_(id="", heard_by=("by hand: me",)) for n in (1, 2)
    ]
    rows = by_class(parsed(visit_html(a_visit(*readings))), "reading")
    assert ["1 V" in words(rows[0]), "said 2" in words(rows[1])] == [True, True]


def test_a_corrected_reading_says_what_it_was_and_who_changed_it() -> None:
    reading = a_reading(volt="50", heard_by=("by hand: Ruth Abara",))
    page = words(parsed(visit_html(a_visit(reading, a_correction(reading.id, before="15", after="50")))))
    assert "added by hand: Ruth Abara; value corrected by Ines Okafor, was 15" in page


class TestSound:
    def visit(self) -> Visit:
        return a_visit(
            a_recording(), an_utterance("two forty one"), a_reading(volt="241", at=41.25), a_reading(volt="1", at=None)
        )

    def test_is_embedded_and_every_mark_plays_its_seconds(self, tmp_path: Path) -> None:
        file = tmp_path / "r1.opus"
        file.write_bytes(OGG)
        for sound in (OGG, file, {"r1": file}):
            page = parsed(visit_html(self.visit(), sound=sound))
            (player,) = page.iter("audio")
            kind, data = str(player.get("src")).split(",", 1)
            assert kind == "data:audio/ogg;base64"
            assert base64.b64decode(data) == OGG
            assert player.get("id") == "sound-r1"
            plays = [element.get("data-play") for element in page.iter() if isinstance(element.tag, str)]
            assert plays.count("r1 41.25 41.65") == 2  # its mark on the strip and its time in the margin

    def test_only_the_script_that_was_written_for_it_may_run(self) -> None:
        page = parsed(visit_html(self.visit(), sound=OGG))
        (script,) = page.iter("script")
        digest = base64.b64encode(hashlib.sha256((script.text or "").encode()).digest()).decode()
        policies = [m.get("content") or "" for m in page.iter("meta") if m.get("http-equiv")]
        assert f"script-src 'sha256-{digest}'" in policies[0]

    @pytest.mark.parametrize(
        ("start", "kind"),
        [
            (b"fLaC", "audio/flac"),
            (b"RIFF\0\0\0\0WAVE", "audio/wav"),
            (b"ID3", "audio/mpeg"),
            (b"\0\0\0\x20ftypM4A ", "audio/mp4"),
        ],
    )
    def test_kinds_are_told_by_the_files_beginning(self, start: bytes, kind: str) -> None:
        assert f'src="data:{kind};base64,' in visit_html(self.visit(), sound=start + bytes(20))

    def test_unknown_kinds_and_visits_without_recording_are_one_sentence(self) -> None:
        with pytest.raises(BadInput, match="browsers do not play"):
            visit_html(self.visit(), sound=b"hello")
        with pytest.raises(BadInput, match="no recording"):
            visit_html(a_visit(), sound=OGG)


def test_a_long_visit_stays_small_and_quick_to_read() -> None:
    text = visit_html(visits.long())
    assert len(by_class(parsed(text), "reading")) == 300
    assert len(text) < 700_000


def test_numbers_keep_their_digits_and_ranges_their_ends() -> None:
    page = words(
        parsed(
            visit_html(
                a_visit(
                    a_reading(volt="24.30"),
                    a_reading(degF="-5"),
                    a_reading(unit="volt", low="208", high="230", role="nameplate"),
                    a_reading(unit="megaohm", low="2", role="expected"),
                    a_reading(kind="voltage", state="absent"),
                    a_reading(delta_degF="31", kind="superheat", hedged=True),
                )
            )
        )
    )
    for shown in ("24.30 V", "−5 °F", "208 to 230 V", "more than 2 MΩ", "no voltage", "about 31 °F"):
        assert shown in page
    assert "superheat" in page
