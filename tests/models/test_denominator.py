"""The sum over all phone sequences, against adding up every path one by one."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys

import pytest

torch = pytest.importorskip("torch", reason="the extra [models] is not installed")
from models.recipe.denominator import log_total, trigrams  # noqa: E402

SEQUENCES = [[1, 2, 1], [2, 2, 1], [1], [2, 1, 2, 2]]


def collapsed(path: tuple[int, ...]) -> list[int]:
    """The phones of a CTC path: repeats are one, blanks are none (Graves and others, ICML 2006)."""
    return [p for n, p in enumerate(path) if p and (n == 0 or path[n - 1] != p)]


@pytest.mark.parametrize("frames", [1, 2, 3, 5])
def test_total_is_the_sum_over_every_path(frames: int) -> None:
    torch.manual_seed(frames)
    model = trigrams(SEQUENCES, 3, (0.6, 0.3, 0.1))
    logs = torch.randn(frames, 1, 3).log_softmax(2)
    total = 0.0
    for path in itertools.product(range(3), repeat=frames):
        phones = [0, 0, *collapsed(path), 0]
        spoken = math.prod(float(model[tuple(phones[n : n + 3])]) for n in range(len(phones) - 2))
        total += spoken * math.exp(sum(float(logs[t, 0, p]) for t, p in enumerate(path)))
    assert log_total(logs, torch.tensor([frames]), model).item() == pytest.approx(math.log(total), abs=1e-4)


def test_its_slope_is_that_of_the_sum() -> None:
    torch.manual_seed(8)
    model = trigrams(SEQUENCES, 4, (0.6, 0.3, 0.1)).double()
    lengths = torch.tensor([5, 3])
    scores = torch.randn(5, 2, 4, dtype=torch.float64, requires_grad=True)
    assert torch.autograd.gradcheck(lambda x: log_total(x.log_softmax(2), lengths, model), (scores,), atol=1e-6)


def test_each_item_ends_at_its_own_length() -> None:
    torch.manual_seed(3)
    model = trigrams(SEQUENCES, 3, (0.6, 0.3, 0.1))
    logs = torch.randn(6, 2, 3).log_softmax(2)
    both = log_total(logs, torch.tensor([6, 4]), model)
    alone = log_total(logs[:4, 1:], torch.tensor([4]), model)
    assert both[1].item() == pytest.approx(alone.item(), abs=1e-5)


def test_a_model_of_phones_sums_to_one() -> None:
    model = trigrams(SEQUENCES, 3, (0.6, 0.3, 0.1))
    assert torch.allclose(model.sum(2), torch.ones(3, 3))


def test_the_kernels_of_a_gpu_come_to_the_same() -> None:
    """In Triton's interpreter, in a process of its own: the switch is read when Triton is imported."""
    pytest.importorskip("triton", reason="Triton is not installed (it comes with torch for CUDA)")
    code = """
import torch
from models.recipe import denominator, denominator_gpu
torch.manual_seed(0)
model = denominator.trigrams([torch.randint(1, 7, (20,)).tolist() for _ in range(30)], 7, (0.7, 0.2, 0.1))
lengths, found = torch.tensor([9, 4]), []
scores = torch.randn(9, 2, 7)
for way in (denominator.LogTotal, denominator_gpu.LogTotal):
    given = scores.clone().requires_grad_()
    total = way.apply(given.log_softmax(2), lengths, model)
    (total * torch.tensor([1.0, 2.0])).sum().backward()
    found.append((total.detach(), given.grad))
assert found[0][1].abs().max() > 0.1
assert torch.allclose(found[0][0], found[1][0], atol=1e-4), found
assert torch.allclose(found[0][1], found[1][1], atol=1e-5), found
"""
    ran = subprocess.run(
        [sys.executable, "-c", code], env={**os.environ, "TRITON_INTERPRET": "1"}, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stderr
