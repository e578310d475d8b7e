"""The routes: each reads one record, asks the desk in a thread, answers one record. The table stands in ``api``."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Awaitable, Callable, Iterable
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp
from starlette.websockets import WebSocket, WebSocketDisconnect

from planewright.errors import InputError, PlanewrightError
from planewright.findings.model import Record
from planewright.web import actions, trialwork
from planewright.web import sheets as boards
from planewright.web.actions import ConflictError
from planewright.web.api import (
    Boards,
    Cuts,
    Edit,
    FileText,
    Moved,
    Moves,
    NewTrial,
    Print,
    PrinterRead,
    Push,
    Refusal,
    RemarkOn,
    Saved,
    SetAside,
    Start,
    Tidied,
    Tidy,
    TwoPersonCheck,
    Weigh,
    WholeFile,
)
from planewright.web.desk import Desk, nothing
from planewright.web.differences import differences
from planewright.web.disk import digest_of
from planewright.web.engines import engines_record
from planewright.web.flying import flying_record
from planewright.web.guard import LARGEST, UPLOAD, LocalOnly
from planewright.web.jobs import Jobs
from planewright.web.mesh import tried_shape
from planewright.web.page import page_routes
from planewright.web.records import fault_records
from planewright.web.state import OUT, build_state, history_record, system_of
from planewright.web.strength import strength_record
from planewright.web.weighing import preview_weighing
from planewright.web.words import all_words, sentence_of

R = TypeVar("R", bound=Record)
Answer = Callable[[Request], Awaitable[Response]]
POLL = 0.5
WAITING = 200


class TooLarge(PlanewrightError):
    """A body above its limit; not read further."""


class Page:
    """The server side of the page: one desk, its jobs, and the sockets that listen."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.jobs = desk, Jobs(desk)
        self.sockets: set[asyncio.Queue[Push]] = set()
        self.loop: asyncio.AbstractEventLoop | None = None
        desk.listeners.append(self.heard)

    def heard(self, push: Push) -> None:
        """A word from any thread, to every socket."""
        if self.loop is not None and not self.loop.is_closed():
            self.loop.call_soon_threadsafe(self._spread, push)

    def _spread(self, push: Push) -> None:
        for queue in self.sockets:
            if queue.qsize() < WAITING:
                queue.put_nowait(push)

    @contextlib.asynccontextmanager
    async def life(self, app: Starlette) -> AsyncIterator[None]:
        """Watch the files while the server runs; say good-bye when it stops."""
        del app
        self.loop = asyncio.get_running_loop()
        watcher = asyncio.create_task(self._watch())
        yield
        watcher.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await watcher
        await run_in_threadpool(self.jobs.close)
        await run_in_threadpool(self.desk.close)

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(POLL)
            with contextlib.suppress(PlanewrightError, OSError):
                await run_in_threadpool(self.desk.take_in)

    def hello(self, kind: str = "hello") -> Push:
        """The first and the last word on a socket."""
        return Push.model_validate({"kind": kind, "revision": self.desk.revision, "boot": self.desk.boot})

    async def socket(self, ws: WebSocket) -> None:
        """Words to one page until it leaves. What a page sends is not read."""
        await ws.accept()
        queue: asyncio.Queue[Push] = asyncio.Queue()
        self.sockets.add(queue)
        leaving = asyncio.create_task(_left(ws))
        try:
            await ws.send_text(self.hello().model_dump_json())
            while not leaving.done():
                word = asyncio.create_task(queue.get())
                await asyncio.wait({word, leaving}, return_when=asyncio.FIRST_COMPLETED)
                if not word.done():
                    word.cancel()
                    break
                await ws.send_text(word.result().model_dump_json())
                if word.result().kind == "stopping":
                    break
        except (WebSocketDisconnect, RuntimeError):
            pass
        finally:
            self.sockets.discard(queue)
            leaving.cancel()

    def say_goodbye(self) -> None:
        """Tell every page that the server stops."""
        self._spread(self.hello("stopping"))

    # Answers

    def saved(
        self,
        request: Request,
        number: int,
        moved: tuple[Moved, ...],
        merged: Iterable[str] = (),
        made: str = "",
    ) -> Saved:
        """What a save answers, with the state after it."""
        state = build_state(self.desk, request.query_params.get("units"), self.jobs.all())
        return Saved(
            revision=number,
            says=sentence_of(moved),
            moved=moved,
            merged=tuple(merged),
            made=made,
            state=state,
        )

    async def state(self, request: Request) -> Response:
        """GET /api/state."""
        units = request.query_params.get("units")
        return said(await run_in_threadpool(lambda: build_state(self.desk, units, self.jobs.all())))

    async def mesh(self, request: Request) -> Response:
        """GET /api/mesh."""
        del request
        mesh = self.desk.view.mesh
        if mesh is None:
            raise nothing("There is no shape yet.")
        return Response(mesh.data, media_type="application/octet-stream", headers={"ETag": f'"{mesh.mark}"'})

    async def preview(self, request: Request) -> Response:
        """POST /api/preview. Words that cannot be read yet are an answer while one types, not a refusal."""
        wanted = await body(request, Edit)
        system = system_of(self.desk, request.query_params.get("units"))

        def work() -> Moves:
            moved, view = actions.preview(self.desk, wanted)
            document = view.document if view else None
            words = all_words(document.figures, system) if document else {}
            working = view.working if view else ()
            return Moves(
                says=sentence_of(moved),
                moved=moved,
                words=words,
                document=document,
                working=working,
                bands=view.bands if view else (),
                shape=tried_shape(view.study, document.figures) if view and view.study and document else None,
            )

        return said(await run_in_threadpool(trying, work))

    async def preview_weighing(self, request: Request) -> Response:
        """POST /api/weigh/preview. A weight half typed is an answer too."""
        wanted = await body(request, Weigh)
        system = system_of(self.desk, request.query_params.get("units"))
        return said(await run_in_threadpool(trying, lambda: preview_weighing(self.desk, wanted, system)))

    def saving(self, kind: type[R], act: Callable[[R], actions.Done]) -> Answer:
        """A route that reads a record and saves."""

        async def answer(request: Request) -> Response:
            wanted = await body(request, kind)

            def work() -> Saved:
                entry, moved = act(wanted)
                return self.saved(request, entry.number, moved)

            return said(await run_in_threadpool(work))

        return answer

    def merging(
        self, kind: type[R], act: Callable[[R], tuple[object, tuple[Moved, ...], tuple[str, ...]]]
    ) -> Answer:
        """A route that saves on top of what others changed."""

        async def answer(request: Request) -> Response:
            wanted = await body(request, kind)

            def work() -> Saved:
                _, moved, met = act(wanted)
                return self.saved(request, self.desk.revision, moved, met)

            return said(await run_in_threadpool(work))

        return answer

    def doing(self, act: Callable[[Request], actions.Done]) -> Answer:
        """A route without a body that saves."""

        async def answer(request: Request) -> Response:
            def work() -> Saved:
                entry, moved = act(request)
                return self.saved(request, entry.number, moved)

            return said(await run_in_threadpool(work))

        return answer

    def about_trial(self, kind: type[R], act: Callable[[Desk, str, R], actions.Done]) -> Answer:
        """A route that saves something about one trial."""

        async def answer(request: Request) -> Response:
            wanted = await body(request, kind)

            def work() -> Saved:
                entry, moved = act(self.desk, request.path_params["id"], wanted)
                return self.saved(request, entry.number, moved)

            return said(await run_in_threadpool(work))

        return answer

    async def plan_trial(self, request: Request) -> Response:
        """POST /api/trial."""
        wanted = await body(request, NewTrial)

        def work() -> Saved:
            made, (entry, moved) = trialwork.plan(self.desk, wanted)
            return self.saved(request, entry.number, moved, made=made)

        return said(await run_in_threadpool(work))

    async def readings(self, request: Request) -> Response:
        """PUT /api/trial/ID/readings."""
        data = await raw(request, UPLOAD)
        name, mend = request.query_params.get("name", "readings.csv"), request.query_params.get("mend") == "1"

        def work() -> Saved:
            entry, moved = trialwork.readings(self.desk, request.path_params["id"], name, data, mend)
            return self.saved(request, entry.number, moved)

        return said(await run_in_threadpool(work))

    async def look(self, request: Request) -> Response:
        """POST /api/trial/ID/readings/look."""
        data = await raw(request, UPLOAD)
        name = request.query_params.get("name", "readings.csv")
        return said(await run_in_threadpool(trialwork.look, name, data))

    async def file(self, request: Request) -> Response:
        """GET /api/file."""
        name = request.query_params.get("name", "")

        def work() -> FileText:
            data = self.desk.disk.read(name)
            if data is None:
                raise nothing("That file is not there.")
            text = data.decode("utf-8", "replace")
            return FileText(name=name, text=text, hash=digest_of(data), editable=actions.editable(name))

        return said(await run_in_threadpool(work))

    async def history(self, request: Request) -> Response:
        """GET /api/history."""
        del request
        return said(await run_in_threadpool(history_record, self.desk))

    async def differences(self, request: Request) -> Response:
        """GET /api/history/N."""
        number, other = request.path_params["n"], request.query_params.get("with", "")
        before = int(other) if other.isdecimal() else number - 1
        system = system_of(self.desk, request.query_params.get("units"))
        return said(await run_in_threadpool(differences, self.desk, before, number, system))

    async def sheet(self, request: Request) -> Response:
        """GET /api/sheets/N.svg."""
        text = await run_in_threadpool(boards.picture, self.desk.view, request.path_params["n"])
        if text is None:
            raise nothing("There is no such board.")
        return Response(text, media_type="image/svg+xml")

    async def cuts(self, request: Request) -> Response:
        """GET /api/cutting."""
        del request
        return said(boards.cuts_record(self.desk.view))

    async def mark_boards(self, request: Request) -> Response:
        """POST /api/cutting/mark."""
        asked = await body(request, Boards)
        return await self._cut_again(lambda: boards.mark(self.desk.folder, self.desk.view, asked))

    async def measure_printer(self, request: Request) -> Response:
        """POST /api/cutting/printer."""
        asked = await body(request, PrinterRead)
        return await self._cut_again(lambda: boards.measure(self.desk.folder, asked))

    async def tidy_boards(self, request: Request) -> Response:
        """POST /api/cutting/tidy."""
        asked, desk = await body(request, Tidy), self.desk

        def work() -> Tidied:
            found = boards.tidy(desk.folder, desk.view, asked.materials, asked.do)
            if asked.do:
                desk.recut()
            return found

        return said(await run_in_threadpool(work))

    async def _cut_again(self, change: Callable[[], None]) -> Response:
        def work() -> Cuts:
            change()
            return boards.cuts_record(self.desk.recut())

        return said(await run_in_threadpool(work))

    async def strength(self, request: Request) -> Response:
        """GET /api/strength."""
        del request
        return said(strength_record(self.desk.view))

    async def engines(self, request: Request) -> Response:
        """GET /api/engines."""
        del request
        return said(engines_record(self.desk.view))

    async def handling(self, request: Request) -> Response:
        """GET /api/handling."""
        del request
        return said(flying_record(self.desk.view))

    def start_job(self, kind: str) -> Answer:
        """POST /api/jobs/book, /api/jobs/tiles, /api/calibrate."""

        async def answer(request: Request) -> Response:
            if kind == "calibrate":
                return said(self.jobs.calibrate())
            asked = await body(request, Print)
            system = system_of(self.desk, request.query_params.get("units"))
            start = {"book": self.jobs.book, "tiles": self.jobs.tiles, "sheets": self.jobs.sheets}[kind]
            return said(start(asked, system))

        return answer

    async def job(self, request: Request) -> Response:
        """GET /api/jobs/ID."""
        return said(self.jobs.find(request.path_params["id"]))

    async def cancel_job(self, request: Request) -> Response:
        """POST /api/jobs/ID/cancel."""
        return said(self.jobs.cancel(request.path_params["id"]))

    async def download(self, request: Request) -> Response:
        """GET /api/download/NAME: a plain file below out/, nothing above it, no links."""
        place = (self.desk.folder / OUT).resolve()
        name = request.path_params["name"]
        path = (place / name).resolve() if "\x00" not in name else place
        hidden = any(one.startswith(".") for one in Path(name).parts)
        if hidden or not path.is_relative_to(place) or not path.is_file():
            raise nothing("There is no such file to download.")
        return FileResponse(path, filename=path.name, content_disposition_type="attachment")

    def routes(self) -> list[Route | WebSocketRoute]:
        """The route table."""
        desk = self.desk

        def post(path: str, answer: Answer) -> Route:
            return Route(path, guarded(answer), methods=["POST"])

        def get(path: str, answer: Answer) -> Route:
            return Route(path, guarded(answer), methods=["GET"])

        return [
            get("/api/state", self.state),
            get("/api/mesh", self.mesh),
            post("/api/preview", self.preview),
            post("/api/edit", self.merging(Edit, lambda one: actions.edit(desk, one))),
            post("/api/weigh/preview", self.preview_weighing),
            post("/api/weigh", self.saving(Weigh, lambda one: actions.weigh(desk, one))),
            post("/api/check", self.saving(TwoPersonCheck, lambda one: actions.check(desk, one))),
            post("/api/start", self.saving(Start, lambda one: actions.start(desk, one))),
            post("/api/trial", self.plan_trial),
            Route("/api/trial/{id}/readings", guarded(self.readings), methods=["PUT"]),
            post("/api/trial/{id}/readings/look", self.look),
            post("/api/trial/{id}/set-aside", self.about_trial(SetAside, trialwork.set_aside)),
            post("/api/trial/{id}/remark", self.about_trial(RemarkOn, trialwork.remark)),
            post("/api/calibrate", self.start_job("calibrate")),
            get("/api/file", self.file),
            post("/api/file", self.merging(WholeFile, lambda one: actions.whole_file(desk, one))),
            post("/api/undo", self.doing(lambda _: desk.step(-1))),
            post("/api/redo", self.doing(lambda _: desk.step(1))),
            get("/api/history", self.history),
            get("/api/history/{n:int}", self.differences),
            post("/api/history/{n:int}/back", self.doing(lambda one: desk.back_to(one.path_params["n"]))),
            get("/api/engines", self.engines),
            get("/api/handling", self.handling),
            get("/api/strength", self.strength),
            get("/api/sheets/{n:int}.svg", self.sheet),
            get("/api/cutting", self.cuts),
            post("/api/cutting/mark", self.mark_boards),
            post("/api/cutting/printer", self.measure_printer),
            post("/api/cutting/tidy", self.tidy_boards),
            post("/api/jobs/sheets", self.start_job("sheets")),
            post("/api/jobs/book", self.start_job("book")),
            post("/api/jobs/tiles", self.start_job("tiles")),
            get("/api/jobs/{id}", self.job),
            post("/api/jobs/{id}/cancel", self.cancel_job),
            get("/api/download/{name:path}", self.download),
            WebSocketRoute("/ws", self.socket),
        ]


