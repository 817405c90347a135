"""Frames on the wire: what is packed comes back; what is not ours is refused."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.errors import BadInput
from journal.live.frames import HEAD, MAX_BODY, Flag, Frame, Kind, told, unpack
from tests.live.sounds import chunks


@given(st.integers(0, 2**32 - 1), st.binary(min_size=1, max_size=400), st.sampled_from([0, 1, 2, 3]))
def test_sound_comes_back_as_it_was(number: int, half: bytes, flags: int) -> None:
    frame = Frame(number, Kind.SOUND, 1_772_000_000_123.5, half * 2, Flag(flags))
    assert unpack(frame.pack()) == frame


def test_requests_come_back() -> None:
    frame = unpack(told(7, Kind.REQUEST, 5.0, do="strike").pack())
    assert frame.message == {"do": "strike"}


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\0" * 15,
        HEAD.pack(0, 9, 0, 0, 0.0) + b"ab",
        HEAD.pack(0, 1, 4, 0, 0.0) + b"ab",
        HEAD.pack(0, 1, 0, 1, 0.0) + b"ab",
        HEAD.pack(0, 1, 0, 0, 0.0) + b"abc",
        HEAD.pack(0, 1, 0, 0, 0.0),
        HEAD.pack(0, 1, 0, 0, float("nan")) + b"ab",
        HEAD.pack(0, 1, 0, 0, -5.0) + b"ab",
        HEAD.pack(0, 1, 0, 0, 0.0) + b"ab" * (MAX_BODY // 2 + 1),
        HEAD.pack(0, 3, 0, 0, 0.0) + b"[1, 2]",
        HEAD.pack(0, 3, 0, 0, 0.0) + b"{",
        HEAD.pack(0, 3, 0, 0, 0.0) + b"[" * 4000,
        HEAD.pack(0, 2, 0, 0, 0.0) + b'{"why": "' + b"x" * 5000 + b'"}',
    ],
)
def test_what_is_not_ours_is_refused(data: bytes) -> None:
    with pytest.raises(BadInput):
        unpack(data)


@given(st.binary(max_size=200))
def test_rubbish_is_refused_or_a_frame(data: bytes) -> None:
    try:
        frame = unpack(data)
    except BadInput:
        return
    assert unpack(frame.pack()) == frame


def test_the_head_is_what_the_page_writes() -> None:
    """The page writes it with a DataView: u32, u8, u8, u16, f64, little-endian."""
    frame = chunks(0.1)[0]
    assert frame.pack()[:16] == struct.pack("<IBBHd", 0, 1, 0, 0, frame.at)
