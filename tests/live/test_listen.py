"""``journal listen`` and ``journal serve`` from the command line, with a recording in place of the microphone."""

from __future__ import annotations

import builtins
import io
import json
import sys
import wave
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
import pytest
from rich.console import Console

from journal.carried import carried
from journal.cli import main
from journal.errors import BadInput, SoundUnreadable
from journal.hear.scripted import ScriptedRecogniser
from journal.keep import Store
from journal.keep import Store as Kept
from journal.live import Captures
from journal.live.microphone import from_file, from_microphone
from journal.pipeline import Rules
from journal.present.listening import Listening
from journal.present.web.certificate import make_certificate, names_in, own_names
from journal.present.web.people import People, Role
from journal.present.web.serve import Address, checked
from tests.live.sounds import chunks
from tests.live.test_capture import spoken_at


@pytest.fixture
def start_of_demo(tmp_path: Path) -> Path:
    """The first seconds of a demo recording as WAV."""
    from journal.hear.audio import chunks

    demo = carried("demo", "cooler-maintenance", "recording.opus")
    assert demo
    parts = []
    for chunk in chunks(demo):
        parts.append(chunk)
        if sum(map(len, parts)) > 16_000 * 20:
            break
    path = tmp_path / "start.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(np.concatenate(parts).tobytes())
    return path


def test_a_recording_in_place_of_the_microphone(
    start_of_demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = str(tmp_path / "store")
    assert (
        main(["listen", "--from", str(start_of_demo), "--fast", "--store", store, "--title", "Cooler", "--json"]) == 0
    )
    visit = json.loads(capsys.readouterr().out)
    assert visit["title"] == "Cooler"
    assert visit["utterances"], "twenty seconds of speech have words"
    assert visit["recordings"][0]["seconds"] == pytest.approx(20, abs=1)
    assert main(["visits", "--store", store, "--json"]) == 0
    assert [one["code"] for one in json.loads(capsys.readouterr().out)] == [visit["code"]]


def test_in_the_terminal_words_and_readings_are_shown(
    start_of_demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["listen", "--from", str(start_of_demo), "--fast", "--store", str(tmp_path / "store")]) == 0
    shown = capsys.readouterr().out
    assert "Readings" in shown or "No reading" in shown
    assert len(shown.splitlines()) > 5


def test_a_reading_stands_in_its_column_with_what_it_was_judged(tmp_path: Path) -> None:
    """Eighty columns: the number in its column, its place, the verdict below it, what is asked back."""
    shown = io.StringIO()
    heard = [(1.0, "common to ground eleven and a half ohms"), (6.0, "common to run one point one ohms")]
    with Store.open(tmp_path / "store") as store:
        captures = Captures(store, Rules(), lambda name: ScriptedRecogniser(spoken_at(heard, name)), "scripted")
        listening = Listening(captures, Console(file=shown, width=80))
        source = ((frame.samples, frame.at) for frame in chunks(12.0))
        visit = listening.run(source, technician="Ines Okafor", title="", site=None)
        captures.close()
    assert visit is not None
    lines = shown.getvalue().splitlines()
    assert "         11.5 Ω  compressor, common to ground" in lines
    assert "          1.1 Ω  compressor, common to run" in lines
    at = lines.index("         11.5 Ω  compressor, common to ground")
    assert lines[at + 1].strip().startswith("out of limits: Insulation")
    assert "compressor, common to ground: 11.5 ohms, out of limits. Is that right?" in lines
    assert max(map(len, lines)) <= 80


def test_a_file_that_is_no_sound_is_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "notes.txt").write_text("no sound")
    assert main(["listen", "--from", str(tmp_path / "notes.txt"), "--store", str(tmp_path / "store")]) == 2
    assert "this is text, not sound" in capsys.readouterr().err
    assert not (tmp_path / "store").exists()


def test_a_recording_plays_in_chunks_with_their_moments(start_of_demo: Path) -> None:
    played = list(from_file(start_of_demo, fast=True))
    assert all(len(samples) == 1600 for samples, _ in played[:-1])
    steps = np.diff([at for _, at in played])
    assert np.allclose(steps, 100.0)
    with pytest.raises(SoundUnreadable):
        from_file(start_of_demo.with_name("absent.wav"))


