"""The microphone over a network: TLS under the journal's own authority, on an address that is not loopback.

Chromium is told of the authority by the hash of its key, since a fresh profile has no certificate store to install it
into; the chain, the names and the trust in it are checked by OpenSSL with the authority's file, as a browser gets it.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import importlib.util
import os
import socket
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from journal.keep import Store
from journal.present.web.certificate import Made, make_certificate
from journal.present.web.people import People, Role
from tests.conftest import Require
from tests.web.browser import CHROMIUM, Server, chromium
from tests.web.test_browser import end, time_code, until

PASSWORD = "a long enough password"


def own_address() -> str | None:
    """An address of this machine that is not loopback; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, contextlib.suppress(OSError):
        probe.connect(("192.0.2.1", 9))
        address = str(probe.getsockname()[0])
        return None if address.startswith("127.") else address
    return None


class Secure(Server):
    """``journal serve --host`` with people and TLS."""

    def __init__(self, store: Path, host: str, made: Made) -> None:
        self.host = host
        self.trust = ssl.create_default_context(cafile=str(made.authority))
        super().__init__(store)

    def start(self) -> None:
        self.url = f"https://{self.host}:{self.port}"
        command = [sys.executable, "-m", "journal", "serve", "--store", str(self.store)]
        command += ["--host", self.host, "--port", str(self.port)]
        self.process = subprocess.Popen(command, stderr=subprocess.DEVNULL, env={**os.environ, "JOURNAL_SETTINGS": ""})
        until = time.monotonic() + 120
        while time.monotonic() < until:
            with contextlib.suppress(ConnectionError, TimeoutError, urllib.error.URLError):
                urllib.request.urlopen(f"{self.url}/record.css", timeout=5, context=self.trust).close()
                return
            time.sleep(0.2)
        raise AssertionError("the server did not come up, or its certificate is not what the authority stands for")


@pytest.fixture
def made(tmp_path: Path, require: Require) -> Iterator[tuple[Secure, Made]]:
    there = bool(CHROMIUM) and importlib.util.find_spec("playwright") is not None
    require("browser", there, "needs chromium (Debian: chromium) and the Python package playwright")
    address = own_address()
    if address is None:
        pytest.skip("this machine has no address but loopback")
    store = tmp_path / "store"
    with Store.open(store):
        certificate = make_certificate(store, [address])
        People(store).add("ines", "Ines Okafor", Role.TECHNICIAN, PASSWORD)
    server = Secure(store, address, certificate)
    try:
        yield server, certificate
    finally:
        server.stop()


def key_hash(made: Made) -> str:
    from cryptography import x509
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

    key = x509.load_pem_x509_certificate(made.authority.read_bytes()).public_key()
    return base64.b64encode(
        hashlib.sha256(key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).digest()
    ).decode()


def test_a_browser_that_knows_the_authority_gives_the_microphone(made: tuple[Secure, Made], tmp_path: Path) -> None:
    served, certificate = made
    flag = f"--ignore-certificate-errors-spki-list={key_hash(certificate)}"
    with chromium(microphone=time_code(tmp_path / "code.wav", 30), more=(flag,)) as page:
        page.goto(f"{served.url}/sign-in")
        page.fill("input[name=login]", "ines")
        page.fill("input[name=password]", PASSWORD)
        page.press("input[name=password]", "Enter")
        page.wait_for_url(lambda url: "sign-in" not in url, timeout=60_000)
        page.goto(f"{served.url}/capture")
        page.wait_for_selector("body[data-ready]", timeout=60_000)
        assert page.evaluate("window.isSecureContext && location.protocol === 'https:'")
        page.click("#start")
        page.wait_for_selector("#line[data-state=on]", timeout=60_000)
        page.wait_for_timeout(5000)
        until(page, "document.getElementById('line').dataset.state === 'on'")
        code = end(page)
    with Store.open(served.store) as store:
        visit = store.visit(code)
    assert visit.technician == "Ines Okafor"
    assert visit.recordings[0].seconds >= 3.0


def test_a_browser_that_does_not_know_it_refuses(made: tuple[Secure, Made]) -> None:
    from playwright.sync_api import Error

    served, _ = made
    with chromium() as page, pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(f"{served.url}/capture")
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.urlopen(f"{served.url}/record.css", timeout=10)