async def _left(ws: WebSocket) -> None:
    """Wait until the page leaves; what it says is thrown away."""
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        while True:
            message = await ws.receive()
            if message["type"] == "websocket.disconnect":
                return


def said(record: Record, status: int = 200) -> Response:
    """A record as JSON, never kept by a cache."""
    return Response(
        record.model_dump_json(by_alias=True),
        status,
        {"Cache-Control": "no-store"},
        media_type="application/json",
    )


async def raw(request: Request, most: int) -> bytes:
    """The body, read piece by piece and given up as soon as it is above ``most`` bytes."""
    told = request.headers.get("content-length", "")
    if told.isdecimal() and int(told) > most:
        raise TooLarge(f"That is {int(told) / 1e6:.0f} MB; at most {most / 1e6:.0f} MB are taken.")
    parts: list[bytes] = []
    size = 0
    async for piece in request.stream():
        size += len(piece)
        if size > most:
            raise TooLarge(f"That is more than {most / 1e6:.0f} MB; nothing was kept.")
        parts.append(piece)
    return b"".join(parts)


async def body(request: Request, kind: type[R]) -> R:
    """The body as a record. Raises InputError for anything else."""
    data = await raw(request, LARGEST)
    try:
        return kind.model_validate_json(data or b"{}")
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(one) for one in first["loc"])
        raise nothing(f"The page sent something else than was expected ({where}: {first['msg']}).") from error


