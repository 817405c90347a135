"""Running the pages: what is allowed on which address, loading what takes long in the background, stopping in order."""

from __future__ import annotations

import contextlib
import ipaddress
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.keep import Store
from journal.live import Captures
from journal.pipeline import Rules
from journal.present.web.app import build_app
from journal.present.web.certificate import folder_of, names_in
from journal.present.web.people import People
from journal.present.web.sessions import Sessions
from journal.present.web.state import LOCAL, State

if TYPE_CHECKING:
    from journal.hear.recogniser import Recogniser
    from journal.live.second import Second


@dataclass(frozen=True, slots=True)
class Address:
    """Where to serve; ``certificate`` and ``key`` in PEM."""

    host: str = "127.0.0.1"
    port: int = 8765
    certificate: Path | None = None
    key: Path | None = None

    @property
    def local(self) -> bool:
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return self.host == "localhost"

    @property
    def url(self) -> str:
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{'https' if self.certificate else 'http'}://{host}:{self.port}/"


def checked(address: Address, store: Path, people: People) -> Address:
    """Return the address with its certificate; refuses a network without people and TLS.

    Raises ``BadInput`` with the way out.
    """
    made = folder_of(store)
    if not address.local and address.certificate is None and (made / "server.crt").is_file():
        address = Address(address.host, address.port, made / "server.crt", made / "server.key")
    if (address.certificate is None) != (address.key is None):
        raise BadInput("A certificate needs its key: --certificate FILE --key FILE.")
    if address.local:
        return address
    if not len(people):
        raise BadInput("Others reach this address, so people have to log in: journal serve --add-user NAME first.")
    if address.certificate is None:
        raise BadInput("Others reach this address, so it needs TLS: journal serve --make-certificate first.")
    return address


@contextlib.contextmanager
def opened(
    store: Store, rules: Rules, listener_of: Callable[[str], Recogniser], model_name: str, address: Address,
    technician: str = "", second: Second | None = None,
) -> Iterator[State]:  # fmt: skip
    """Yield the state of a server on an open store, captures of last time taken up again."""
    captures = Captures(store, rules, listener_of, model_name, second)
    authority = folder_of(store.folder) / "authority.crt"
    hosts = {*LOCAL, address.host} - {"0.0.0.0", "::", "testserver"}
    if address.certificate:
        hosts |= set(names_in(address.certificate))
    captures.recover()
    try:
        yield State(
            store=store,
            captures=captures,
            rules=rules,
            people=People(store.folder),
            sessions=Sessions(store.folder),
            technician=technician,
            secure=address.certificate is not None,
            guarded=not address.local,
            hosts=frozenset(hosts),
            authority=authority.read_bytes() if authority.is_file() else None,
        )
    finally:
        captures.close()


def run(state: State, address: Address) -> None:
    """Serve until stopped."""
    import uvicorn

    uvicorn.run(
        build_app(state),
        host=address.host,
        port=address.port,
        ssl_certfile=address.certificate,
        ssl_keyfile=address.key,
        log_level="warning",
        access_log=False,
        server_header=False,
        ws_max_size=1 << 19,
        ws_ping_interval=15.0,
        ws_ping_timeout=20.0,
        timeout_graceful_shutdown=5,
    )
