"""The gate: who may see the page and who may enter, and what is turned away before it is read.

A web page from elsewhere, open in the same browser, must neither read nor enter: `Host` must be an address or
a name of ours (a name that is made to point here is not), `Origin` must be ourselves for whatever changes
anything, and the browser's own word for where a request comes from must not be another site.
"""

import asyncio
import hashlib
import hmac
from collections.abc import Iterable
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address

from starlette.datastructures import Headers
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from middlewatch.wire.page_messages import Role
from middlewatch.wire.plain_json import LARGEST_BYTES

COOKIE = "middlewatch"
A_YEAR_S = 365 * 24 * 3600

_HEADERS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self';"
    " img-src 'self' blob:; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
"""Nothing from elsewhere, nothing inline, nothing framed."""

_FROM_HERE = frozenset({"same-origin", "none"})


class Tokens:
    """The tokens that open the page; None and None: everybody who gets here is the skipper.

    A browser is given no token to keep but a sign made of it, which a restart does not change and a new token
    does.
    """

    def __init__(self, skipper: str | None, crew: str | None) -> None:
        self._open = skipper is None
        given: tuple[tuple[Role, str | None], ...] = (("skipper", skipper), ("crew", crew))
        self._tokens = [(role, token.encode()) for role, token in given if token is not None]

    def role_by_token(self, token: str) -> Role | None:
        """Return whose token this is."""
        found = [role for role, known in self._tokens if hmac.compare_digest(known, token.encode())]
        return found[0] if found else None

    def role_by_sign(self, sign: str) -> Role | None:
        """Return whose sign this is; the skipper's where there are no tokens."""
        if self._open:
            return "skipper"
        found = [role for role, known in self._tokens if hmac.compare_digest(_sign(known), sign.encode())]
        return found[0] if found else None

    def sign(self, role: Role) -> str:
        """Return the sign of a role."""
        return _sign(dict(self._tokens)[role]).decode()


def _sign(token: bytes) -> bytes:
    return hmac.new(token, b"middlewatch page", hashlib.sha256).hexdigest().encode()


class Bucket:
    """So many at once, and so many a second after that."""

    def __init__(self, most: int, per_s: float) -> None:
        self._most = most
        self._per_s = per_s
        self._left = float(most)
        self._looked_s = 0.0

    def takes(self) -> bool:
        """Take one, if there is one left."""
        now_s = asyncio.get_running_loop().time()
        self._left = min(self._most, self._left + (now_s - self._looked_s) * self._per_s)
        self._looked_s = now_s
        if self._left < 1:
            return False
        self._left -= 1
        return True


def is_ours(host: str, names: Iterable[str]) -> bool:
    """Say whether a `Host` is an address, localhost or one of these names, with any port or none."""
    name = host.rpartition(":")[0] if host.rpartition(":")[2].isdigit() and not host.endswith("]") else host
    if name.lower() in {"localhost", *names}:
        return True
    try:
        ip_address(name.removeprefix("[").removesuffix("]"))
    except ValueError:
        return False
    return True


class Gate:
    """Stands before the app: turns away what does not come from our own page, and notes whose it is.

    The role is left in the request's `state.role`, None for somebody without a token.
    """

    def __init__(self, app: ASGIApp, tokens: Tokens, names: Iterable[str]) -> None:
        self._app = app
        self._tokens = tokens
        self._names = frozenset(names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request by, or answer it here."""
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)

        async def sealed(message: Message) -> None:
            if message["type"] == "http.response.start":
                more = [(name.encode(), value.encode()) for name, value in _HEADERS.items()]
                message["headers"] = [*message["headers"], *more]
            await send(message)

        refused = self._refused(scope["method"], headers)
        if refused is not None:
            status, why = refused
            await JSONResponse({"problem": why}, status)(scope, receive, sealed)
            return
        scope.setdefault("state", {})["role"] = self._tokens.role_by_sign(_cookie(headers))
        await self._app(scope, receive, sealed)

    def _refused(self, method: str, headers: Headers) -> tuple[int, str] | None:
        """Return why a request is turned away, with its status, or None."""
        host = headers.get("host", "")
        if not is_ours(host, self._names):
            return 421, "called by a name that is not ours: by its address, or a name that [page] names"
        if headers.get("sec-fetch-site", "none") not in _FROM_HERE:
            return 403, "asked for by another site's page"
        if method not in {"GET", "HEAD", "POST"}:
            return 405, "only GET and POST are answered"
        if method == "POST":
            return self._post_refused(host, headers)
        return None

    def _post_refused(self, host: str, headers: Headers) -> tuple[int, str] | None:
        if headers.get("origin", "").lower() not in {f"http://{host.lower()}", f"https://{host.lower()}"}:
            return 403, "whatever changes anything must come from this page"
        if headers.get("content-type", "").partition(";")[0].strip() != "application/json":
            return 415, "an entry is JSON"
        length = headers.get("content-length", "")
        if not (length.isascii() and length.isdigit()):
            return 411, "an entry says how long it is"
        if int(length) > LARGEST_BYTES:
            return 413, f"an entry has {LARGEST_BYTES} bytes at most"
        return None


def _cookie(headers: Headers) -> str:
    try:
        cookies = SimpleCookie(headers.get("cookie", ""))
    except CookieError:
        return ""
    return cookies[COOKIE].value if COOKIE in cookies else ""
