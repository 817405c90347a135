"""What was acknowledged is on the disk; a crash cuts half a record; a full disk leaves all before it intact."""

from __future__ import annotations

import errno
from pathlib import Path
from unittest import mock

import numpy as np
import pytest

from journal.errors import StoreUnusable
from journal.live import sound_log
from journal.live.sound_log import NAME, SoundLog, read_about, read_frames
from tests.live.sounds import chunks

ABOUT = {"id": "a", "technician": "Ines Okafor"}


def test_everything_comes_back_in_order(tmp_path: Path) -> None:
    frames = chunks(3)
    with SoundLog.create(tmp_path / "a", ABOUT) as log:
        log.append(frames[:10])
        log.append(frames[10:])
        assert log.next_number == 30
    assert list(read_frames(tmp_path / "a")) == frames
    assert read_about(tmp_path / "a") == ABOUT


@pytest.mark.parametrize("cut", [1, 5, 9, 20, 3000])
def test_half_a_record_is_cut_off_and_written_again(tmp_path: Path, cut: int) -> None:
    frames = chunks(1)
    with SoundLog.create(tmp_path / "a", ABOUT) as log:
        log.append(frames)
    path = tmp_path / "a" / NAME
    path.write_bytes(path.read_bytes()[:-cut])
    with SoundLog.reopen(tmp_path / "a") as log:
        assert log.next_number == 9
        log.append(frames[9:])
    assert list(read_frames(tmp_path / "a")) == frames


def test_a_changed_byte_ends_what_can_be_trusted(tmp_path: Path) -> None:
    with SoundLog.create(tmp_path / "a", ABOUT) as log:
        log.append(chunks(1))
    path = tmp_path / "a" / NAME
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    assert 3 <= len(list(read_frames(tmp_path / "a"))) < 10


def test_a_full_disk_is_told_and_nothing_before_is_lost(tmp_path: Path) -> None:
    frames = chunks(1)
    with SoundLog.create(tmp_path / "a", ABOUT) as log:
        log.append(frames[:5])
        with mock.patch.object(sound_log, "free_bytes", return_value=1000), pytest.raises(StoreUnusable, match="full"):
            log.append(frames[5:])
        log.append(frames[5:])
    assert list(read_frames(tmp_path / "a")) == frames


def test_a_disk_that_fails_halfway_takes_the_half_back(tmp_path: Path) -> None:
    frames = chunks(1)
    with SoundLog.create(tmp_path / "a", ABOUT) as log:
        log.append(frames[:5])
        failing = OSError(errno.EIO, "Input/output error")
        with mock.patch.object(sound_log, "_flush", side_effect=failing), pytest.raises(StoreUnusable, match="refuses"):
            log.append(frames[5:])
        assert log.next_number == 5
        log.append(frames[5:])
    assert list(read_frames(tmp_path / "a")) == frames


def test_a_log_without_a_head_is_not_guessed_at(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / NAME).write_bytes(b"\x00\x01\x02")
    with pytest.raises(StoreUnusable, match="Keep the folder"):
        SoundLog.reopen(tmp_path / "a")


def test_samples_are_those_that_were_spoken(tmp_path: Path) -> None:
    frames = chunks(2)
    with SoundLog.create(tmp_path / "a", ABOUT) as log:
        log.append(frames)
    kept = np.concatenate([frame.samples for frame in read_frames(tmp_path / "a")])
    assert np.array_equal(kept, np.concatenate([frame.samples for frame in frames]))
