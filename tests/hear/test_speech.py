"""Real recordings through the carried model: times, ends, and figures that may not get worse."""

from __future__ import annotations

import csv
import random
import re
import tomllib
from itertools import islice
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from numpy.typing import NDArray

from journal.domain.speech import Utterance
from journal.hear.audio import SAMPLE_RATE, chunks
from journal.hear.endpointer import EndRule
from journal.hear.second_listener import SecondListener, find_whisper, hear_again
from journal.hear.sound_file import write_flac
from journal.hear.vosk_recogniser import VoskModel, transcribe
from journal.interpret.prompt import listening_prompt
from tests.conftest import Require
from tests.demo_scoring import load_demo
from tests.hear.ends import LONGEST, STEP, reserved_orders, seconds_open

FIGURES = tomllib.loads(Path(__file__).with_name("figures.toml").read_text(encoding="utf-8"))
CONNECTED = "one zero zero zero one nine oh two one oh zero one eight zero three"


def heard(model: VoskModel, samples: NDArray[np.int16], alternatives: int = 0) -> list[Utterance]:
    listener = model.recogniser(alternatives=alternatives)
    utterances = []
    for first in range(0, len(samples), STEP):
        utterances += listener.accept(samples[first : first + STEP])
    return utterances + listener.finish()


def words_of(utterances: list[Utterance]) -> list[str]:
    return [word.text.replace("oh", "zero") for utterance in utterances for word in utterance.words]


def errors(reference: list[str], found: list[str]) -> int:
    """Levenshtein distance over words."""
    row = list(range(len(found) + 1))
    for i, want in enumerate(reference, start=1):
        diagonal, row[0] = row[0], i
        for j, got in enumerate(found, start=1):
            diagonal, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, diagonal + (want != got))
    return row[-1]


def quiet(seconds: float, seed: int = 0) -> NDArray[np.int16]:
    return np.random.default_rng(seed).normal(0, 15, int(seconds * SAMPLE_RATE)).astype(np.int16)


@pytest.fixture(scope="module")
def spoken() -> NDArray[np.int16]:
    """Eight seconds of a demo recording with speech in them."""
    visit = next(visit for visit in load_demo() if visit.folder.name == "grounded-compressor")
    return np.concatenate(list(chunks(visit.recording)))[: 8 * SAMPLE_RATE]


def test_words_carry_times_confidences_and_rivals(speech_model: VoskModel, spoken: NDArray[np.int16]) -> None:
    sound = np.concatenate([quiet(1.0), spoken, quiet(3.0)])
    utterances = heard(speech_model, sound, alternatives=3)
    words = [word for utterance in utterances for word in utterance.words]
    assert len(words) > 5
    assert all(0 <= word.confidence <= 1 for word in words)
    assert words[0].start > 0.9
    assert words[-1].end < 9.6
    assert any(utterance.alternatives for utterance in utterances)
    for utterance in utterances:
        texts = [other.text for other in utterance.alternatives]
        assert len(texts) == len(set(texts)) <= 3
        assert utterance.text not in texts
        scores = [other.score for other in utterance.alternatives]
        assert scores == sorted(scores, reverse=True)
        for other in utterance.alternatives:
            assert utterance.start - 0.5 <= other.words[0].start
            assert other.words[-1].end <= utterance.end + 0.5
    assert heard(speech_model, sound) == utterances, "the second pass changes no word"


def test_times_stay_right_across_ends(speech_model: VoskModel, spoken: NDArray[np.int16]) -> None:
    pause = quiet(6.0)
    once = heard(speech_model, np.concatenate([spoken, pause]))
    twice = heard(speech_model, np.concatenate([spoken, pause, spoken, pause]))
    shift = (len(spoken) + len(pause)) / SAMPLE_RATE
    later = [utterance for utterance in twice if utterance.start >= shift - 0.5]
    assert later, "the second half was heard"
    assert later[0].start - once[0].start == pytest.approx(shift, abs=0.3)
    assert [u.index for u in twice] == list(range(len(twice)))