def refused(error: InputError) -> Refusal:
    """Why, in one sentence, and all faults with their places."""
    first = next(iter(error.faults), None)
    says = " ".join(one for one in (first.read, first.expected) if one) if first else ""
    return Refusal(says=says or "That cannot be done.", faults=fault_records(error.faults))


def trying(work: Callable[[], Moves]) -> Moves:
    """What changes would move, or why they cannot be taken: words half typed are answered, not refused."""
    try:
        return work()
    except ConflictError:
        raise
    except InputError as error:
        refusal = refused(error)
        return Moves(says=refusal.says, moved=(), faults=refusal.faults)
    except PlanewrightError as error:
        return Moves(says=str(error), moved=())


def guarded(answer: Answer) -> Answer:
    """Every planned failure ends in one Refusal; nothing was changed then."""

    async def safe(request: Request) -> Response:
        try:
            return await answer(request)
        except ConflictError as error:
            return said(Refusal(says=str(error), conflict=error.conflict), 409)
        except InputError as error:
            status = 404 if request.method == "GET" else 400
            return said(refused(error), status)
        except TooLarge as error:
            return said(Refusal(says=str(error)), 413)
        except PlanewrightError as error:
            return said(Refusal(says=str(error)), 400)
        except OSError as error:
            return said(
                Refusal(says=f"The system says: {error.strerror or error}. Nothing was changed."), 400
            )
        except ClientDisconnect:
            return Response(status_code=400)

    return safe


def make_app(desk: Desk, port: int, pages: Iterable[str] = ()) -> tuple[ASGIApp, Page]:
    """The whole application for one desk behind its guard, and its page object.

    Arguments:
        port: at which it will be asked. pages: further origins (host:port) for developing the page.
    """
    page = Page(desk)
    inner = Starlette(routes=[*page.routes(), *page_routes()], lifespan=page.life)
    return LocalOnly(inner, port, pages), page
