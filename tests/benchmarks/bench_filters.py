"""Whether cleaning the sound before it is heard helps: each filter on the same noisy sentences, first listener alone.

    python -m tests.benchmarks.bench_filters WORK [--model M] [--most 30] [--ratio 10] [--voice rms]

Counts readings right and wrong of spoken readings (``models.recipe.readings``, a synthetic reserved voice) beside a
humming compressor, fans, wind and in a metal box, as they are and after each filter; then of the clean sentences with a
constant offset and at a thousandth of the level.  Filters act on the whole sound (no delay, no start-up), which is the
best they could do.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile

from journal.cli.hearing import load_model
from journal.hear.vosk_recogniser import VoskModel, transcribe
from journal.interpret import interpret
from models.recipe import readings
from models.recipe.readings import RATE, Line
from tests.benchmarks.scoring import Tally

Sound = npt.NDArray[np.float32]
Filter = Callable[[Sound], Sound]


def kept(sound: Sound, keep: Callable[[npt.NDArray[np.floating]], npt.NDArray[np.bool_]]) -> Sound:
    """The sound with only those frequencies (Hz) for which ``keep`` is true."""
    spectrum, hertz = np.fft.rfft(sound), np.fft.rfftfreq(len(sound), 1 / RATE)
    return np.asarray(np.fft.irfft(spectrum * keep(hertz), len(sound)), dtype=np.float32)


def notched(sound: Sound, half_width: float = 1.0, highest: float = 1000.0) -> Sound:
    """Without 50 and 60 Hz and their harmonics up to ``highest`` Hz."""

    def keep(hertz: npt.NDArray[np.floating]) -> npt.NDArray[np.bool_]:
        off = [np.abs(hertz - mains * np.maximum(1, np.round(hertz / mains))) for mains in (50.0, 60.0)]
        return (np.minimum(*off) > half_width) | (hertz > highest)

    return kept(sound, keep)


def levelled(sound: Sound) -> Sound:
    """At a peak of 0.6, whatever it was."""
    return np.asarray(sound * (0.6 / (np.abs(sound).max() + 1e-9)), dtype=np.float32)


def offset(sound: Sound) -> Sound:
    """With a constant of a fifth of full scale added."""
    return np.asarray(np.clip(sound + np.float32(0.2), -1, 1), dtype=np.float32)


def quiet(sound: Sound) -> Sound:
    """At a thousandth (-60 dB), in steps of 16 bits as a recorder would have kept it."""
    return np.asarray(np.rint(sound * 32.768) / 32768, dtype=np.float32)


FILTERS: dict[str, Filter] = {
    "as it is": lambda sound: sound,
    "above 80 Hz": lambda sound: kept(sound, lambda hertz: hertz > 80),
    "above 200 Hz": lambda sound: kept(sound, lambda hertz: hertz > 200),
    "200 to 5,000 Hz": lambda sound: kept(sound, lambda hertz: (hertz > 200) & (hertz < 5000)),
    "hum notched": notched,
}
FAULTS: dict[str, Filter] = {
    "clean": lambda sound: sound,
    "offset of a fifth": lambda sound: offset(sound),
    "offset, taken away": lambda sound: offset(sound) - offset(sound).mean(),
    "at a thousandth": quiet,
    "at a thousandth, levelled": lambda sound: levelled(quiet(sound)),
}


def count(sounds: list[tuple[Sound, Line]], change: Filter, model: VoskModel) -> Tally:
    """Readings of the first listener alone after a change of the sound."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sound.wav"
        for sound, line in sounds:
            soundfile.write(path, change(sound), RATE, subtype="PCM_16")
            tally.add(line.readings, interpret(list(transcribe(path, model))).readings)
    return tally


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("work", type=Path)
    parser.add_argument("--model")
    parser.add_argument("--voice", default="rms")
    parser.add_argument("--most", type=int, default=30, help="sentences of each noise")
    parser.add_argument("--ratio", type=float, default=10.0, help="speech over noise in dB")
    told = parser.parse_args()
    model = load_model(told.model)
    known = [(soundfile.read(path, dtype="float32")[0], line) for path, line in readings.load(told.work, told.voice)]
    noises = [name for name in readings.NOISES if name != "radio"]
    print("| sound | change | spoken | right | wrong |\n|---|---|---|---|---|")
    for noise in noises:
        place = readings.NOISES.index(noise)
        some = known[place :: len(readings.NOISES)][: told.most]
        noisy = [
            (readings.in_noise(sound, place + n * len(readings.NOISES), told.ratio, [])[0], line)
            for n, (sound, line) in enumerate(some)
        ]
        for name, change in FILTERS.items():
            tally = count(noisy, change, model)
            print(
                f"| {noise}, {told.ratio:g} dB | {name} | {tally.spoken} | {tally.right} | {tally.wrong} |", flush=True
            )
    for name, change in FAULTS.items():
        tally = count(known[: told.most], change, model)
        print(f"| clean | {name} | {tally.spoken} | {tally.right} | {tally.wrong} |", flush=True)


if __name__ == "__main__":
    main()
