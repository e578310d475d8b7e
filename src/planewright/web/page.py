"""The built page as it lies in the package: one HTML file and its assets, or plain words when it is not built."""

from __future__ import annotations

from html import escape
from pathlib import Path

from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, Response
from starlette.routing import Route

BUILT = Path(__file__).resolve().parents[1] / "_web"
TYPES = {
    ".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml", ".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8", ".json": "application/json",
    ".png": "image/png", ".ico": "image/x-icon", ".webmanifest": "application/manifest+json",
}  # fmt: skip
NOT_BUILT = (
    "The page is not built in this copy. Install planewright from a wheel, or build the page once: "
    "with Node 20 or newer, run npm ci and npm run build in the folder web. Everything else works: "
    "planewright --help lists the commands."
)


def is_built(place: Path = BUILT) -> bool:
    """True when the page lies in the package."""
    return (place / "index.html").is_file()


def page_routes(place: Path = BUILT) -> list[Route]:
    """GET / and everything the built page names; deep links of the page give the page itself."""

    async def file(request: Request) -> Response:
        return answer(place, request.path_params.get("path", ""))

    return [Route("/", file, methods=["GET"]), Route("/{path:path}", file, methods=["GET"])]


def answer(place: Path, path: str) -> Response:
    """One file of the built page. Names that lead out of it are not there."""
    if not is_built(place):
        words = f"<!doctype html><meta charset=utf-8><title>planewright</title><p>{escape(NOT_BUILT)}"
        return HTMLResponse(words, status_code=503)
    if path.startswith(("api/", "ws")) or "\x00" in path or "\\" in path:
        return Response("not there", status_code=404)
    root = place.resolve()
    found = (root / path).resolve()
    if not found.is_relative_to(root):
        return Response("not there", status_code=404)
    if not path or (not found.is_file() and "." not in Path(path).name):
        return FileResponse(
            root / "index.html", media_type=TYPES[".html"], headers={"Cache-Control": "no-cache"}
        )
    if not found.is_file() or found.suffix not in TYPES:
        return Response("not there", status_code=404)
    hashed = "assets" in Path(path).parts
    keep = "public, max-age=31536000, immutable" if hashed else "no-cache"
    return FileResponse(found, media_type=TYPES[found.suffix], headers={"Cache-Control": keep})
