"""The sum of ``denominator`` on a GPU: one program an item runs through all its frames, in one kernel each way.

Frame by frame in torch, a batch takes a dozen small kernels a frame, and starting them takes most of the time.
One warp each is fastest: on an H200 16.5 ms for 66 items of 200 frames, 20.1 with four.
Triton's interpreter (``TRITON_INTERPRET=1``) runs the same on a processor, for the tests.
"""

from __future__ import annotations

from typing import Any

import torch
import triton
import triton.language as tl
from torch import Tensor

TINY: tl.constexpr = tl.constexpr(1e-30)


@triton.jit  # type: ignore[untyped-decorator]
def _forward(  # type: ignore[no-untyped-def]
    shares, lengths, onward, ending, sounding, silent, totals, batch, PHONES: tl.constexpr, BLOCK: tl.constexpr
):
    """Fill ``sounding`` and ``silent`` (frames + 1, batch, phones, phones; up to a factor a frame), and ``totals``."""
    item = tl.program_id(0)
    place = tl.arange(0, BLOCK)
    inside = place < PHONES
    both = inside[:, None] & inside[None, :]
    frames = tl.load(lengths + item)
    size = 1.0
    total = 0.0
    for frame in range(frames):
        given = shares + (frame * batch + item) * PHONES
        now = tl.load(given + place, mask=inside, other=0.0)
        blank = tl.load(given)
        old = (frame * batch + item).to(tl.int64) * PHONES * PHONES
        new = old + batch * PHONES * PHONES
        added = 0.0
        for b in range(PHONES):
            column = place * PHONES + b
            loud = tl.load(sounding + old + column, mask=inside, other=0.0) / size
            any_ = loud + tl.load(silent + old + column, mask=inside, other=0.0) / size
            steps = onward + place[:, None] * (PHONES * PHONES) + b * PHONES + place[None, :]
            opened = tl.sum(any_[:, None] * tl.load(steps, mask=both, other=0.0), 0)
            # a phone that sounds and sounds on is the same one, lasting; no second one without a blank between
            same = tl.load(onward + place * (PHONES * PHONES) + b * PHONES + b, mask=inside, other=0.0)
            opened = tl.maximum(opened - tl.where(place == b, tl.sum(loud * same, 0), 0.0), 0.0)
            lasting = tl.load(sounding + old + b * PHONES + place, mask=inside, other=0.0) / size
            row = (opened + lasting) * now
            quiet = any_ * blank
            tl.store(sounding + new + b * PHONES + place, row, mask=inside)
            tl.store(silent + new + column, quiet, mask=inside)
            added += tl.sum(row, 0) + tl.sum(quiet, 0)
        size = added + TINY
        total += tl.log(size)
        tl.debug_barrier()
    last = (frames * batch + item).to(tl.int64) * PHONES * PHONES + place[:, None] * PHONES + place[None, :]
    end = tl.load(sounding + last, mask=both, other=0.0) + tl.load(silent + last, mask=both, other=0.0)
    end = end / size * tl.load(ending + place[:, None] * PHONES + place[None, :], mask=both, other=0.0)
    tl.store(totals + item, total + tl.log(tl.sum(tl.sum(end, 1), 0) + TINY))


@triton.jit  # type: ignore[untyped-decorator]
def _backward(  # type: ignore[no-untyped-def]
    shares, lengths, onward, sounding, silent, later, gradient, batch, PHONES: tl.constexpr, BLOCK: tl.constexpr
):
    """Fill ``gradient`` (frames, batch, phones); ``later`` (2, 2, batch, phones, phones) holds what follows a frame,
    sounding and silent, in turn in one and the other half; its first half is given."""
    item = tl.program_id(0)
    place = tl.arange(0, BLOCK)
    inside = place < PHONES
    both = inside[:, None] & inside[None, :]
    square = place[:, None] * PHONES + place[None, :]
    area = PHONES * PHONES
    frames = tl.load(lengths + item)
    size = 1.0
    for back in range(frames):
        frame = frames - 1 - back
        given = shares + (frame * batch + item) * PHONES
        now = tl.load(given + place, mask=inside, other=0.0)
        blank = tl.load(given)
        was = ((frame + 1) * batch + item).to(tl.int64) * area
        loud = later + ((back % 2) * 2 * batch + item) * area
        quiet = loud + batch * area
        new_loud = later + (((back + 1) % 2) * 2 * batch + item) * area
        new_quiet = new_loud + batch * area
        # the size of what follows falls out here: each frame's shares add up to one
        through = tl.load(sounding + was + square, mask=both, other=0.0)
        here = tl.sum(through * tl.load(loud + square, mask=both, other=0.0), 0)
        through = tl.load(silent + was + square, mask=both, other=0.0)
        rest = tl.sum(tl.sum(through * tl.load(quiet + square, mask=both, other=0.0), 1), 0)
        here = tl.where(place == 0, rest, here)
        tl.store(gradient + (frame * batch + item) * PHONES + place, here / (tl.sum(here, 0) + TINY), mask=inside)
        added = 0.0
        for b in range(PHONES):
            row = tl.load(loud + b * PHONES + place, mask=inside, other=0.0) / size * now
            steps = onward + place[:, None] * area + b * PHONES + place[None, :]
            opened = tl.sum(row[None, :] * tl.load(steps, mask=both, other=0.0), 1)
            column = place * PHONES + b
            ended = tl.load(quiet + column, mask=inside, other=0.0) / size * blank + opened
            same = tl.load(onward + place * area + b * PHONES + b, mask=inside, other=0.0)
            lasting = tl.load(loud + column, mask=inside, other=0.0) / size * tl.load(given + b)
            on = ended + lasting - same * tl.sum(tl.where(place == b, row, 0.0), 0)
            tl.store(new_quiet + column, ended, mask=inside)
            tl.store(new_loud + column, on, mask=inside)
            added += tl.sum(ended, 0) + tl.sum(on, 0)
        size = added + TINY
        tl.debug_barrier()


class LogTotal(torch.autograd.Function):
    """As ``denominator.LogTotal``."""

    @staticmethod
    def forward(ctx: Any, logs: Tensor, lengths: Tensor, model: Tensor) -> Tensor:
        """Return the log of the sum for each item: (batch,)."""
        frames, batch, phones = logs.shape
        shares = logs.detach().exp().contiguous()
        onward, ending = model.clone(), model[:, :, 0].contiguous()
        onward[:, :, 0] = 0
        sounding, silent = logs.new_empty(2, frames + 1, batch, phones, phones)
        sounding[0], silent[0] = 0, 0
        silent[0, :, 0, 0] = 1.0
        totals, counts = logs.new_zeros(batch), lengths.to(torch.int32).contiguous()
        block = triton.next_power_of_2(phones)
        _forward[(batch,)](
            shares, counts, onward, ending, sounding, silent, totals, batch, PHONES=phones, BLOCK=block, num_warps=1
        )
        ctx.save_for_backward(shares, counts, onward, ending, sounding, silent)
        return totals

    @staticmethod
    def backward(ctx: Any, *given: Tensor) -> tuple[Tensor, None, None]:
        """Return how much of the sum goes through each output at each frame."""
        shares, counts, onward, ending, sounding, silent = ctx.saved_tensors
        _, batch, phones = shares.shape
        gradient, later = torch.zeros_like(shares), shares.new_empty(2, 2, batch, phones, phones)
        later[0] = ending
        block = triton.next_power_of_2(phones)
        _backward[(batch,)](
            shares, counts, onward, sounding, silent, later, gradient, batch, PHONES=phones, BLOCK=block, num_warps=1
        )
        return gradient * given[0][None, :, None], None, None
