"""A real Chromium against a real server, each in its own process; a recording stands in for the microphone."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

CHROMIUM = shutil.which("chromium") or ""
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Server:
    """``journal serve`` in a process of its own; ``stop`` and ``start`` cut it off and bring it back."""

    def __init__(self, store: Path) -> None:
        self.store = store
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None
        self.start()

    def start(self) -> None:
        command = [sys.executable, "-m", "journal", "serve", "--store", str(self.store), "--port", str(self.port)]
        environment = {**os.environ, "JOURNAL_SETTINGS": ""}
        self.process = subprocess.Popen(command, stderr=subprocess.DEVNULL, env=environment)
        until = time.monotonic() + 120  # a busy machine takes its time; a quiet one is there within two seconds
        while time.monotonic() < until:
            with contextlib.suppress(OSError):
                urllib.request.urlopen(f"{self.url}/record.css", timeout=2).close()
                return
            time.sleep(0.1)
        raise AssertionError("the server did not come up")

    def stop(self, *, hard: bool = False) -> None:
        if self.process:
            self.process.kill() if hard else self.process.terminate()
            self.process.wait(timeout=20)
            self.process = None


@contextlib.contextmanager
def server(store: Path) -> Iterator[Server]:
    one = Server(store)
    try:
        yield one
    finally:
        one.stop()


@contextlib.contextmanager
def chromium(*, microphone: Path | None = None, more: tuple[str, ...] = (), **context: Any) -> Iterator[Any]:
    """Yield a page of a fresh profile; ``microphone`` is a WAV that is heard once, ``more`` are further flags."""
    from playwright.sync_api import sync_playwright

    flags = [*FLAGS, *more]
    if microphone:
        flags += [
            "--use-fake-ui-for-media-stream",
            "--use-fake-device-for-media-stream",
            f"--use-file-for-fake-audio-capture={microphone}%noloop",
        ]
    with (
        tempfile.TemporaryDirectory(prefix="journal-browser-", ignore_cleanup_errors=True) as profile,
        sync_playwright() as play,
    ):
        browser = play.chromium.launch_persistent_context(
            profile, executable_path=CHROMIUM, args=flags, headless=True, **context
        )
        browser.set_default_timeout(90_000)  # a busy machine is no fault of the pages
        try:
            yield browser.pages[0]
        finally:
            browser.close()


def logged_in(page: Any, served: Server, login: str, password: str = "a long enough password") -> None:
    """Log in on the page."""
    page.goto(f"{served.url}/sign-in")
    page.fill("input[name=login]", login)
    page.fill("input[name=password]", password)
    page.click("button.main")
    page.wait_for_url(f"{served.url}/*")


def wav_of(source: Path, target: Path, *, silence: float = 2.0, seconds: float | None = None) -> Path:
    """Write a recording as a 48 kHz WAV with silence around it, as the browser's stand-in for a microphone wants it."""
    import soundfile

    samples, rate = soundfile.read(source, dtype="float32", always_2d=True)
    mono = samples[: round(seconds * rate) if seconds else None].mean(axis=1)
    quiet = np.zeros(round(silence * rate), dtype=np.float32)
    soundfile.write(target, np.concatenate([quiet, mono, quiet]), rate, subtype="PCM_16")
    return target
