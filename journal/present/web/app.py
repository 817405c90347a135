"""The application: every route in one list, each with who it is for."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from importlib import resources
from pathlib import Path

from starlette.applications import Starlette
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Mount, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from journal.errors import JournalError, StoreUnusable
from journal.present.web import capture, correcting, entrance, handing_on, machines, office, review
from journal.present.web.access import Way, known_host, route_of
from journal.present.web.drawing import page, record_style
from journal.present.web.problems import SENTENCES, Refused, status_of
from journal.present.web.state import State

LARGE = 32 << 20


def _style(request: Request) -> Response:
    return PlainTextResponse(record_style(), media_type="text/css", headers=_KEEP)


def _worker(request: Request) -> Response:
    """The service worker stands at the top, so that it may answer for every page."""
    text = _static().joinpath("service-worker.js").read_text(encoding="utf-8")
    return PlainTextResponse(text, media_type="text/javascript", headers=_KEEP)


def _manifest(request: Request) -> Response:
    text = _static().joinpath("manifest.webmanifest").read_text(encoding="utf-8")
    return PlainTextResponse(text, media_type="application/manifest+json", headers=_KEEP)


_KEEP = {"cache-control": "no-cache"}

POST = ("POST",)
WAYS: tuple[Way, ...] = (
    Way("/", entrance.home),
    Way("/sign-in", entrance.sign_in_page, "anyone"),
    Way("/sign-in", entrance.sign_in, "anyone", POST),
    Way("/sign-out", entrance.sign_out, "person", POST),
    Way("/password", entrance.password_page),
    Way("/password", entrance.change_password, "person", POST),
    Way("/people", office.people_page, "office"),
    Way("/people", office.add_person, "office", POST),
    Way("/people/remove", office.remove_person, "office", POST),
    Way("/programs", office.add_program, "office", POST),
    Way("/programs/remove", office.remove_program, "office", POST),
    Way("/audit", office.audit, "office"),
    Way("/who", entrance.who_am_i),
    Way("/certificate", entrance.certificate_page, "anyone"),
    Way("/certificate/authority.crt", entrance.certificate, "anyone"),
    Way("/record.css", _style, "anyone"),
    Way("/service-worker.js", _worker, "anyone"),
    Way("/manifest.webmanifest", _manifest, "anyone"),
    Way("/capture", capture.capture_page, "anyone"),
    Way("/captures", capture.begin, "person", POST),
    Way("/captures/{id}", capture.panel),
    Way("/visits", review.visits),
    Way("/visits/{code}", review.visit),
    Way("/visits/{code}/sound/{recording}", review.sound),
    Way("/visits/{code}/attachments", correcting.attach, "person", POST, most=LARGE),
    Way("/visits/{code}/attachments/{name}", review.attachment),
    Way("/visits/{code}/readings/{reading}", correcting.correct, "person", POST),
    Way("/visits/{code}/verdicts/{verdict}", correcting.overrule, "person", POST),
    Way("/visits/{code}/facts", correcting.write_down, "person", POST),
    Way("/visits/{code}/sign-off", correcting.sign_off, "person", POST),
    Way("/visits/{code}/export/{form}", handing_on.export),
    Way("/visits/{code}/release", handing_on.release, "office", POST),
    Way("/machine", machines.machine),
    Way("/api/openapi.json", handing_on.api_description, "anyone"),
    Way("/api/visits", handing_on.api_visits, "program"),
    Way("/api/visits/{code}", handing_on.api_visit, "program"),
)


def build_app(state: State) -> Starlette:
    """Return the application for an open store; whoever opened it closes it."""
    routes = [
        *(route_of(way) for way in WAYS),
        WebSocketRoute("/captures/{id}/sound", capture.sound),
        Mount("/static", StaticFiles(directory=str(_static())), name="static"),
    ]
    app = Starlette(
        routes=routes,
        exception_handlers={
            Refused: _refused,
            JournalError: _trouble,
            HTTPException: _http,
            Exception: _unforeseen,
        },
    )
    app.state.journal = state
    app.add_middleware(Shield, state=state)
    return app


class Shield:
    """Refuses strange hosts, and puts the headers on that hold the browser to our own scripts, styles and sound."""

    def __init__(self, app: ASGIApp, state: State) -> None:
        self.app = app
        self.state = state

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        if not known_host(request):
            await PlainTextResponse("This server does not go by that name.\n", 421)(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                self._put_on(MutableHeaders(scope=message), request)
            await send(message)

        await self.app(scope, receive, guarded)

    def _put_on(self, headers: MutableHeaders, request: Request) -> None:
        host = request.headers.get("host", "")
        socket = f"{'wss' if self.state.secure else 'ws'}://{host}"
        headers["content-security-policy"] = (
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
            "media-src 'self' blob:; "
            f"connect-src 'self' {socket}; worker-src 'self'; manifest-src 'self'; form-action 'self'; "
            "frame-ancestors 'none'; base-uri 'none'"
        )
        headers["x-content-type-options"] = "nosniff"
        headers["referrer-policy"] = "same-origin"
        headers["cross-origin-opener-policy"] = "same-origin"
        headers["cross-origin-resource-policy"] = "same-origin"
        headers["permissions-policy"] = "microphone=(self), camera=(), geolocation=()"
        if self.state.secure:
            headers["strict-transport-security"] = "max-age=31536000"
        if "cache-control" not in headers:
            headers["cache-control"] = "no-cache" if request.url.path.startswith("/static/") else "no-store"


Handler = Callable[[Request, Exception], Awaitable[Response]]


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, Refused)
    if error.status == 303:
        return Response(status_code=303, headers=error.headers)
    return _told(request, error.status, error.sentence, error.headers)


async def _trouble(request: Request, error: Exception) -> Response:
    assert isinstance(error, JournalError)
    if isinstance(error, StoreUnusable):  # where it lies on the disk is not for everybody to know
        return _told(request, 503, f"The store cannot be used just now: {error.reason}. {error.remedy}")
    return _told(request, status_of(error), str(error))


async def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    headers = dict(error.headers or {})
    return _told(request, error.status_code, SENTENCES.get(error.status_code, "That did not work."), headers)


async def _unforeseen(request: Request, error: Exception) -> Response:
    return _told(request, 500, SENTENCES[500])


def _told(request: Request, status: int, sentence: str, headers: dict[str, str] | None = None) -> Response:
    """A page for people, JSON for programs and for our own scripts."""
    if "text/html" in request.headers.get("accept", "") and not request.url.path.startswith("/api/"):
        for name in ("session", "person"):
            if not hasattr(request.state, name):
                setattr(request.state, name, None)
        response: Response = page(request, "trouble.html", status, sentence=sentence, status=status)
    else:
        response = JSONResponse({"problem": sentence}, status)
    response.headers.update(headers or {})
    return response


def _static() -> Path:
    return Path(str(resources.files("journal.present.web").joinpath("static")))
