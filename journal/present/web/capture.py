"""Live capture: the page, the sound coming in over a WebSocket, and what is shown while somebody speaks."""

from __future__ import annotations

import asyncio
import contextlib
import json
from dataclasses import dataclass, field
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.websockets import WebSocket, WebSocketDisconnect

from journal.domain.reading import Reading
from journal.domain.visit import Visit
from journal.errors import JournalError, NotFound
from journal.live import Capture, wording
from journal.live.asking import Question
from journal.live.events import Event
from journal.live.frames import HEAD, MAX_BODY, Frame, unpack
from journal.live.hearing import Snapshot
from journal.present.compose import reading_lines, verdict_lines
from journal.present.web.access import known_host, may_hear, person_of, same_origin, session_of, state_of, whose
from journal.present.web.drawing import draw, page
from journal.present.web.people import Person, Role
from journal.present.web.problems import Refused
from journal.present.web.state import State

SHOWN = 12  # readings on the page while speaking: the latest
REFUSED, BUSY, BROKEN = 4403, 4409, 4400  # codes with which a socket is closed
AT_ONCE = 50  # chunks put on the disk together


def capture_page(request: Request) -> Response:
    """The page to speak to; nothing of a person stands in it, so that the device may keep it for later."""
    return page(request, "capture.html", person=None, form_token="", logs_in=False, here="/capture")


def begin(request: Request) -> Response:
    """Begin a capture, or take up again the one with the same id."""
    state, person, form = state_of(request), person_of(request), request.state.form
    capture_id = str(form.get("id", ""))
    if state.captures.finished(capture_id):
        raise Refused(409, "That capture is finished; begin a new one.")
    with contextlib.suppress(NotFound):
        state.store.visit(capture_id if len(capture_id) > 30 else "-" * 8)
        raise Refused(409, "That visit is stored already; begin a new one.")
    technician = person.name if person.login or state.technician else None
    capture = state.captures.begin(
        capture_id=capture_id or None,
        technician=technician,
        title=str(form.get("title", "")).strip()[:120],
        site=str(form.get("site", "")).strip()[:120] or None,
        machine=str(form.get("machine", "")).strip()[:80],
        owner=person.login,
    )
    return JSONResponse({"id": capture.id, "next": capture.next_number})


def panel(request: Request) -> Response:
    """What has been understood so far, as a part of a page (the office looks in from the list)."""
    capture = _capture(request)
    if not may_hear(request, capture.about):
        raise Refused(403)
    return page(request, "capture_look.html", about=capture.about, panel=panel_html(capture), capture_id=capture.id)


async def sound(socket: WebSocket) -> None:
    """Chunks come in, are put on the disk, and are acknowledged; what is understood goes out."""
    state, session = state_of(socket), session_of(socket)
    if session is None and not state.needs_log_in:
        session = state.sessions.find(socket.cookies.get(state.cookie, ""))
    if not known_host(socket) or not same_origin(socket) or session is None:
        await socket.close(REFUSED)  # before accepting: the browser gets a 403
        return
    capture_id = socket.path_params["id"]
    person = whose(state, session)
    await socket.accept()
    try:
        capture = state.captures.get(capture_id)
    except NotFound:
        await _tell_finished(socket, state, capture_id, person)
        return
    if not _owns(person, capture):
        await socket.close(REFUSED, "That capture is somebody else's.")
        return
    await Line(socket, state, capture).run()


