"""Augmentation and features of the model's recipe."""

from __future__ import annotations

import numpy as np
import pytest

from models.recipe import noise

torch = pytest.importorskip("torch", reason="needs the extra [models]")


def speechlike() -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    """Two seconds of a tone that swells and falls."""
    time = np.arange(32000) / 16000
    return (0.4 * np.sin(2 * np.pi * 180 * time) * np.sin(np.pi * time / 2)).astype(np.float32)


def test_the_same_seed_augments_alike_and_another_differently() -> None:
    from models.recipe.augment import Augmenter

    sound = torch.from_numpy(np.stack([speechlike()] * 3))
    lengths = torch.tensor([32000, 32000, 20000])
    runs = [Augmenter(torch.device("cpu"), seed)(sound, lengths) for seed in (1, 1, 2)]
    assert torch.equal(runs[0][0], runs[1][0])
    assert torch.equal(runs[0][1], runs[1][1])
    assert runs[0][0].shape != runs[2][0].shape or not torch.equal(runs[0][0], runs[2][0])
    assert torch.isfinite(runs[0][0]).all()


def test_features_are_kaldis() -> None:
    """Against kaldi-native-fbank, an independent implementation of Kaldi's MFCC."""
    knf = pytest.importorskip("kaldi_native_fbank", reason="needs the extra [models]")
    from models.recipe.augment import Mfcc

    options = knf.MfccOptions()
    options.frame_opts.dither = 0
    options.mel_opts.num_bins, options.mel_opts.low_freq, options.mel_opts.high_freq = 40, 20, 7600
    options.num_ceps, options.use_energy = 40, False
    sound = speechlike() + np.random.default_rng(1).normal(0, 0.01, 32000).astype(np.float32)
    theirs = knf.OnlineMfcc(options)
    theirs.accept_waveform(16000, (sound * 32768).tolist())
    theirs.input_finished()
    expected = np.stack([theirs.get_frame(i) for i in range(theirs.num_frames_ready)])
    ours = Mfcc(torch.device("cpu"))(torch.from_numpy(sound)[None])[0].numpy()
    assert ours.shape == expected.shape
    assert np.abs(ours - expected).max() < 0.01


@pytest.mark.parametrize("warp", [0.86, 1.0, 1.15])
def test_no_mel_band_is_left_without_sound(warp: float) -> None:
    from models.recipe.augment import mel_bank

    assert float(mel_bank(warp).sum(1).min()) > 0


@pytest.mark.parametrize("kind", sorted(noise.KINDS))
def test_noise_is_mixed_at_the_ratio_asked_for(kind: str) -> None:
    sound, draw = speechlike(), np.random.default_rng(2)
    other = noise.KINDS[kind](len(sound), draw)
    assert other.std() == pytest.approx(1, abs=0.02)
    mixed = noise.mix(sound, other, 10).astype(np.float64)
    scale = np.dot(mixed, sound) / np.dot(sound, sound)
    rest = mixed - scale * sound
    ratio = 20 * np.log10(scale * noise.speech_level(sound) / np.sqrt((rest**2).mean()))
    assert ratio == pytest.approx(10, abs=1.0)
