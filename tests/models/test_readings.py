"""The spoken readings to measure with: the truth is drawn before the words, and noise is laid on as asked."""

from __future__ import annotations

from decimal import Decimal
from random import Random

import numpy as np
import pytest

from journal.domain.unit_table import unit_table
from models.recipe import noise, readings, texts


def test_every_frame_has_its_meanings_in_units_and_points_of_the_domain() -> None:
    told = readings.read_frames(readings.FRAMES.read_text(encoding="utf-8"))
    units = {unit for frame in told.frames for unit, _, _ in frame.meanings}
    assert units <= set(unit_table())
    assert len(units) >= 20, "all kinds of quantities"
    assert len(told.frames) >= 100
    assert any(not frame.meanings for frame in told.frames), "numbers that are no readings belong in too"


def test_there_are_a_thousand_readings_and_the_same_each_time() -> None:
    lines = readings.lines("joe")
    assert sum(not truth.optional for line in lines for truth in line.readings) >= 1000
    assert lines == readings.lines("joe")
    assert lines[:50] != readings.lines("rms")[:50]


def test_the_frames_are_not_the_training_grammars() -> None:
    """No sentence the training grammar draws, in 20,000, is one of a frame once the numbers are taken out."""
    number_words = {*texts.spoken.NUMBER_WORDS, "and", "a", "half", "minus"}

    def bare(text: str) -> str:
        return " ".join(word for word in text.split() if word not in number_words and not word.startswith("<"))

    told = readings.read_frames(readings.FRAMES.read_text(encoding="utf-8"))
    frames = {bare(frame.text) for frame in told.frames}
    speaker = texts.load(5)
    assert not frames & {bare(speaker.say()) for _ in range(20_000)}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("24", {"twenty four"}),
        ("-12", {"minus twelve"}),
        ("7.5", {"seven and a half", "seven point five"}),
        ("1550", {"fifteen fifty", "one thousand five hundred fifty"}),
        ("2000", {"two thousand"}),
        ("1605", {"sixteen oh five", "one thousand six hundred five"}),
    ],
)
def test_values_are_said_as_people_say_them(value: str, said: set[str]) -> None:
    assert {readings.say(value, Random(seed)) for seed in range(60)} == said


def test_a_drawn_value_lies_in_its_range_with_its_places() -> None:
    for seed in range(50):
        value = readings.draw(["0.3..9.9/1"], Random(seed))
        assert Decimal("0.3") <= Decimal(value) <= Decimal("9.9")
        assert Decimal(value).as_tuple().exponent == -1


@pytest.mark.parametrize(
    "text", ["@volts 1..2\n<volts> volts <volts> = volt -", "<amps> amps = ampere -", "no sign at all"]
)
def test_a_frame_that_says_too_little_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        readings.read_frames(text)


@pytest.mark.parametrize("place", range(len(readings.NOISES)))
def test_noise_takes_turns_and_keeps_the_length(place: int) -> None:
    time = np.arange(24000) / 16000
    sound = (0.4 * np.sin(2 * np.pi * 200 * time) * np.sin(np.pi * time / 1.5)).astype(np.float32)
    other = [np.random.default_rng(1).standard_normal(9000).astype(np.float32)]
    noisy, kind = readings.in_noise(sound, place, 10.0, other)
    assert kind == readings.NOISES[place]
    assert noisy.shape == sound.shape
    assert np.array_equal(noisy, readings.in_noise(sound, place, 10.0, other)[0])
    if kind != "metal box":  # an echo changes the voice itself
        scale = float(noisy @ sound / (sound @ sound))
        rest = (noisy / scale - sound).std()
        assert 20 * np.log10(noise.speech_level(sound) / rest) == pytest.approx(10, abs=1.0)
