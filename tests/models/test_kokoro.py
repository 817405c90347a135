"""Kokoro on a GPU: its graph run by torch against the operators' definition, and words cut out of spoken lists."""

from __future__ import annotations

import numpy as np
import pytest

from models.recipe import kokoro

COMMA, DOT = 3, 4


def test_words_are_cut_where_their_phonemes_are() -> None:
    tokens = [50, 51, COMMA, 16, 52, DOT]  # two words; 16 is the blank behind the comma
    frames = [2, 3, 3, 1, 1, 4, 2, 2]  # with the silence before and behind
    sound = np.arange(sum(frames) * kokoro.HOP, dtype=np.float32)
    first, second = kokoro.cut_list(sound, tokens, frames, COMMA, 2)
    assert first[0] == (2 - 1) * kokoro.HOP
    assert len(first) == (3 + 3 + 2) * kokoro.HOP  # one frame to each side
    assert second[0] == (2 + 3 + 3 + 1 + 1 - 1) * kokoro.HOP


def test_a_list_that_lost_a_word_is_not_cut() -> None:
    sound = np.zeros(10 * kokoro.HOP, np.float32)
    assert kokoro.cut_list(sound, [50, COMMA, 16, 51, DOT], [1, 2, 1, 1, 2, 1, 1], COMMA, 3) == []
    assert kokoro.cut_list(sound, [50, DOT], [1, 2], COMMA, 1) == []


def test_a_graph_is_run_as_the_operators_are_defined(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """A made-up graph against numpy: quantized product, gather, reshape, split (ONNX operator definitions)."""
    torch = pytest.importorskip("torch", reason="needs the extra [models]")
    import json

    from models.recipe.onnx_torch import Graph

    rng = np.random.default_rng(1)
    weight, zero, scale = rng.integers(0, 255, (4, 6), dtype=np.uint8), np.array(128, np.uint8), np.array(0.01, "f4")
    nodes = [
        ["DynamicQuantizeLinear", ["x"], ["q", "s", "z"], {}],
        ["MatMulInteger", ["q", "w0", "z", "w1"], ["p"], {}],
        ["Mul", ["s", "w2"], ["both"], {}],
        ["Mul", ["p", "both"], ["y"], {}],
        ["Split", ["y", "w3"], ["left", "right"], {"axis": 1}],
        ["Reshape", ["right", "w4"], ["flat"], {}],
        ["Gather", ["flat", "w5"], ["out"], {"axis": 0}],
    ]
    kept = {"w0": weight, "w1": zero, "w2": scale, "w3": np.array([2, 4]), "w4": np.array([-1]), "w5": np.array([1, 0])}
    about = {"nodes": nodes, "inputs": ["x"], "outputs": ["out"]}
    np.savez(tmp_path / "graph.npz", graph=np.array(json.dumps(about)), **kept)
    x = rng.standard_normal((3, 4)).astype(np.float32)
    graph = Graph(tmp_path / "graph.npz", torch.device("cpu"), ("left",))
    out, left = graph(x=torch.from_numpy(x))
    whole = x @ (weight.astype(np.float32) - 128) * 0.01
    np.testing.assert_allclose(out.numpy(), whole[:, 2:].ravel()[[1, 0]], rtol=1e-5)
    np.testing.assert_allclose(left.numpy(), whole[:, :2], rtol=1e-5)


def test_wider_necks_change_nothing_at_first() -> None:
    torch = pytest.importorskip("torch", reason="needs the extra [models]")
    from models.recipe.network import Network, widened

    torch.manual_seed(3)
    network = Network().eval()
    wide = widened(network.state_dict(), 96).eval()
    mfcc = torch.randn(2, 50, 40)
    with torch.no_grad():
        torch.testing.assert_close(network(mfcc), wide(mfcc), rtol=1e-4, atol=1e-4)
    assert sum(p.numel() for p in wide.parameters()) > sum(p.numel() for p in network.parameters())
