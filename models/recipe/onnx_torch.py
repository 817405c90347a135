"""Runs Kokoro's int8 ONNX graph with torch, so that a GPU speaks it: weights are dequantized, activations stay floats.

``python -m models.recipe.onnx_torch MODEL.onnx OUT.npz`` takes the graph apart (needs the package onnx); ``Graph`` runs
what was written, with torch and numpy only.  Shapes and indices are kept on the CPU, so that the GPU is not waited for.
Only the operators and attributes that this graph uses are here; another one raises ValueError.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
import torch.nn.functional as F
from torch import Tensor

_QUANTIZED = {"MatMulInteger": (1, 3), "ConvInteger": (1, 3)}  # places of a weight and its zero point
_TYPES = {1: torch.float32, 6: torch.float32, 7: torch.int64, 9: torch.bool}  # int32 sums of products stay floats
_SHAPE_PLACES = {"Reshape": {1}, "Expand": {1}, "Unsqueeze": {1}, "Squeeze": {1}, "Split": {1}, "Resize": {1, 2}}
_SHAPE_PLACES |= {"Slice": {1, 2, 3, 4}, "Pad": {1}, "ReduceMean": {1}, "ReduceSum": {1}, "ConstantOfShape": {0}}
_SHAPE_PLACES |= {"CumSum": {1}, "STFT": {1, 3}, "Range": {0, 1, 2}, "Clip": {1, 2}}
Attributes = dict[str, Any]


def take_apart(model: Path, out: Path) -> None:
    """Write the nodes and weights of an ONNX file as one ``.npz``."""
    import onnx
    from onnx import helper, numpy_helper

    graph = onnx.load(str(model)).graph
    weights = {t.name: numpy_helper.to_array(t) for t in graph.initializer}
    names = {name: f"w{n}" for n, name in enumerate(weights)}
    nodes = []
    for node in graph.node:
        attributes: Attributes = {}
        for attribute in node.attribute:
            value = helper.get_attribute_value(attribute)
            value = value.decode() if isinstance(value, bytes) else value
            attributes[attribute.name] = numpy_helper.to_array(value).tolist() if hasattr(value, "dims") else value
        nodes.append([node.op_type, [names.get(i, i) for i in node.input], list(node.output), attributes])
    kept = {names[name]: value for name, value in weights.items()}
    about = {"nodes": nodes, "inputs": [i.name for i in graph.input], "outputs": [o.name for o in graph.output]}
    np.savez(out, graph=np.array(json.dumps(about)), **kept)  # type: ignore[arg-type]


class Graph:
    """The graph on a device; calling it with named tensors gives the first output, and those named in ``also``."""

    def __init__(self, path: Path, device: torch.device, also: Sequence[str] = ()) -> None:
        self.device = device
        with np.load(path) as kept:
            about = json.loads(str(kept["graph"]))
            raw = {name: kept[name] for name in kept.files if name != "graph"}
        self.outputs = [about["outputs"][0], *also]
        self.nodes: list[tuple[str, list[str], list[str], Attributes]] = [tuple(n) for n in about["nodes"]]
        self.lstm: dict[str, torch.nn.LSTM] = {}
        self.weights: dict[str, Tensor] = {}
        self._place(raw)
        last = {name: number for number, (_, inputs, _, _) in enumerate(self.nodes) for name in inputs}
        self.spent = [
            [name for name in {*inputs, *outputs} if last.get(name, -1) <= number and name not in self.outputs]
            for number, (_, inputs, outputs, _) in enumerate(self.nodes)
        ]

    def _place(self, raw: dict[str, Any]) -> None:
        """Dequantize weights, build the LSTMs, and put every constant where its users want it."""
        wanted_on_host = {
            inputs[place]
            for op, inputs, _, _ in self.nodes
            for place in _SHAPE_PLACES.get(op, ())
            if place < len(inputs)
        }
        for number, (op, inputs, _, attributes) in enumerate(self.nodes):
            if op in _QUANTIZED:
                weight, zero = (inputs[place] for place in _QUANTIZED[op])
                if weight in raw:
                    key = f"{weight}-{zero}"
                    values = raw[weight].astype(np.float32) - raw[zero].astype(np.float32)
                    self.weights[key] = torch.from_numpy(values).to(self.device)
                    self.nodes[number] = (op, [inputs[0], key], self.nodes[number][2], attributes)
            if op == "DynamicQuantizeLSTM":
                self.lstm[self.nodes[number][2][0]] = self._lstm(raw, inputs, attributes)
        for name, value in raw.items():
            tensor = torch.from_numpy(value.copy())
            host = name in wanted_on_host or tensor.dtype == torch.int64
            self.weights[name] = tensor if host else tensor.to(self.device)

    def _lstm(self, raw: dict[str, Any], inputs: list[str], attributes: Attributes) -> torch.nn.LSTM:
        scales = [(raw[inputs[p]], raw[inputs[p + 1]]) for p in (8, 10)]
        pair = []
        for place, (scale, zero) in zip((1, 2), scales, strict=True):
            values = raw[inputs[place]].astype(np.float32) - zero.astype(np.float32).reshape(-1, 1, 1)
            pair.append(np.swapaxes(values * scale.reshape(-1, 1, 1), 1, 2))
        hidden = int(attributes["hidden_size"])
        gates = np.concatenate([np.arange(hidden) + k * hidden for k in (0, 2, 3, 1)])  # i o f c -> i f c o
        layer = torch.nn.LSTM(pair[0].shape[2], hidden, bidirectional=True)
        for side, suffix in enumerate(("", "_reverse")):
            bias = raw[inputs[3]][side].reshape(2, -1)[:, gates]
            for kind, values in (("weight_ih", pair[0][side][gates]), ("weight_hh", pair[1][side][gates])):
                getattr(layer, f"{kind}_l0{suffix}").data.copy_(torch.from_numpy(np.ascontiguousarray(values)))
            for kind, row in (("bias_ih", bias[0]), ("bias_hh", bias[1])):
                getattr(layer, f"{kind}_l0{suffix}").data.copy_(torch.from_numpy(np.ascontiguousarray(row)))
        return layer.to(self.device).eval()

    @torch.no_grad()
    def __call__(self, **inputs: Tensor) -> tuple[Tensor, ...]:
        """Run every node in order; memory of what is no longer needed is given back."""
        known: dict[str, Any] = {**self.weights, **inputs, "": None}
        for (op, names, outputs, attributes), spent in zip(self.nodes, self.spent, strict=True):
            given = [known[name] for name in names]
            if op == "DynamicQuantizeLSTM":
                states, _ = self.lstm[outputs[0]](given[0])
                length, batch, width = states.shape
                results: Sequence[Any] = (states.view(length, batch, 2, width // 2).transpose(1, 2),)
            else:
                results = _run(op, given, attributes, len(outputs))
            for name, result in zip(outputs, results, strict=False):
                known[name] = result
            for name in spent:
                known.pop(name, None)
        return tuple(known[name] for name in self.outputs)


def _together(*tensors: Tensor) -> list[Tensor]:
    """Tensors on one device: the GPU when one of them is there (single numbers may stay)."""
    device = next((t.device for t in tensors if t.device.type != "cpu"), None)
    if device is None:
        return list(tensors)
    return [t.to(device, non_blocking=True) if t.device != device and t.dim() else t for t in tensors]


def _list(tensor: Tensor) -> list[int]:
    values: list[int] = tensor.flatten().tolist()
    return [int(v) for v in values]


def _conv(x: Tensor, weight: Tensor, bias: Tensor | None, a: Attributes) -> Tensor:
    assert a["pads"][0] == a["pads"][1]
    return F.conv1d(x, weight, bias, a["strides"][0], a["pads"][0], a["dilations"][0], a["group"])


def _deconv(x: Tensor, weight: Tensor, bias: Tensor | None, a: Attributes) -> Tensor:
    extra = a.get("output_padding", [0])[0]
    return F.conv_transpose1d(x, weight, bias, a["strides"][0], a["pads"][0], extra, a["group"], a["dilations"][0])


def _reshape(x: Tensor, shape: Tensor) -> Tensor:
    sizes = [x.shape[n] if size == 0 else size for n, size in enumerate(_list(shape))]
    return x.reshape(sizes)


def _slice(given: list[Any]) -> Tensor:
    x, starts, ends = given[0], _list(given[1]), _list(given[2])
    axes = _list(given[3]) if len(given) > 3 and given[3] is not None else list(range(len(starts)))
    steps = _list(given[4]) if len(given) > 4 and given[4] is not None else [1] * len(starts)
    for start, end, axis, step in zip(starts, ends, axes, steps, strict=True):
        if step < 0:
            raise ValueError(
                "this graph slices backwards, which is not built here; it is not the graph this was made for"
            )
        places: list[Any] = [slice(None)] * x.dim()
        places[axis] = slice(start, min(end, x.shape[axis]), step)
        x = x[tuple(places)]
    return x


def _gather(x: Tensor, places: Tensor, axis: int) -> Tensor:
    if places.dim() == 0:
        return x.select(axis, int(places) % x.shape[axis])
    found = torch.index_select(x, axis, places.flatten().to(x.device) % x.shape[axis])
    return found.reshape(*x.shape[:axis], *places.shape, *x.shape[axis + 1 :])


def _resize(x: Tensor, scales: Tensor, a: Attributes) -> Tensor:
    factor = float(scales[-1])
    size = int(np.floor(x.shape[-1] * factor))
    if a["mode"] == "linear":
        return F.interpolate(x, size=size, mode="linear", align_corners=False)
    places = (torch.arange(size, device=x.device) / factor).floor().long().clamp(max=x.shape[-1] - 1)
    return x[..., places]


def _stft(x: Tensor, step: int, window: Tensor, length: int) -> Tensor:
    frames = x.reshape(x.shape[0], -1).unfold(1, length, step) * window
    # The phase is imaginary over real further on; where the source is silent that must not be zero over zero.
    return torch.view_as_real(torch.fft.rfft(frames, dim=-1) + 1e-12)


def _pad(x: Tensor, pads: Tensor, a: Attributes) -> Tensor:
    sizes = _list(pads)
    half = len(sizes) // 2
    if any(sizes[: half - 1]) or any(sizes[half:-1]):
        raise ValueError(
            "this graph pads more than its last axis, which is not built here; it is not the graph this was made for"
        )
    return F.pad(x, (sizes[half - 1], sizes[-1]), mode=a.get("mode", "constant"))


def _expand(x: Tensor, shape: Tensor) -> Tensor:
    return x.expand(torch.broadcast_shapes(x.shape, tuple(_list(shape))))


def _scatter(x: Tensor, places: Tensor, updates: Tensor) -> Tensor:
    result = x.clone()
    result[tuple(places.to(x.device).unbind(-1))] = updates.to(x.device)
    return result


def _unsqueeze(x: Tensor, axes: Tensor) -> Tensor:
    dims = x.dim() + axes.numel()
    for axis in sorted(a % dims for a in _list(axes)):
        x = x.unsqueeze(axis)
    return x


def _squeeze(x: Tensor, axes: Tensor) -> Tensor:
    for axis in sorted((a % x.dim() for a in _list(axes)), reverse=True):
        x = x.squeeze(axis)
    return x


def _split(x: Tensor, sizes: Tensor, axis: int) -> Sequence[Tensor]:
    pieces: Sequence[Tensor] = torch.split(x, _list(sizes), axis)  # type: ignore[no-untyped-call]
    return pieces


def _skip_norm(x: Tensor, skip: Tensor, scale: Tensor, shift: Tensor, a: Attributes) -> Tensor:
    return F.layer_norm(x + skip, (x.shape[-1],), scale, shift, a["epsilon"])


def _fused(x: Tensor, y: Tensor, a: Attributes) -> Tensor:
    x, y = _together(x, y)
    x = x.transpose(-1, -2) if a["transA"] else x
    y = y.transpose(-1, -2) if a["transB"] else y
    return a["alpha"] * torch.matmul(x, y)


def _clip(x: Tensor, low: Tensor | None, high: Tensor | None) -> Tensor:
    return x.clamp(None if low is None else float(low), None if high is None else float(high))


def _shape(x: Tensor) -> Tensor:
    return torch.tensor(list(x.shape), dtype=torch.int64)


def _constant(shape: Tensor, a: Attributes) -> Tensor:
    value = a["value"][0]
    return torch.full(_list(shape), value, dtype=torch.float32 if isinstance(value, float) else torch.int64)


def _nonzero(x: Tensor) -> Tensor:
    return torch.nonzero(x).T.contiguous()


def _cast(x: Tensor, a: Attributes) -> Tensor:
    return x.to(_TYPES[a["to"]])


def _two(function: Callable[[Tensor, Tensor], Tensor]) -> Callable[[list[Any], Attributes], Tensor]:
    return lambda g, a: function(*_together(*g))


def _one(function: Callable[[Tensor], Tensor]) -> Callable[[list[Any], Attributes], Tensor]:
    return lambda g, a: function(g[0])


def _divide(x: Tensor, y: Tensor) -> Tensor:
    if x.is_floating_point() or y.is_floating_point():
        return x / y
    return torch.div(x, y, rounding_mode="trunc")


_OPERATORS: dict[str, Callable[[list[Any], Attributes], Tensor]] = {
    "Add": _two(torch.add),
    "Sub": _two(torch.sub),
    "Mul": _two(torch.mul),
    "Div": _two(_divide),
    "Pow": _two(torch.pow),
    "And": _two(torch.logical_and),
    "Equal": _two(torch.eq),
    "Greater": _two(torch.gt),
    "GreaterOrEqual": _two(torch.ge),
    "Less": _two(torch.lt),
    "MatMul": _two(torch.matmul),
    "MatMulInteger": _two(torch.matmul),
    "Where": lambda g, a: torch.where(*_together(*g)),
    "Sqrt": _one(torch.sqrt),
    "Floor": _one(torch.floor),
    "Round": _one(torch.round),
    "Sin": _one(torch.sin),
    "Cos": _one(torch.cos),
    "Exp": _one(torch.exp),
    "Atan": _one(torch.atan),
    "Tanh": _one(torch.tanh),
    "Sigmoid": _one(torch.sigmoid),
    "Shape": _one(_shape),
    "NonZero": _one(_nonzero),
    "Cast": lambda g, a: _cast(g[0], a),
    "Clip": lambda g, a: _clip(*g),
    "Concat": lambda g, a: torch.cat(_together(*g), a["axis"]),
    "ConstantOfShape": lambda g, a: _constant(g[0], a),
    "Conv": lambda g, a: _conv(g[0], g[1], g[2] if len(g) > 2 else None, a),
    "ConvInteger": lambda g, a: _conv(g[0], g[1], None, a),
    "ConvTranspose": lambda g, a: _deconv(g[0], g[1], g[2] if len(g) > 2 else None, a),
    "CumSum": lambda g, a: torch.cumsum(g[0], int(g[1])),
    "DequantizeLinear": lambda g, a: (g[0].float() - g[2].float()) * g[1],
    "Expand": lambda g, a: _expand(*g),
    "FastGelu": lambda g, a: F.gelu(g[0] + g[1], approximate="tanh"),
    "FusedMatMul": lambda g, a: _fused(g[0], g[1], a),
    "Gather": lambda g, a: _gather(g[0], g[1], a["axis"]),
    "LayerNormalization": lambda g, a: F.layer_norm(g[0], (g[0].shape[-1],), g[1], g[2], a["epsilon"]),
    "LeakyRelu": lambda g, a: F.leaky_relu(g[0], a["alpha"]),
    "Pad": lambda g, a: _pad(g[0], g[1], a),
    "Range": lambda g, a: torch.arange(*(t.item() for t in g)),
    "ReduceMean": lambda g, a: g[0].mean(_list(g[1]), keepdim=bool(a["keepdims"])),
    "ReduceSum": lambda g, a: g[0].sum(_list(g[1]), keepdim=bool(a["keepdims"])),
    "Reshape": lambda g, a: _reshape(*g),
    "Resize": lambda g, a: _resize(g[0], g[2], a),
    "STFT": lambda g, a: _stft(g[0], int(g[1]), g[2], int(g[3])),
    "ScatterND": lambda g, a: _scatter(*g),
    "SkipLayerNormalization": lambda g, a: _skip_norm(g[0], g[1], g[2], g[3], a),
    "Slice": lambda g, a: _slice(g),
    "Softmax": lambda g, a: torch.softmax(g[0], a["axis"]),
    "Squeeze": lambda g, a: _squeeze(*g),
    "Transpose": lambda g, a: g[0].permute(a["perm"]),
    "Unsqueeze": lambda g, a: _unsqueeze(*g),
}


def _run(op: str, given: list[Any], attributes: Attributes, outputs: int) -> Sequence[Any]:
    if op == "DynamicQuantizeLinear":
        return given[0], torch.ones(()), torch.zeros(())
    if op == "Split":
        return _split(given[0], given[1], attributes["axis"])
    if op not in _OPERATORS:
        raise ValueError(f"the operator {op} is not built here; it is not the graph this was made for")
    return (_OPERATORS[op](given, attributes),)


def main() -> None:
    """Take an ONNX file apart."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("model", type=Path)
    parser.add_argument("out", type=Path)
    options = parser.parse_args()
    take_apart(options.model, options.out)


if __name__ == "__main__":
    main()
