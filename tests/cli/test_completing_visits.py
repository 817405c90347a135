"""Filling in, adding to, overruling, blanking: what makes a stored visit complete and right."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from journal.domain.visit import Recording, Visit
from journal.keep import Store
from tests.cli.running import Ran, run

Typed = tuple[Path, str]


def shown(typed: Typed) -> Any:
    return run("show", typed[1], "--store", typed[0], "--json").json()


def do(typed: Typed, command: str, *words: object) -> Ran:
    return run(command, typed[1], *words, "--store", typed[0])


def one_sentence(ran: Ran, code: int = 2) -> str:
    assert ran.code == code, ran
    (line,) = [line for line in ran.err.splitlines() if line.strip()]
    return line


class TestFilling:
    def test_without_words_it_lists_names_and_what_is_missing(self, typed: Typed) -> None:
        out = do(typed, "fill").out
        for words in ("work order", "e.g. WO-2231", "Missing from the record", "the machine's model"):
            assert words in out

    def test_facts_of_the_visit_and_of_its_machine(self, typed: Typed) -> None:
        ran = do(
            typed, "fill", "work order=WO-9", "how-it-was-left=running", "charge=150 lb", "model=NV-2", "--by", "Ann"
        )
        assert ran.code == 0, ran.err
        visit = shown(typed)
        facts = {fact["name"]: (fact["value"], fact["source"]) for fact in visit["fields"]}
        assert facts == {"work order": ("WO-9", "typed"), "how it was left": ("running", "typed")}
        (machine,) = visit["equipment"]
        assert (machine["model"], machine["charge"], machine["charge_unit"]) == ("NV-2", 150, "pound")
        missing = {item["place"]: item["word"] for item in visit["missing"]["items"]}
        assert missing["field.certificate"] == "demanded", "R-448A, 150 lb, 2026: 40 CFR 84.106"
        assert "equipment.charge" not in missing
        assert missing["field.arrived"] == "", "a work order makes it a visit to bill"

    def test_changing_a_fact_is_a_correction_with_its_reason(self, typed: Typed) -> None:
        assert do(typed, "fill", "arrived=08:10").code == 0
        assert "--why" in one_sentence(do(typed, "fill", "arrived=08:20"))
        assert do(typed, "fill", "arrived=08:10").code == 0, "the same again changes nothing"
        assert do(typed, "fill", "arrived=08:20", "--why", "misread").code == 0
        (correction,) = [c for c in shown(typed)["corrections"] if c["field"] == "value"]
        assert (correction["before"], correction["after"], correction["why"]) == ("08:10", "08:20", "misread")

    def test_notes_and_a_new_machine(self, typed: Typed) -> None:
        ran = do(typed, "fill", "conclusion=relay welded", "--machine", "ice machine", "serial=IM-1")
        assert ran.code == 0, ran.err
        visit = shown(typed)
        assert ("conclusion", "relay welded") in {(note["topic"], note["text"]) for note in visit["notes"]}
        assert {machine["name"]: machine["serial"] for machine in visit["equipment"]}["ice machine"] == "IM-1"
        assert "which machine" in one_sentence(do(typed, "fill", "model=X")), "there are two now"

    @pytest.mark.parametrize(
        ("word", "said"),
        [
            ("work oder=3", "'work order'"),
            ("rubbish", "NAME=VALUE"),
            ("charge=much", "12.5 lb"),
            ("arrived=", "NAME=VALUE"),
        ],
    )
    def test_what_cannot_be_filled_in(self, typed: Typed, word: str, said: str) -> None:
        assert said in one_sentence(do(typed, "fill", word))


class TestAdding:
    def test_typed_lines_are_understood_and_judged_with_the_rest(self, typed: Typed, tmp_path: Path) -> None:
        before = shown(typed)
        notes = tmp_path / "later.txt"
        notes.write_text("as left common to run one point five ohms\n\n", encoding="utf-8")
        ran = do(typed, "add", notes, "--say", "run cap reads thirty nine point eight", "--json")
        assert ran.code == 0, ran.err
        visit = ran.json()
        assert len(visit["utterances"]) == len(before["utterances"]) + 2
        assert [u["index"] for u in visit["utterances"]] == list(range(len(visit["utterances"])))
        assert {"1.5", "39.8"} <= {str(reading["value"]) for reading in visit["readings"]}
        assert run("verify", "--store", typed[0]).code == 0

    @pytest.mark.usefixtures("speech_model")
    def test_a_later_recording(self, typed: Typed, tmp_path: Path) -> None:
        sound = tmp_path / "later.wav"
        soundfile.write(sound, 0.01 * np.sin(np.arange(16000) / 20), 16000)
        ran = do(typed, "add", sound, "--json")
        assert ran.code == 0, ran.err
        (recording,) = ran.json()["recordings"]
        assert (recording["name"], recording["original_name"]) == ("r1", "later.wav")
        assert "already, as r1" in one_sentence(do(typed, "add", sound)), "the same sound is not added twice"

    def test_nothing_to_add_and_a_signed_off_visit(self, typed: Typed, tmp_path: Path) -> None:
        assert "Nothing was given" in one_sentence(do(typed, "add"))
        assert "not there" in one_sentence(do(typed, "add", tmp_path / "gone.txt"))
        assert "lacks" in do(typed, "sign-off").out
        assert "signed off" in one_sentence(do(typed, "add", "--say", "box is at 36"))


class TestOverruling:
    def number(self, typed: Typed, outcome: str) -> int:
        return next(n for n, v in enumerate(shown(typed)["verdicts"], 1) if v["outcome"] == outcome)

    def test_both_stay_and_the_customer_reads_the_persons(self, typed: Typed) -> None:
        number = self.number(typed, "outside")
        assert f"V{number}" in do(typed, "show").out
        ran = do(typed, "overrule", f"V{number}", "leads were wet", "--why", "dried them", "--by", "Ines")
        assert ran.code == 0, ran.err
        visit = shown(typed)
        assert visit["verdicts"][number - 1]["outcome"] == "outside"
        assert visit["corrections"][-1]["after"] == "leads were wet"
        customer = do(typed, "export", "--for", "customer", "-o", "-").out
        assert "leads were wet" in customer
        assert "dried them" not in customer

    @pytest.mark.parametrize(
        ("words", "said"),
        [
            (("V99", "x", "--why", "y"), "V1 to V"),
            (("7", "x", "--why", "y"), "V1, V2"),
            (("V1", "x"), "says why"),
            (("C9", "x", "--why", "y"), "C"),
        ],
    )
    def test_what_cannot_be_overruled(self, typed: Typed, words: tuple[str, ...], said: str) -> None:
        assert said in one_sentence(do(typed, "overrule", *words))


class TestBlanking:
    def test_words_of_a_typed_line(self, typed: Typed) -> None:
        ran = do(typed, "blank", "--note", 6, "--words", "5-8", "--why", "an access code", "--by", "Ann")
        assert ran.code == 0, ran.err
        words = [word["text"] for word in shown(typed)["utterances"][5]["words"]]
        assert words == ["the", "gate", "code", "is", *["[blanked]"] * 4]
        assert run("verify", "--store", typed[0]).code == 0
        assert run("search", "nine seven", "--store", typed[0]).code == 1
        assert "because an access code" in " ".join(do(typed, "show").out.split())

    def test_a_reading_by_its_number(self, typed: Typed) -> None:
        before = shown(typed)["readings"]
        assert do(typed, "blank", "--part", 1, "--why", "not ours").code == 0
        assert [r["id"] for r in shown(typed)["readings"]] == [r["id"] for r in before[1:]]

    @pytest.mark.usefixtures("speech_model")
    def test_seconds_of_a_recording_are_silent_afterwards(self, typed: Typed, tmp_path: Path) -> None:
        sound = tmp_path / "hum.wav"
        soundfile.write(sound, 0.2 * np.sin(np.arange(4 * 16000) / 20), 16000)
        assert do(typed, "add", sound).code == 0
        assert do(typed, "blank", "--from", "0:01", "--to", "2.5", "--why", "a private call").code == 0
        (recording,) = shown(typed)["recordings"]
        samples, rate = soundfile.read(typed[0] / recording["file"])
        assert len(samples) == 4 * 16000
        assert np.abs(samples[int(1.01 * rate) : int(2.49 * rate)]).max() == 0
        assert np.abs(samples[: int(0.99 * rate)]).max() > 0.1
        assert np.abs(samples[int(2.51 * rate) :]).max() > 0.1
        assert run("verify", "--store", typed[0]).code == 0

    @pytest.mark.parametrize(
        ("words", "said"),
        [
            (("--from", "1", "--to", "2"), "says why"),
            (("--why", "x"), "what to blank"),
            (("--from", "1", "--why", "x"), "both ends"),
            (("--from", "soon", "--to", "2", "--why", "x"), "recording"),
            (("--note", "99", "--why", "x"), "typed lines"),
            (("--note", "1", "--words", "9-40", "--why", "x"), "names no words"),
            (("--part", "W99", "--why", "x"), "W1 to W"),
        ],
    )
    def test_what_cannot_be_blanked(self, typed: Typed, words: tuple[str, ...], said: str) -> None:
        assert said in one_sentence(do(typed, "blank", *words))


def test_parts_are_corrected_by_their_numbers(typed: Typed) -> None:
    listed = do(typed, "correct").out
    for words in ("V1", "W1", "N1", "journal correct"):
        assert words in listed
    number = next(n for n, w in enumerate(shown(typed)["work"], 1) if w["action"] == "added")
    assert do(typed, "correct", f"W{number}", "amount=2.5", "--why", "the scale").code == 0
    assert shown(typed)["work"][number - 1]["amount"] == 2.5


def test_words_after_options_still_belong_to_the_command(typed: Typed) -> None:
    ran = run("correct", "--store", typed[0], typed[1], "--why", "heard again", "1", "value=41", "--by", "Ines")
    assert ran.code == 0, ran.err
    assert run("fill", typed[1], "--store", typed[0], "arrived=08:10").code == 0
    assert run("history", "--kind", "capacitance", "--store", typed[0], typed[1]).code == 0
    assert run("show", typed[1], "--store", typed[0], "surplus").code == 2
    assert run("fill", typed[1], "--store", typed[0], "--surplus").code == 2


def test_earlier_corrections_are_suggested_and_never_applied(typed: Typed) -> None:
    from journal.keep import Store
    from tests.cli.conftest import LINES, typed_visit

    number = next(n for n, r in enumerate(shown(typed)["readings"], 1) if r["value"] == 36.5)
    assert do(typed, "correct", number, "value=39.5", "--why", "heard again").code == 0
    with Store.open(typed[0]) as store:
        later = store.add_visit(typed_visit(*LINES, started="2026-04-02T08:00:00+00:00"), {})
    for command in ("show", "correct"):
        out = " ".join(run(command, later.code, "--store", typed[0]).out.split())
        assert "earlier: value 36.5 was put right to 39.5 once before." in out
    assert 36.5 in [r["value"] for r in run("show", later.code, "--store", typed[0], "--json").json()["readings"]]


class TestReleasing:
    def test_what_is_let_out_is_written_down(self, typed: Typed, tmp_path: Path) -> None:
        copy = tmp_path / "copy.html"
        customer = ("--for", "customer", "-o", copy, "--by", "Ann")
        assert do(typed, "export", *customer).code == 0
        assert "released" not in do(typed, "show", "--log").out, "a plain customer's copy lets nothing out"
        assert do(typed, "export", *customer, "--release", "transcript").code == 0
        *_, line = do(typed, "show", "--log", "--json").json()
        assert (line["action"], line["by"]) == ("released to the customer", "Ann")
        assert line["why"] == f"transcript; html, SHA-256 {hashlib.sha256(copy.read_bytes()).hexdigest()}"
        assert run("verify", "--store", typed[0]).code == 0

    def test_what_cannot_be_written_down_is_not_let_out(self, typed: Typed, tmp_path: Path) -> None:
        copy = tmp_path / "copy.html"
        ran = do(typed, "export", "--for", "customer", "-o", copy, "--release", "notes", "--by", "x" * 999)
        assert "letters" in one_sentence(ran)
        assert not copy.exists()


@pytest.fixture
def recorded(typed: Typed, tmp_path: Path) -> Typed:
    """The visit with ten seconds of sound; nobody has to hear it."""
    sound = tmp_path / "ten.wav"
    soundfile.write(sound, np.zeros(160_000), 16_000)
    recording = Recording("r1", "", "ten.wav", "", seconds=10.0, rate=16_000, channels=1, model="none")
    with Store.open(typed[0]) as store:
        store.extend(typed[1], Visit("", "", recordings=(recording,)), {"r1": sound}, by="Ann")
    return typed


@pytest.mark.parametrize("line", ["x" * 3_000, "common to run \x1b[31m 1.4 ohms", "a\x00b"])
def test_a_typed_line_is_a_line(typed: Typed, line: str) -> None:
    one_sentence(do(typed, "add", "--say", line))


class TestReadingsByHand:
    def test_a_reading_at_its_moment(self, recorded: Typed) -> None:
        ran = do(
            recorded, "add", "--say", "common to run 1.4 ohms", "--at", "0:01", "--why", "not heard", "--by", "Ann"
        )
        assert ran.code == 0, ran.err
        (by_hand,) = [r for r in shown(recorded)["readings"] if r["heard_by"] == ["by hand: Ann"]]
        assert (by_hand["value"], by_hand["unit"], by_hand["points"]) == (1.4, "ohm", ["common", "run"])
        assert (by_hand["recording"], by_hand["start"]) == ("r1", 1.0)
        assert "by hand" in " ".join(do(recorded, "show").out.split())
        *_, line = do(recorded, "show", "--log", "--json").json()
        assert (line["action"], line["by"], line["why"]) == ("reading added by hand", "Ann", "not heard")

    @pytest.mark.parametrize(
        ("words", "says"),
        [
            (("--say", "common to run 1.4 ohms", "--at", "0:01"), "why"),
            (("--say", "common to run 1.4 ohms", "--at", "9:00:00", "--why", "x"), "seconds long"),
            (("--say", "common to run 1.4 ohms", "--at", "soon", "--why", "x"), "no moment"),
            (("--say", "hello there", "--at", "0:01", "--why", "x"), "No reading"),
            (("--say", "run cap minus 5 microfarads", "--at", "0:01", "--why", "x"), "never below nothing"),
            (("--at", "0:01", "--why", "x"), "one line"),
            (("--say", "common to run 1.4 ohms", "--at", "0:01", "--why", "x", "--recording", "r9"), "which recording"),
        ],
    )
    def test_what_cannot_be_added(self, recorded: Typed, words: tuple[str, ...], says: str) -> None:
        assert says in one_sentence(do(recorded, "add", *words))
