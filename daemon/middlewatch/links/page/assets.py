"""The page's own files: read once, served as they are. A browser asks whether they changed."""

import hashlib
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}


@dataclass(frozen=True, slots=True)
class Asset:
    """One file: where it is served, its bytes, their kind, and what tells this content from any other."""

    path: str
    content: bytes
    kind: str
    tag: str


def assets() -> list[Asset]:
    """Return every file of the page; `index.html` is the page itself, at `/`."""
    folder = files("middlewatch.links.page") / "static"
    return [_asset(each) for each in sorted(folder.iterdir(), key=lambda each: each.name)]


def _asset(file: Traversable) -> Asset:
    content = file.read_bytes()
    path = "/" if file.name == "index.html" else f"/{file.name}"
    tag = f'"{hashlib.sha256(content).hexdigest()[:16]}"'
    return Asset(path, content, _KINDS[file.name[file.name.rindex(".") :]], tag)


def asset_route(asset: Asset) -> Route:
    """Return the route that serves a file."""

    async def serve(request: Request) -> Response:
        headers = {"etag": asset.tag, "cache-control": "no-cache"}
        if request.headers.get("if-none-match") == asset.tag:
            return Response(status_code=304, headers=headers)
        return Response(asset.content, media_type=asset.kind, headers=headers)

    return Route(asset.path, serve)
