"""Gaps: told by the device, or seen in its clock; each begins a recording and stands with its times."""

from __future__ import annotations

from journal.live.frames import RATE, Flag, Frame, Kind, told
from journal.live.stretches import Stretches
from tests.live.sounds import START, chunks


def test_unbroken_sound_is_one_stretch() -> None:
    stretches = Stretches()
    for frame in chunks(5):
        stretches.take(frame)
    assert [(one.name, one.began, one.seconds) for one in stretches.all] == [("r1", START, 5.0)]
    assert stretches.gaps == []


def test_a_gap_the_device_tells_of() -> None:
    stretches = Stretches()
    for frame in chunks(2):
        stretches.take(frame)
    stretches.take(told(20, Kind.GAP, START + 2000, why="a telephone call took the microphone"))
    for frame in chunks(1, first=21, at=START + 63_000 - 2100):
        stretches.take(frame)
    assert [one.name for one in stretches.all] == ["r1", "r2"]
    gap = stretches.gaps[0]
    assert (gap.since, gap.until, gap.before) == (START + 2000, START + 63_000, "r2")
    assert "(61 s): a telephone call took the microphone." in gap.sentence


def test_a_gap_the_clock_shows() -> None:
    stretches = Stretches()
    for frame in [*chunks(2), *chunks(1, first=20, at=START + 5000)]:
        stretches.take(frame)
    assert [one.seconds for one in stretches.all] == [2.0, 1.0]
    assert stretches.gaps[0].until - stretches.gaps[0].since == 5000


def test_a_clock_that_runs_a_little_fast_is_no_gap() -> None:
    stretches = Stretches()
    for n in range(720):  # an hour, five seconds at a time
        stretches.take(Frame(n, Kind.SOUND, START + 5000 * 1.0002 * n, bytes(5 * RATE * 2)))
    assert len(stretches.all) == 1


def test_spans_in_which_the_device_spoke_are_joined() -> None:
    stretches = Stretches()
    frames = [*chunks(1), *chunks(1, first=10, flags=Flag.SPEAKING), *chunks(1, first=20)]
    for frame in frames:
        stretches.take(frame)
    assert stretches.all[0].spoken == [(1.0, 2.0)]