def test_words_come_at_the_seconds_they_were_spoken_whatever_ended_them(
    speech_model: VoskModel, speech_data: Path
) -> None:
    """Digits laid at known seconds; the rule ends some utterances itself, long before the engine asks."""
    with (speech_data / "digits" / "manifest.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["speaker"] == "lucas" and row["text"] != "zero"]
    sound, rate = soundfile.read(speech_data / rows[0]["file"], dtype="float32")
    samples = quiet(30.0)
    places = [1.0, 3.5, 4.6, 9.0, 12.5, 13.4, 17.0, 24.0]
    for place, row in zip(places, rows[:: len(rows) // len(places)], strict=False):
        digit = soxr.resample(sound[int(row["start"]) :][: int(row["frames"])], rate, SAMPLE_RATE)
        digit = digit[np.argmax(np.abs(digit) > 0.1 * np.abs(digit).max()) :]  # from where it can be heard
        first = round(place * SAMPLE_RATE)
        samples[first : first + len(digit)] += (digit / np.abs(digit).max() * 16000).astype(np.int16)
    for rule in (EndRule(), EndRule(agreed=0.3, forced=0.4, insisted=0.1)):
        listener = speech_model.recogniser(alternatives=0, rule=rule)
        utterances = listener.accept(samples) + listener.finish()
        found = [word.start for utterance in utterances for word in utterance.words]
        late = [place for place in places if not any(abs(start - place) < 0.3 for start in found)]
        assert len(utterances) >= 4
        assert not late, (late, found)


def similar(a: list[Utterance], b: list[Utterance]) -> float:
    """Share of the words of ``a`` that ``b`` has too, in order."""
    ours, theirs = ([word.text for one in some for word in one.words] for some in (a, b))
    return 1 - errors(ours, theirs) / len(ours)


def test_telephone_and_studio_are_heard_like_the_recording_itself(
    speech_model: VoskModel, spoken: NDArray[np.int16], tmp_path: Path
) -> None:
    """8 kHz takes the upper half of the spectrum away; 48 kHz stereo must lose nothing."""
    whole = np.concatenate([quiet(0.5), spoken, quiet(1.5)])
    wave = whole / 32768
    as_it_is = heard(speech_model, whole)
    studio, telephone, clipped = (tmp_path / f"{name}.wav" for name in ("studio", "telephone", "clipped"))
    wide = soxr.resample(wave, SAMPLE_RATE, 48_000)
    soundfile.write(studio, np.stack([wide, wide], axis=1), 48_000, subtype="PCM_24")
    soundfile.write(telephone, soxr.resample(wave, SAMPLE_RATE, 8_000), 8_000, subtype="ULAW")
    soundfile.write(clipped, np.clip(wave * 10 ** (12 / 20), -1, 1), SAMPLE_RATE)
    figure = FIGURES["same_words"]
    for name, path in (("studio", studio), ("telephone", telephone), ("clipped", clipped)):
        share = similar(as_it_is, heard(speech_model, np.concatenate(list(chunks(path)))))
        assert share >= figure[name], name


def test_silence_has_no_words(speech_model: VoskModel) -> None:
    assert heard(speech_model, quiet(30.0)) == []
    assert heard(speech_model, np.zeros(5 * SAMPLE_RATE, dtype=np.int16)) == []


def test_connected_digits(speech_model: VoskModel, speech_data: Path) -> None:
    samples = np.concatenate(list(chunks(speech_data / "connected_digits.wav")))
    found = words_of(heard(speech_model, np.concatenate([quiet(0.4), samples, quiet(2.0)])))
    wrong = errors(CONNECTED.replace("oh", "zero").split(), found)
    assert wrong <= FIGURES["connected_digits"]["errors"], " ".join(found)


@pytest.mark.parametrize("speaker", ["george", "lucas", "yweweler"])
def test_digit_strings_of_reserved_speakers(speech_model: VoskModel, speech_data: Path, speaker: str) -> None:
    with (speech_data / "digits" / "manifest.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["speaker"] == speaker]
    sound, rate = soundfile.read(speech_data / rows[0]["file"], dtype="float32")
    chance = random.Random(5)
    words = wrong = 0
    for _ in range(20):
        chosen = [chance.choice(rows) for _ in range(chance.randint(3, 5))]
        parts = [quiet(0.4)]
        for row in chosen:
            first = int(row["start"])
            digit = soxr.resample(sound[first : first + int(row["frames"])], rate, SAMPLE_RATE)
            parts += [(digit / np.abs(digit).max() * 16000).astype(np.int16), quiet(chance.uniform(0.03, 0.2))]
        said = [row["text"] for row in chosen]
        words += len(said)
        wrong += errors(said, words_of(heard(speech_model, np.concatenate([*parts, quiet(1.5)]))))
    figure = FIGURES["digit_strings"][speaker]
    assert words == figure["words"]
    assert wrong <= figure["errors"]


@pytest.mark.parametrize("part", [0, 1])
def test_utterances_about_something_else_end_in_time(speech_model: VoskModel, speech_data: Path, part: int) -> None:
    figure = FIGURES["other_speech"]
    files = reserved_orders(speech_data)[4 * part :: 8]
    assert len(files) == figure["files"] / 2
    found = [seconds_open(speech_model, path) for path in files]
    left_open = [seconds for seconds in found if seconds is None or seconds > LONGEST + STEP / SAMPLE_RATE]
    assert len(left_open) <= figure["left_open"], left_open


def test_the_second_listener_hears_a_demo_recording(speech_model: VoskModel, require: Require, tmp_path: Path) -> None:
    """Its words stand between the pauses that the first listener found, and most of them were in the script."""
    folder = find_whisper()
    require("speech", folder is not None, "needs the extra [second-listener]")
    assert folder is not None
    visit = next(visit for visit in load_demo() if visit.folder.name == "grounded-compressor")
    beginning = tmp_path / "beginning.flac"
    write_flac(beginning, islice(chunks(visit.recording, 1.0), 24))
    first = list(transcribe(beginning, speech_model))
    listener = SecondListener(folder, prompt=listening_prompt())
    second = list(hear_again(beginning, first, listener))
    assert len(second) >= FIGURES["second_listener"]["utterances"]
    places = {utterance.index: utterance for utterance in first}
    for utterance in second:
        assert utterance.heard_by != first[0].heard_by
        assert (utterance.start, utterance.end) == pytest.approx(
            (places[utterance.index].start, places[utterance.index].end), abs=0.25
        )
    script = (visit.folder / "script.txt").read_text(encoding="utf-8").casefold()
    said = [word for utterance in second for word in re.findall(r"[a-z]{4,}", utterance.text.casefold())]
    known = sum(word in script for word in said)
    assert known / len(said) >= FIGURES["second_listener"]["words_of_the_script"], said