@dataclass(slots=True)
class Line:
    """One connection of one device to its capture."""

    socket: WebSocket
    state: State
    capture: Capture
    out: asyncio.Queue[dict[str, Any]] = field(default_factory=asyncio.Queue)
    incoming: asyncio.Queue[Frame | None] = field(default_factory=asyncio.Queue)
    drawing: bool = False

    async def run(self) -> None:
        loop = asyncio.get_running_loop()

        def watcher(event: Event) -> None:
            loop.call_soon_threadsafe(self._told, event)

        stop = self.capture.watch(watcher)
        self.out.put_nowait({"kind": "welcome", "next": self.capture.next_number})
        self._draw()
        tasks = [asyncio.create_task(part()) for part in (self._receive, self._keep, self._send)]
        try:
            _, rest = await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
            for task in rest:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
        finally:
            stop()
            with contextlib.suppress(RuntimeError):
                await self.socket.close()

    async def _receive(self) -> None:
        try:
            while True:
                data = await self.socket.receive_bytes()
                if self.state.needs_log_in and session_of(self.socket) is None:  # expired, or access taken away
                    await self.socket.close(REFUSED, "Your log-in has ended; log in again.")
                    return
                if len(data) > HEAD.size + MAX_BODY:
                    await self.socket.close(BROKEN)
                    return
                self.incoming.put_nowait(unpack(data))
        except JournalError as error:
            await self.socket.close(BROKEN, str(error)[:120])
        except (WebSocketDisconnect, KeyError, RuntimeError):
            return

    async def _keep(self) -> None:
        """Put on the disk whatever has come in since the last time, then say up to where."""
        while True:
            frames = [await self.incoming.get()]
            while not self.incoming.empty() and len(frames) < AT_ONCE:
                frames.append(self.incoming.get_nowait())
            try:
                number = await run_in_threadpool(self.capture.take, [frame for frame in frames if frame])
            except JournalError as error:
                self.out.put_nowait({"kind": "trouble", "text": str(error)})
                await asyncio.sleep(2)  # the device keeps its chunks and sends them again
                number = self.capture.next_number
            self.out.put_nowait({"kind": "kept", "next": number})

    async def _send(self) -> None:
        with contextlib.suppress(WebSocketDisconnect, RuntimeError):
            while True:
                message = await self.out.get()
                if message["kind"] == "draw":
                    self.drawing = False
                    message = await run_in_threadpool(self._panel)
                elif message["kind"] == "provisional":
                    html = draw("capture_grey.html", {"lines": reading_lines(message["readings"])})
                    message = {"kind": "provisional", "html": html, "at": message["at"]}
                await self.socket.send_text(json.dumps(message, ensure_ascii=False))
                if message["kind"] == "finished":
                    return

    def _told(self, event: Event) -> None:
        match event.kind:
            case "understood":
                self._draw()
            case "provisional":
                self.out.put_nowait({"kind": "provisional", "readings": event.readings, "at": event.at})
            case "finished":
                self.out.put_nowait({"kind": "finished", "code": event.text})
            case "finish":
                self.out.put_nowait({"kind": "finishing"})
            case _:
                self.out.put_nowait({"kind": event.kind, "text": event.text, "final": event.final, "at": event.at})

    def _draw(self) -> None:
        """Draw the panel once, however many changes come before it is sent."""
        if not self.drawing:
            self.drawing = True
            self.out.put_nowait({"kind": "draw"})

    def _panel(self) -> dict[str, Any]:
        snapshot = self.capture.snapshot
        return {
            "kind": "panel",
            "html": panel_html(self.capture),
            "paused": snapshot.paused,
            "readings": len(snapshot.readings),
            "seconds": round(snapshot.seconds, 1),
        }


def panel_html(capture: Capture) -> str:
    """Return what the page shows of a capture: the question, the readings, latest first, and what is needed."""
    snapshot = capture.snapshot
    return draw("capture_panel.html", _panel_values(snapshot))


def _panel_values(snapshot: Snapshot) -> dict[str, Any]:
    ordered = tuple(sorted(snapshot.readings, key=_said_at))
    verdicts = snapshot.understanding.judgement.verdicts if snapshot.understanding else ()
    judged = verdict_lines(verdicts, snapshot.readings)
    of = {line.id: tuple(v for v in judged if line.id in {r.id for r in v.rests_on}) for line in reading_lines(ordered)}
    return {
        "lines": tuple(reversed(reading_lines(ordered)))[:SHOWN],
        "more": max(0, len(ordered) - SHOWN),
        "verdicts_of": of,
        "question": snapshot.question,
        "choices": _choices(snapshot.question),
        "behind": snapshot.behind,
        "needs": tuple(dict.fromkeys(need for line in judged for need in line.missing)),
        "cautions": snapshot.understanding.judgement.cautions if snapshot.understanding else (),
        "gaps": snapshot.gaps,
        "paused": snapshot.paused,
    }


def _choices(question: Question | None) -> tuple[str, ...]:
    """What a question offers, as it is touched: '15 ohms', '50 ohms'."""
    if question is None or question.reading is None:
        return ()
    own = question.reading
    return (wording.amount(own), *(wording.amount(own, other) for other in question.others))


def _said_at(reading: Reading) -> tuple[str, int, int]:
    said = reading.evidence
    return (said.recording, said.utterance, said.first) if said else ("", 0, 0)


async def _tell_finished(socket: WebSocket, state: State, capture_id: str, person: Person) -> None:
    """A device that comes back late learns what became of its capture."""
    visit: Visit | None = state.captures.finished(capture_id)
    if visit is None:
        with contextlib.suppress(JournalError):
            visit = await run_in_threadpool(state.store.visit, capture_id)
    if visit is not None and person.may_see(visit.technician):
        await socket.send_text(json.dumps({"kind": "finished", "code": visit.code}))
        await socket.close()
    else:
        await socket.send_text(json.dumps({"kind": "unknown"}))
        await socket.close(BUSY)


def _owns(person: Person, capture: Capture) -> bool:
    return capture.about.get("owner", "") == person.login or (not person.login and person.role is Role.OFFICE)


def _capture(request: Request) -> Capture:
    return state_of(request).captures.get(request.path_params["id"])
