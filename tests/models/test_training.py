"""Training of the acoustic network: what is drawn, joined, kept back and measured; and the mixed voices."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("torch", reason="needs the extra [models]")
pytest.importorskip("pocketsphinx", reason="needs the extra [models]: the CMU dictionary")

import torch

from models.recipe import kokoro
from models.recipe.train import Bank, Batches, Item, Pack, digit_strings, divided


def pack(name: str, count: int, length: int = 800) -> Pack:
    """Items that hold their own number as every sample."""
    return Pack.join(name, [(np.full(length, n + 1, np.int16), "one two") for n in range(count)])


def test_pieces_of_an_item_lie_where_they_belong(tmp_path: Path) -> None:
    pack("real", 3, 4).save(tmp_path)
    bank = Bank(torch.device("cpu"), 1)
    bank.refresh(tmp_path)
    (first, _, _), _, (third, _, _) = bank.sources["real"]
    sound, lengths = bank.gather([Item([(first, 4, 0), (third, 4, 6)], 10, []), Item([(third, 2, 1)], 3, [])])
    assert (sound * 32768).tolist() == [[1, 1, 1, 1, 0, 0, 3, 3, 3, 3], [0, 3, 3, 0, 0, 0, 0, 0, 0, 0]]
    assert lengths.tolist() == [10, 3]


def test_packs_may_come_later_and_what_is_for_measuring_is_never_trained_on(tmp_path: Path) -> None:
    pack("real", 5).save(tmp_path)
    pack("dev_real", 5).save(tmp_path)
    bank = Bank(torch.device("cpu"), 1)
    bank.refresh(tmp_path)
    assert {name: len(items) for name, items in bank.sources.items()} == {"real": 5}
    pack("kokoro_0_1", 4).save(tmp_path)
    bank.refresh(tmp_path)
    bank.refresh(tmp_path)
    assert {name: len(items) for name, items in bank.sources.items()} == {"real": 5, "kokoro": 4}
    start, length, _ = bank.sources["kokoro"][2]
    assert bank.sound[start : start + length].tolist() == [3] * 800


def test_batches_keep_to_their_size_and_carry_the_phones_of_every_piece(tmp_path: Path) -> None:
    pack("real", 9, 16000).save(tmp_path)
    pack("words", 9, 4000).save(tmp_path)
    bank = Bank(torch.device("cpu"), 1)
    bank.refresh(tmp_path)
    drawn = Batches(bank, 3, 20)
    for _, batch in zip(range(40), drawn, strict=False):
        longest = max(item.length for item in batch)
        assert longest * len(batch) <= 20 * 16000 or len(batch) == 1
        for item in batch:
            assert len(item.phones) == 5 * len(item.pieces)  # W AH N, T UW
            ends = [at + length for _, length, at in item.pieces]
            assert ends[-1] == item.length
            assert all(end <= at for end, (_, _, at) in zip(ends, item.pieces[1:], strict=False))


def test_every_twelfth_item_is_kept_back() -> None:
    trained, kept_back = divided(pack("real", 30))
    assert [kept_back.samples[start] for start in kept_back.starts] == [1, 13, 25]
    assert (kept_back.name, len(trained.texts)) == ("dev_real", 27)


def test_strings_of_digits_are_of_one_speaker() -> None:
    strings = digit_strings(pack("digits", 1000, 10), 40)
    assert len(strings.texts) == 40
    for start, length in zip(strings.starts, strings.lengths, strict=True):
        windows = np.lib.stride_tricks.sliding_window_view(strings.samples[start : start + length], 10)
        takes = windows[(windows == windows[:, :1]).all(1) & (windows[:, 0] != 0), 0]  # ten alike: a take, not the hiss
        assert len(takes) == 3
        assert len({(int(n) - 1) // 500 for n in takes}) == 1


def test_phonemes_are_written_in_the_synthesizers_alphabet() -> None:
    assert kokoro.symbols_of("eɪt ˈoʊmz tʃɑːɹdʒ") == "At ˈOmz ʧɑɹʤ"


def test_mixed_voices_stay_among_the_known_ones() -> None:
    voices = np.random.default_rng(1).normal(0, 1, (36, 256)).astype(np.float32)
    drawn = [kokoro.mixed_style(voices, 28, np.random.default_rng(n)) for n in range(200)]
    whole = [style for style in drawn if any(np.array_equal(style, voice) for voice in voices[:28])]
    assert 40 <= len(whole) <= 100
    for style in drawn:
        assert style.shape == (256,)
        assert np.abs(style[128:]).max() <= np.abs(voices[:, 128:]).max() + 1e-5