def test_without_sounddevice_one_sentence() -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "sounddevice":
            raise ModuleNotFoundError(name=name)
        return real(name, *rest, **more)

    with mock.patch.object(builtins, "__import__", without), pytest.raises(BadInput, match=r"\[microphone\]"):
        from_microphone()


def test_without_portaudio_one_sentence() -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "sounddevice":
            raise OSError("PortAudio library not found")
        return real(name, *rest, **more)

    with mock.patch.object(builtins, "__import__", without), pytest.raises(BadInput, match="libportaudio2"):
        from_microphone()


def test_a_network_needs_people_and_tls(tmp_path: Path) -> None:
    people = People(tmp_path)
    assert checked(Address(), tmp_path, people) == Address()
    wide = Address("192.0.2.7")
    with pytest.raises(BadInput, match="--add-user"):
        checked(wide, tmp_path, people)
    people.add("marit", "Marit Adeyemi", Role.OFFICE, "a long enough password")
    with pytest.raises(BadInput, match="--make-certificate"):
        checked(wide, tmp_path, people)
    made = make_certificate(tmp_path, ["journal.shop.example"])
    assert checked(wide, tmp_path, people).certificate == made.certificate
    with pytest.raises(BadInput, match="key"):
        checked(Address("192.0.2.7", certificate=made.certificate), tmp_path, people)


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7", "shop.example"])
def test_only_loopback_is_this_machine(host: str) -> None:
    assert not Address(host).local
    assert Address("127.0.0.1").local
    assert Address("::1").local
    assert Address("localhost").local


def test_the_certificate_is_for_its_names_and_under_its_authority(tmp_path: Path) -> None:
    from cryptography import x509
    from cryptography.x509.verification import PolicyBuilder, Store

    made = make_certificate(tmp_path, ["journal.shop.example", "192.0.2.7"])
    assert {"journal.shop.example", "192.0.2.7", "localhost", "127.0.0.1"} <= set(names_in(made.certificate))
    assert set(own_names()) <= set(names_in(made.certificate))
    assert made.key.stat().st_mode & 0o077 == 0
    authority = x509.load_pem_x509_certificate(made.authority.read_bytes())
    server = x509.load_pem_x509_certificates(made.certificate.read_bytes())[0]
    verifier = PolicyBuilder().store(Store([authority])).build_server_verifier(x509.DNSName("journal.shop.example"))
    assert verifier.verify(server, [])
    other = PolicyBuilder().store(Store([authority])).build_server_verifier(x509.DNSName("bank.example"))
    with pytest.raises(x509.verification.VerificationError):
        other.verify(server, [])
    with pytest.raises(BadInput):
        make_certificate(tmp_path, ["not a name"])


def test_people_and_tokens_are_made_at_the_command_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    store = ["--store", str(tmp_path / "store")]
    monkeypatch.setattr(sys, "stdin", io.StringIO("a long enough password\n"))
    assert main(["serve", "--add-user", "ines", "--full-name", "Ines Okafor", *store]) == 0
    people = People(tmp_path / "store")
    found = people.check("ines", "a long enough password")
    assert found is not None
    assert (found.name, found.role) == ("Ines Okafor", Role.TECHNICIAN)
    capsys.readouterr()
    assert main(["serve", "--add-token", "billing", *store]) == 0
    token = capsys.readouterr().out.strip()
    assert People(tmp_path / "store").program_of(token) == "billing"
    assert token not in (tmp_path / "store" / "access" / "people.json").read_text()
    assert main(["serve", "--users", *store]) == 0
    assert capsys.readouterr().out == "ines  Ines Okafor, technician\nbilling  a program that reads\n"
    assert main(["serve", "--remove-token", "billing", *store]) == 0
    assert People(tmp_path / "store").program_of(token) is None
    assert main(["serve", "--remove-token", "billing", *store]) == 1
    with Kept.open(tmp_path / "store") as kept:
        assert [line.action for line in kept.lines()][:3] == ["token taken back", "token made", "access given"]
        assert all("at the machine" in line.by for line in kept.lines()[:3])
        assert token not in " ".join(line.why for line in kept.lines())
    assert main(["serve", "--remove-user", "nobody", *store]) == 1
    monkeypatch.setattr(sys, "stdin", io.StringIO("short\n"))
    assert main(["serve", "--add-user", "sefa", *store]) == 2
    assert main(["serve", "--host", "0.0.0.0", "--store", str(tmp_path / "other")]) == 2
    assert "--add-user" in capsys.readouterr().err
