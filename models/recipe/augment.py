"""What a recorder does to a voice: other speakers' tracts and speeds, rooms, machines, cheap microphones.  On torch,
in batches.

Everything is drawn from one ``torch.Generator``: the same seed, device and library give the same sound.  ``Mfcc``
computes the
features of Kaldi's ``mfcc.conf`` that the model directory carries (checked against kaldi-native-fbank in the tests).
"""

from __future__ import annotations

import math

import torch
from torch import Tensor

RATE = 16000
WINDOW, SHIFT, BLOCK = 400, 160, 512
MELS, CEPSTRA, LOW, HIGH, KNEE = 40, 40, 20.0, 7600.0, 4800.0


def mel(hertz: Tensor) -> Tensor:
    """Kaldi's mel scale."""
    return 1127.0 * torch.log1p(hertz / 700.0)


def mel_bank(warp: float = 1.0) -> Tensor:
    """(40, 257) triangles over the power spectrum; ``warp`` above 1 makes the speaker sound larger."""
    edges = torch.linspace(float(mel(torch.tensor(LOW))), float(mel(torch.tensor(HIGH))), MELS + 2)
    pitch = torch.arange(BLOCK // 2 + 1) * (RATE / BLOCK)
    # Above the knee the warp straightens out towards half the rate, so that no band is left without sound.
    upper = KNEE * warp + (pitch - KNEE) * (RATE / 2 - KNEE * warp) / (RATE / 2 - KNEE)
    bins = mel(torch.where(pitch <= KNEE, pitch * warp, upper))
    left, middle, right = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    rise, fall = (bins - left) / (middle - left), (right - bins) / (right - middle)
    bank: Tensor = torch.minimum(rise, fall).clamp(min=0)
    return bank


class Mfcc:
    """Kaldi's MFCC for 16 kHz sound scaled to -1..1."""

    def __init__(self, device: torch.device) -> None:
        place = torch.arange(WINDOW, dtype=torch.float64)
        povey = (0.5 - 0.5 * torch.cos(2 * math.pi * place / (WINDOW - 1))) ** 0.85
        self.window = povey.float().to(device)
        order = torch.arange(CEPSTRA, dtype=torch.float64)[:, None]
        cosines = torch.cos(math.pi / MELS * (torch.arange(MELS, dtype=torch.float64) + 0.5) * order)
        cosines *= math.sqrt(2.0 / MELS)
        cosines[0] = math.sqrt(1.0 / MELS)
        lifter = 1 + 11.0 * torch.sin(math.pi * order / 22.0)
        self.cosines = (cosines * lifter).float().to(device)
        self.banks = {w: mel_bank(w).to(device) for w in (0.86, 0.90, 0.94, 0.97, 1.0, 1.03, 1.06, 1.10, 1.15)}

    def __call__(
        self, sound: Tensor, noise: Tensor | None = None, warp: float = 1.0, mask: Tensor | None = None
    ) -> Tensor:
        """(batch, samples) -> (batch, frames, 40); ``noise`` is the dither, ``mask`` (batch, 1, 40) hides mel bands."""
        frames = (sound * 32768.0).unfold(1, WINDOW, SHIFT)
        if noise is not None:
            frames = frames + noise
        frames = frames - frames.mean(2, keepdim=True)
        before = torch.cat([frames[..., :1], frames[..., :-1]], 2)
        power = torch.fft.rfft((frames - 0.97 * before) * self.window, BLOCK).abs().square()
        logs = (power @ self.banks[warp].T).clamp(min=1.1920929e-07).log()
        if mask is not None:
            logs = torch.where(mask, logs.mean((1, 2), keepdim=True), logs)
        cepstra: Tensor = logs @ self.cosines.T
        return cepstra


class Augmenter:
    """Draws one version of every sound in a batch."""

    def __init__(self, device: torch.device, seed: int) -> None:
        self.device = device
        self.draw = torch.Generator(device=device).manual_seed(seed)
        self.host = torch.Generator().manual_seed(seed)
        self.mfcc = Mfcc(device)
        self.strength = (
            1.0  # 0 leaves sound almost as it is; a network that is not yet aligned learns faster from little
        )

    def uniform(self, low: float, high: float, *shape: int) -> Tensor:
        """Evenly drawn numbers on the device."""
        return low + (high - low) * torch.rand(*shape, device=self.device, generator=self.draw)

    def normal(self, *shape: int) -> Tensor:
        """Normally drawn numbers on the device."""
        return torch.randn(*shape, device=self.device, generator=self.draw)

    def chance(self, share: float, count: int) -> Tensor:
        """(count, 1) of true with probability ``share``."""
        return torch.rand(count, 1, device=self.device, generator=self.draw) < share * self.strength

    def respeed(self, sound: Tensor, lengths: Tensor) -> tuple[Tensor, Tensor]:
        """Each sound 0.84 to 1.2 times as fast (pitch and tract too), one in four as it is; silence around it."""
        count = len(sound)
        speed = torch.where(
            self.chance(0.75, count), self.uniform(0.84, 1.2, count, 1), torch.ones(1, 1, device=self.device)
        )
        head = self.uniform(0.02, 0.5, count, 1) * RATE
        new = (lengths[:, None] / speed).floor()
        total = (head + new + self.uniform(0.05, 0.7, count, 1) * RATE).floor()
        time = (torch.arange(int(total.max()), device=self.device)[None] - head) * speed
        inside = (time >= 0) & (time < lengths[:, None] - 2)
        whole = time.clamp(0, sound.shape[1] - 2).long()
        part = time - whole
        picked: Tensor = (
            sound.gather(1, whole) * (1 - part) + sound.gather(1, (whole + 1).clamp(max=sound.shape[1] - 1)) * part
        )
        return picked * inside, total.squeeze(1).long()

    def room(self, sound: Tensor) -> Tensor:
        """Echo for four in ten, and a random gentle equaliser for six in ten."""
        count, length = sound.shape
        tail = int(0.6 * RATE)
        size = 1 << (length + tail - 1).bit_length()
        spectrum = torch.fft.rfft(sound, size)
        time = torch.arange(tail, device=self.device)[None]
        decay = self.uniform(0.06, 0.6, count, 1) * RATE
        echo = self.normal(count, tail) * torch.exp(-6.9 * time / decay) * (time > self.uniform(20, 300, count, 1))
        echo *= self.uniform(0.02, 0.7, count, 1) / (echo.square().sum(1, keepdim=True).sqrt() + 1e-9)
        echo *= self.chance(0.4, count)
        echo[:, 0] += 1
        spectrum = spectrum * torch.fft.rfft(echo, size)
        points = self.normal(count, 1, 9) * self.uniform(0, 6, count, 1, 1) * self.chance(0.6, count)[:, :, None]
        curve = torch.nn.functional.interpolate(points, spectrum.shape[1], mode="linear", align_corners=True)[:, 0]
        wet: Tensor = torch.fft.irfft(spectrum * 10 ** (curve / 20), size)
        return wet[:, :length]

    def noise(self, sound: Tensor) -> Tensor:
        """Coloured noise, machines' hum, or other voices, one kind for each sound; unit power."""
        count, length = sound.shape
        size = 1 << (length - 1).bit_length()
        bins = torch.arange(size // 2 + 1, device=self.device).clamp(min=1)[None].float()
        slope = self.uniform(0, 2.2, count, 1)
        shaped = torch.fft.irfft(torch.fft.rfft(self.normal(count, size)) * bins ** (-slope / 2), size)[:, :length]
        result = _unit(shaped)
        bases = torch.tensor([50.0, 60.0, 120.0, 29.2, 58.5, 100.0, 24.5], device=self.device)
        base = bases[torch.randint(len(bases), (count, 1), device=self.device, generator=self.draw)]
        base = base * (1 + 0.01 * self.normal(count, 1))
        time = torch.arange(length, device=self.device)[None] / RATE
        tones = torch.zeros_like(sound)
        fall = self.uniform(0.3, 1.2, count, 1)
        for harmonic in range(1, 25):
            level = self.uniform(0, 1, count, 1) / harmonic**fall
            tones += level * torch.sin(2 * math.pi * base * harmonic * time + self.uniform(0, 6.28, count, 1))
        tones *= 1 + 0.2 * torch.sin(2 * math.pi * self.uniform(0.3, 8, count, 1) * time)
        result = torch.where(
            self.chance(0.35, count), _unit(_unit(tones) + self.uniform(0.1, 1, count, 1) * result), result
        )
        voices = sum(sound.roll((k, 3000 * k), (0, 1)) for k in (1, 2, 3) if count > k)
        if isinstance(voices, Tensor):
            result = torch.where(self.chance(0.10, count), _unit(voices), result)
        return result

    def mixed(self, sound: Tensor) -> Tensor:
        """Noise at 3 to 30 dB for three in four, a faint hiss for most of the rest; one in twelve stays as it is."""
        size = sound.abs()
        loud = size > 0.05 * size.amax(1, keepdim=True)
        level = ((sound.square() * loud).sum(1, keepdim=True) / loud.sum(1, keepdim=True).clamp(min=1)).sqrt()
        noisy = sound + self.noise(sound) * level * 10 ** (-self.uniform(3, 30, len(sound), 1) / 20)
        hiss = sound + self.normal(*sound.shape) * 10 ** self.uniform(-4.5, -2.7, len(sound), 1)
        mixed = torch.where(self.chance(0.75, len(sound)), noisy, hiss)
        return torch.where(self.chance(1 / 12, len(sound)), sound, mixed)

    def microphone(self, sound: Tensor) -> Tensor:
        """A telephone's band for three in ten, clipping for one in ten, any loudness."""
        count, length = sound.shape
        spectrum = torch.fft.rfft(sound)
        pitch = torch.arange(spectrum.shape[1], device=self.device)[None] * (RATE / length)
        band = (pitch < self.uniform(3400, 4000, count, 1)) & (pitch > self.uniform(0, 250, count, 1))
        sound = torch.fft.irfft(spectrum * (band | ~self.chance(0.25, count)), length)
        sound = sound / (sound.abs().amax(1, keepdim=True) + 1e-9)
        clipped = (sound * self.uniform(1, 3, count, 1)).clamp(-1, 1)
        sound = torch.where(self.chance(0.1, count), clipped, sound)
        return sound * 10 ** self.uniform(-1.5, -0.05, count, 1)

    def hide(self, mfcc: Tensor) -> Tensor:
        """Up to two short gaps of up to 12 frames in each item, filled with its mean."""
        count, frames, _ = mfcc.shape
        time = torch.arange(frames, device=self.device)[None]
        gap = torch.zeros(count, frames, dtype=torch.bool, device=self.device)
        for _ in range(2):
            start = self.uniform(0, frames, count, 1)
            gap |= (time >= start) & (time < start + self.uniform(0, 12, count, 1)) & self.chance(0.6, count)
        return torch.where(gap[:, :, None], mfcc.mean(1, keepdim=True), mfcc)

    def __call__(self, sound: Tensor, lengths: Tensor) -> tuple[Tensor, Tensor]:
        """(batch, samples) in -1..1 and lengths -> features (batch, frames, 40) and their frame counts."""
        sound, lengths = self.respeed(sound, lengths)
        sound = self.microphone(self.mixed(self.room(sound)))
        count = len(sound)
        frames = (lengths - WINDOW) // SHIFT + 1
        warps = sorted(self.mfcc.banks)
        place = int(torch.randint(len(warps), (1,), generator=self.host))
        if float(torch.rand(1, generator=self.host)) >= self.strength:
            place = warps.index(1.0)
        first = self.uniform(0, MELS, count, 1)
        band = torch.arange(MELS, device=self.device)[None]
        mask = (band >= first) & (band < first + self.uniform(0, 6, count, 1)) & self.chance(0.5, count)
        # Sound of 16 bits: what a gate or a codec silenced is silent to the last bit, and Vosk adds no dither.
        sound = (sound * 32767).round() / 32767
        amount = self.uniform(0, 1, count, 1) * ~(torch.rand(count, 1, device=self.device, generator=self.draw) < 0.3)
        dither = self.normal(count, (sound.shape[1] - WINDOW) // SHIFT + 1, WINDOW) * amount[:, :, None]
        return self.hide(self.mfcc(sound, dither, warps[place], mask[:, None])), frames


def _unit(sound: Tensor) -> Tensor:
    return sound / (sound.std(1, keepdim=True) + 1e-9)
