"""Kaldi's binary form: what we write reads back, and holds what a stock Vosk model holds."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest

kaldi = pytest.importorskip("models.recipe.kaldi")
MODEL = Path(__file__).parents[2] / "models" / "trade-english" / "am" / "final.mdl"


def test_a_matrix_in_sixteen_bits_is_off_by_half_a_step_at_most() -> None:
    full = np.random.default_rng(1).normal(size=(7, 5)).astype(np.float32)
    back = kaldi.Reader(kaldi.matrix(full)).tensor()
    assert back.shape == (7, 5)
    assert np.abs(back - full).max() <= (full.max() - full.min()) / 65535 * 0.51


def test_a_matrix_in_bytes_is_finest_in_the_middle_of_each_column() -> None:
    full = np.random.default_rng(1).normal(size=(300, 4)).astype(np.float32) * [1, 0.1, 0.01, 0] + [0, 5, 0, 2]
    written = kaldi.matrix(full, 8)
    back = kaldi.Reader(written).tensor()
    assert len(written) == len("CM ") + 16 + 4 * 8 + full.size
    assert (back.shape, back.dtype) == ((300, 4), np.float32)
    lowest, lower, upper, highest = np.quantile(full, [0, 0.125, 0.875, 1], axis=0)
    coarse = (full.max() - full.min()) / 65535  # of the marks
    off, inside = np.abs(back - full), (full >= lower) & (full <= upper)
    assert (np.where(inside, off, 0).max(axis=0) <= (upper - lower) / 128 * 0.51 + 2 * coarse).all()
    assert (off.max(axis=0) <= np.maximum(lower - lowest, highest - upper) / 63 * 0.51 + 2 * coarse).all()
    with pytest.raises(ValueError, match="8 or 16 bits"):
        kaldi.matrix(full, 4)


def test_a_matrix_of_bytes_alone_reads_back() -> None:
    written = kaldi.token("CM3") + struct.pack("<ffii", -1.0, 2.55, 2, 2) + bytes([0, 100, 200, 255])
    assert np.allclose(kaldi.Reader(written).tensor(), [[-1.0, 0.0], [1.0, 1.55]], atol=1e-6)


def test_vectors_and_numbers_read_back() -> None:
    written = kaldi.vector([1.5, -2.0]) + kaldi.int32(-7) + kaldi.float32(0.25) + kaldi.int_vector([3, 4, 5])
    reader = kaldi.Reader(written)
    assert reader.tensor().tolist() == [1.5, -2.0]
    assert reader.number("i") == -7
    assert reader.number("f") == 0.25
    assert reader.int_vector().tolist() == [3, 4, 5]
    with pytest.raises((ValueError, IndexError)):
        reader.number("i")


def test_transitions_leave_every_state_with_certainty() -> None:
    numbers, chances = kaldi.transitions()
    assert len(numbers) == len(chances) - 1
    sums: dict[tuple[int, int], float] = {}
    for (phone, state, _), number in numbers.items():
        sums[phone, state] = sums.get((phone, state), 0.0) + chances[number]
    assert all(abs(total - 1) < 1e-9 for total in sums.values())


def test_something_else_is_refused() -> None:
    with pytest.raises(ValueError, match="not a binary Kaldi file"):
        kaldi.read_model(b"PK\x03\x04 and so on")


def test_a_network_survives_export_and_reading(tmp_path: Path) -> None:
    torch = pytest.importorskip("torch", reason="needs the extra [models]")
    from models.recipe import export, network

    torch.manual_seed(3)
    first = network.Network().eval()
    path = tmp_path / "final.mdl"
    path.write_bytes(export.model_bytes(first, blank=1.0))
    model = kaldi.read_model(path.read_bytes())
    assert (model.left_context, model.right_context) == (network.CONTEXT, network.CONTEXT)
    assert model.priors[0] == pytest.approx(np.e)
    second = network.from_model(path).eval()
    sound = torch.randn(1, 50, 40)
    with torch.no_grad():
        assert torch.allclose(first(sound), second(sound), atol=2e-2)
        assert second(sound).shape == (1, 17, network.OUTPUTS)


def test_bytes_halve_a_network_and_change_it_little(tmp_path: Path) -> None:
    torch = pytest.importorskip("torch", reason="needs the extra [models]")
    from models.recipe import export, network

    used = network.from_model(MODEL).eval()
    path = tmp_path / "final.mdl"
    path.write_bytes(export.model_bytes(used, bits=8))
    assert path.stat().st_size < 0.53 * len(export.model_bytes(used))
    sound = 10 * torch.randn(1, 50, 40)
    with torch.no_grad():
        before, after = used(sound), network.from_model(path).eval()(sound)
    assert (before - after).abs().mean() < 0.05 * before.abs().mean()


def test_the_export_is_wired_as_the_model_in_use() -> None:
    pytest.importorskip("torch", reason="needs the extra [models]")
    from models.recipe import export, network

    ours = kaldi.read_model(export.model_bytes(network.Network()))
    used = kaldi.read_model(MODEL.read_bytes())
    assert ours.config == used.config
    assert ours.tuples == used.tuples
