"""A trained network as Kaldi's ``am/final.mdl``, which the stock Vosk loads.

Command: ``python -m models.recipe.export STATE.pt MODEL_FOLDER [--blank B] [--bits 8]``; B is the natural logarithm of
the blank's prior: the larger, the less the recogniser likes blanks.  With 8 bits the weights take a byte each; the
first and the last layer keep 16.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path

import numpy as np

from models.recipe.kaldi import (
    PHONE_COUNT,
    TOPOLOGIES,
    boolean,
    float32,
    float64,
    int32,
    int_vector,
    matrix,
    pdf,
    token,
    topology,
    transitions,
    vector,
)
from models.recipe.network import CONTEXT, OFFSETS, OUTPUTS, WIDTH, Factored, Network, Norm, Spliced, read_state

_MAX_CHANGE = token("<MaxChange>") + float32(0.75) + token("<LearningRate>") + float32(0.001)


def transition_model() -> bytes:
    """Topology, tuples and transition probabilities."""
    phones = range(1, PHONE_COUNT + 1)
    out = token("<TransitionModel>") + token("<Topology>")
    out += int_vector(list(phones)) + int_vector([-1, *(topology(p) for p in phones)])
    out += int32(-1) + int32(len(TOPOLOGIES))  # -1: states name their self-loop's pdf too
    for states in TOPOLOGIES:
        out += int32(len(states) + 1)
        for own, moves in states:
            out += int32(0 if own else 1) * 2 + int32(len(moves))
            out += b"".join(int32(to) + float32(probability) for to, probability in moves)
        out += int32(-1) * 2 + int32(0)
    out += token("</Topology>") + token("<Tuples>")
    tuples = [
        (phone, state, pdf(phone) if own else 0)
        for phone in phones
        for state, (own, _) in enumerate(TOPOLOGIES[topology(phone)])
    ]
    out += int32(len(tuples))
    out += b"".join(int32(p) + int32(s) + int32(d) + int32(d) for p, s, d in tuples)
    logs = np.log(np.asarray(transitions()[1], np.float64))
    return (
        out
        + token("</Tuples>")
        + token("<LogProbs>")
        + vector(logs)
        + token("</LogProbs>")
        + token("</TransitionModel>")
    )


def _weight(part: Spliced) -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    return part.weight.detach().float().cpu().numpy()


def _bias(part: Spliced) -> bytes:
    return vector([] if part.bias is None else part.bias.detach().float().cpu().numpy())


def fixed_affine(part: Spliced, bits: int = 16) -> bytes:
    """A FixedAffineComponent."""
    return (
        token("<FixedAffineComponent>")
        + token("<LinearParams>")
        + matrix(_weight(part), bits)
        + token("<BiasParams>")
        + _bias(part)
        + token("</FixedAffineComponent>")
    )


def affine(part: Spliced, bits: int = 16) -> bytes:
    """A NaturalGradientAffineComponent."""
    return (
        token("<NaturalGradientAffineComponent>")
        + _MAX_CHANGE
        + token("<LinearParams>")
        + matrix(_weight(part), bits)
        + token("<BiasParams>")
        + _bias(part)
        + token("<RankIn>")
        + int32(20)
        + token("<RankOut>")
        + int32(80)
        + token("<UpdatePeriod>")
        + int32(4)
        + token("<NumSamplesHistory>")
        + float32(2000)
        + token("<Alpha>")
        + float32(4)
        + token("</NaturalGradientAffineComponent>")
    )


def tdnn(part: Spliced, offsets: list[int], bits: int = 16) -> bytes:
    """A TdnnComponent with taps at ``offsets``."""
    return (
        token("<TdnnComponent>")
        + _MAX_CHANGE
        + token("<TimeOffsets>")
        + int_vector(offsets)
        + token("<LinearParams>")
        + matrix(_weight(part), bits)
        + token("<BiasParams>")
        + _bias(part)
        + token("<OrthonormalConstraint>")
        + float32(0)
        + token("<UseNaturalGradient>")
        + boolean(True)
        + token("<NumSamplesHistory>")
        + float32(2000)
        + token("<AlphaInOut>")
        + float32(4)
        + float32(4)
        + token("<RankInOut>")
        + int32(20)
        + int32(80)
        + token("</TdnnComponent>")
    )


def linear(part: Spliced, bits: int = 16) -> bytes:
    """A LinearComponent."""
    return (
        token("<LinearComponent>")
        + _MAX_CHANGE
        + token("<Params>")
        + matrix(_weight(part), bits)
        + token("<OrthonormalConstraint>")
        + float32(0)
        + token("<UseNaturalGradient>")
        + boolean(True)
        + token("<RankInOut>")
        + int32(20)
        + int32(80)
        + token("<Alpha>")
        + float32(4)
        + token("<NumSamplesHistory>")
        + float32(2000)
        + token("<UpdatePeriod>")
        + int32(4)
        + token("</LinearComponent>")
    )


def _statistics(kind: str, width: int) -> bytes:
    return (
        token(f"<{kind}>")
        + token("<Dim>")
        + int32(width)
        + token("<ValueAvg>")
        + vector([])
        + token("<DerivAvg>")
        + vector([])
        + token("<Count>")
        + float64(0)
        + token("<OderivRms>")
        + vector([])
        + token("<OderivCount>")
        + float64(0)
        + token("<NumDimsSelfRepaired>")
        + float64(0)
        + token("<NumDimsProcessed>")
        + float64(0)
        + token(f"</{kind}>")
    )


def norm(part: Norm, width: int) -> bytes:
    """A BatchNormComponent in test mode."""
    assert part.running_mean is not None
    assert part.running_var is not None
    mean, variance = part.running_mean.float().cpu().numpy(), part.running_var.float().cpu().numpy()
    return (
        token("<BatchNormComponent>")
        + token("<Dim>")
        + int32(width)
        + token("<BlockDim>")
        + int32(width)
        + token("<Epsilon>")
        + float32(part.eps)
        + token("<TargetRms>")
        + float32(1)
        + token("<TestMode>")
        + boolean(True)
        + token("<Count>")
        + float64(10000)
        + token("<StatsMean>")
        + vector(mean)
        + token("<StatsVar>")
        + vector(variance)
        + token("</BatchNormComponent>")
    )


def no_op(width: int) -> bytes:
    """A NoOpComponent: a named sum."""
    return (
        token("<NoOpComponent>")
        + token("<Dim>")
        + int32(width)
        + token("<BackpropScale>")
        + float32(1)
        + token("</NoOpComponent>")
    )


class Chain:
    """Collects components and the lines that wire them."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.parts: list[tuple[str, bytes]] = []

    def add(self, name: str, part: bytes, source: str) -> str:
        """One more node; its name is returned."""
        self.parts.append((name, part))
        self.lines.append(f"component-node name={name} component={name} input={source}")
        return name

    def relu_norm(self, stem: str, normalise: Norm, source: str, name: str = "batchnorm") -> str:
        """ReLU and batch norm after ``source``."""
        last = self.add(f"{stem}.relu", _statistics("RectifiedLinearComponent", WIDTH), source)
        return self.add(f"{stem}.{name}", norm(normalise, WIDTH), last)


