"""How likely any sequence of phones is by the network: what the spoken one has to beat in discriminative training.

CTC alone raises the phones that were said and lowers all others alike.  With the sum over every phone sequence, weighed
by a trigram model of phones, subtracted, the network learns to tell apart what the language model cannot: CTC-CRF
(H. Xiang and Z. Ou, "CRF-based Single-stage Acoustic Modeling with CTC Topology", ICASSP 2019), a form of lattice-free
maximum mutual information (D. Povey and others, Interspeech 2016).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import torch
from torch import Tensor

TINY = 1e-30
EDGE = 0  # stands before the first phone and behind the last; among the network's outputs it is the blank


def trigrams(sequences: Iterable[Sequence[int]], phones: int, weights: tuple[float, float, float]) -> Tensor:
    """Return P(third | first, second) of phones 1 to ``phones`` - 1 and the edge: (phones, phones, phones), summing to
    one in the last; interpolated of trigrams, bigrams and single phones by ``weights``, with a little for all."""
    counts = torch.zeros(phones, phones, phones, dtype=torch.float64)
    for sequence in sequences:
        padded = [EDGE, EDGE, *sequence, EDGE]
        places = torch.tensor(padded)
        counts.index_put_((places[:-2], places[1:-1], places[2:]), torch.ones(len(padded) - 2).double(), True)
    pairs, single = counts.sum(0), counts.sum((0, 1))
    three, two, one = weights
    shares = [
        weight * table / table.sum(-1, keepdim=True).clamp(min=1e-9)
        for weight, table in ((three, counts), (two, pairs[None]), (one, single[None, None]))
    ]
    mixed = shares[0] + shares[1] + shares[2] + 1e-5
    return (mixed / mixed.sum(-1, keepdim=True)).float()


class LogTotal(torch.autograd.Function):
    """Forward and backward over states (phone before last, last phone), the last one sounding or a blank since."""

    @staticmethod
    def forward(ctx: Any, logs: Tensor, lengths: Tensor, model: Tensor) -> Tensor:
        """Return the log of the sum for each item: (batch,)."""
        frames, batch, phones = logs.shape
        # behind its end an item goes on with blanks that cost nothing
        over = torch.arange(frames, device=logs.device)[:, None] >= lengths[None]
        shares = logs.detach().exp().masked_fill(over[:, :, None], 0.0)
        shares[:, :, EDGE] += over
        onward = model.clone()
        onward[:, :, EDGE] = 0
        same = onward.diagonal(dim1=1, dim2=2)
        sounding, silent = logs.new_zeros(2, batch, phones, phones)
        silent[:, EDGE, EDGE] = 1.0
        total, kept = logs.new_zeros(batch), []
        for now in shares:
            opened = torch.einsum("nab,abc->nbc", sounding + silent, onward)
            # a phone that sounds and sounds on is the same one, lasting; no second one without a blank between
            opened.diagonal(dim1=1, dim2=2).sub_((sounding * same).sum(1)).clamp_(min=0)
            silent = (sounding + silent) * now[:, EDGE, None, None]
            sounding = opened.add_(sounding).mul_(now[:, None, :])
            size = sounding.sum((1, 2)) + silent.sum((1, 2)) + TINY
            sounding, silent = sounding / size[:, None, None], silent / size[:, None, None]
            total = total + size.log()
            kept.append((sounding, silent))
        ctx.save_for_backward(shares, onward, same, model)
        ctx.kept, ctx.over = kept, over
        return total + ((sounding + silent) * model[:, :, EDGE]).sum((1, 2)).clamp(min=TINY).log()

    @staticmethod
    def backward(ctx: Any, *given: Tensor) -> tuple[Tensor, None, None]:
        """Return how much of the sum goes through each output at each frame."""
        shares, onward, same, model = ctx.saved_tensors
        gradient = torch.zeros_like(shares)
        silent = model[:, :, EDGE].expand(shares.shape[1], -1, -1)
        sounding = silent
        for frame in range(len(shares) - 1, -1, -1):
            was_sounding, was_silent = ctx.kept[frame]
            here = (was_sounding * sounding).sum(1)
            here[:, EDGE] = (was_silent * silent).sum((1, 2))
            gradient[frame] = here / (here.sum(1, keepdim=True) + TINY)
            now = shares[frame]
            through = sounding * now[:, None, :]
            silent = silent * now[:, EDGE, None, None] + torch.einsum("abc,nbc->nab", onward, through)
            again = through.diagonal(dim1=1, dim2=2)
            sounding = silent + through - same * again[:, None, :]
            size = (sounding.sum((1, 2)) + silent.sum((1, 2)) + TINY)[:, None, None]
            sounding, silent = sounding / size, silent / size
        gradient = gradient.masked_fill(ctx.over[:, :, None], 0.0)
        return gradient * given[0][None, :, None], None, None


def log_total(logs: Tensor, lengths: Tensor, model: Tensor) -> Tensor:
    """Return the log of the sum over all phone sequences and their paths: (batch,).

    ``logs`` are (frames, batch, phones) log probabilities with the blank at 0, ``lengths`` (batch,) the frames of each,
    ``model`` what ``trigrams`` returns.  A path is as in CTC: a phone may last, and a blank parts two alike.
    """
    if logs.is_cuda:
        from models.recipe import denominator_gpu

        on_gpu: Tensor = denominator_gpu.LogTotal.apply(logs, lengths, model)
        return on_gpu
    total: Tensor = LogTotal.apply(logs, lengths, model)
    return total