def _wire(network: Network, bits: int) -> Chain:
    chain = Chain()
    last = chain.add("lda", fixed_affine(network.lda), "Append(Offset(input, -1), input, Offset(input, 1))")
    last = chain.add("tdnn1.affine", affine(network.tdnn1, bits), last)
    last = chain.relu_norm("tdnn1", network.norm1, last)
    for number, layer in zip(OFFSETS, network.layers, strict=True):
        assert isinstance(layer, Factored)
        stem, offset = f"tdnnf{number}", OFFSETS[number]
        inner = chain.add(f"{stem}.linear", tdnn(layer.linear, [-offset, 0] if offset else [0], bits), last)
        inner = chain.add(f"{stem}.affine", tdnn(layer.affine, [0, offset] if offset else [0], bits), inner)
        inner = chain.relu_norm(stem, layer.norm, inner)
        last = chain.add(f"{stem}.noop", no_op(WIDTH), f"Sum(Scale(0.66, {last}), {inner})")
    last = chain.add("prefinal-l", linear(network.prefinal_l, bits), last)
    last = chain.add("prefinal.affine", affine(network.prefinal, bits), last)
    last = chain.relu_norm("prefinal", network.prefinal_norm1, last, "batchnorm1")
    last = chain.add("prefinal.linear", linear(network.prefinal_linear, bits), last)
    last = chain.add("prefinal.batchnorm2", norm(network.prefinal_norm2, network.neck), last)
    last = chain.add("output.affine", affine(network.output), last)
    chain.add("output.log-softmax", _statistics("LogSoftmaxComponent", OUTPUTS), last)
    return chain


def model_bytes(network: Network, blank: float = 0.0, bits: int = 16) -> bytes:
    """The whole file, weights in 16 or 8 bits."""
    chain = _wire(network, bits)
    wiring = ["", "input-node name=input dim=40", *chain.lines]
    wiring += ["output-node name=output input=output.log-softmax objective=linear", "", ""]
    out = b"\0B" + transition_model() + token("<Nnet3>") + "\n".join(wiring).encode()
    out += token("<NumComponents>") + int32(len(chain.parts))
    out += b"".join(token("<ComponentName>") + token(name) + part for name, part in chain.parts)
    priors = np.ones(OUTPUTS, np.float32)
    priors[0] = math.exp(blank)
    out += token("</Nnet3>") + token("<LeftContext>") + int32(CONTEXT) + token("<RightContext>") + int32(CONTEXT)
    return out + token("<Priors>") + vector(priors)


def main() -> None:
    """Write final.mdl."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("state", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--blank", type=float, default=4.0)
    parser.add_argument("--bits", type=int, choices=[8, 16], default=16, help="of each weight")
    options = parser.parse_args()
    target = options.folder / "am" / "final.mdl"
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(model_bytes(read_state(options.state).eval(), options.blank, options.bits))
    print(target, target.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
