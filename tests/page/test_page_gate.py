"""The gate, on a real server: who gets in, who may enter, and what is turned away."""

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from broker.mosquitto import PATIENCE_S, free_port
from middlewatch.links.page import Answered, PageServer, SheetImage, SheetView, open_socket
from middlewatch.links.page.gate import Tokens, is_ours
from middlewatch.links.page.listeners import BACKLOG, MOST_LISTENERS, Listeners
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Channel
from middlewatch.settings import PageSettings
from middlewatch.wire.page_messages import Keys, Ship
from middlewatch.wire.plain_json import LARGEST_BYTES

SKIPPER, CREW = "the skipper's own token", "the crew's own token"
SHIP = Ship("kittiwake", "0.1.0", "+00:00", Keys("s", "a", "r"), ())


class Sheet:
    """A sheet with nothing on it."""

    def image(self, view: SheetView) -> SheetImage:
        """Return an empty picture of what is asked for."""
        return SheetImage("<svg/>", view.centre or Position(50.0, -4.0), view.scale or 50_000.0)

    def pencil(self) -> tuple[str, ...]:
        """Return nothing to pencil."""
        return ()


class Served:
    """A page that is served, and what was entered on it; each entry is answered with itself."""

    def __init__(self, settings: PageSettings) -> None:
        self.entered: list[tuple[Channel, bytes]] = []
        self.port = settings.port
        self.url = f"http://127.0.0.1:{settings.port}"
        self.server = PageServer(
            settings,
            SHIP,
            door=self._door,
            sheet=Sheet(),
            now=lambda: Instant(0),
            broker_up=lambda: True,
        )

    def _door(self, channel: Channel, body: bytes, answered: Answered) -> None:
        self.entered.append((channel, body))
        answered(body.decode())

    def client(self, **headers: str) -> httpx.AsyncClient:
        """Return a client that asks as the page itself does, but for these headers."""
        own = {"origin": self.url, "sec-fetch-site": "same-origin", **headers}
        return httpx.AsyncClient(base_url=self.url, headers=own, timeout=20)


@asynccontextmanager
async def served(settings: PageSettings) -> AsyncIterator[Served]:
    """Serve a page."""
    page = Served(settings)
    opened = open_socket(settings)
    running = asyncio.create_task(page.server.run(opened))
    async with asyncio.timeout(PATIENCE_S):
        while True:
            with suppress(httpx.TransportError):
                async with page.client() as client:
                    await client.get("/")
                break
            await asyncio.sleep(0.02)
    try:
        yield page
    finally:
        page.server.stop()
        await running
        opened.close()


@pytest.fixture
async def unlocked() -> AsyncIterator[Served]:
    """Serve a page on loopback without tokens."""
    async with served(PageSettings(port=free_port())) as page:
        yield page


@pytest.fixture
async def locked(tmp_path: Path) -> AsyncIterator[Served]:
    """Serve a page with a token for the skipper and one for the crew."""
    files = [tmp_path / "skipper", tmp_path / "crew"]
    for file, token in zip(files, (SKIPPER, CREW), strict=True):
        file.write_text(f"{token}\n")
    settings = PageSettings(port=free_port(), token_file=files[0], crew_token_file=files[1])
    async with served(settings) as page:
        yield page


async def test_an_entry_comes_in_by_the_page(unlocked: Served) -> None:
    """What is posted is handed in to the letter, and its answer handed back."""
    async with unlocked.client() as client:
        answer = await client.post("/entry/order", json={"id": "p1", "kind": "quiet"})

    assert answer.json() == {"id": "p1", "kind": "quiet"}
    assert [(channel, json.loads(body)) for channel, body in unlocked.entered] == [("order", answer.json())]


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"host": "middlewatch.evil.example"}, 421),
        ({"host": "127.0.0.1.evil.example:80"}, 421),
        ({"host": ""}, 421),
        ({"origin": "http://evil.example"}, 403),
        ({"origin": "null"}, 403),
        ({"origin": ""}, 403),
        ({"sec-fetch-site": "cross-site"}, 403),
        ({"sec-fetch-site": "same-site"}, 403),
        ({"content-type": "text/plain"}, 415),
        ({"content-type": "application/x-www-form-urlencoded"}, 415),
    ],
)
async def test_another_sites_page_enters_nothing(
    unlocked: Served, headers: dict[str, str], status: int
) -> None:
    """A name made to point here, another origin, a form posted blindly: each is turned away unread."""
    async with unlocked.client() as client:
        refused = await client.post(
            "/entry/order",
            content=b'{"kind":"quiet"}',
            headers={"content-type": "application/json", **headers},
        )

    assert refused.status_code == status
    assert refused.json()["problem"]
    assert unlocked.entered == []


@pytest.mark.parametrize("path", ["/", "/hello", "/feed", "/sheet.svg?width_mm=100&height_mm=100"])
@pytest.mark.parametrize("headers", [{"host": "evil.example"}, {"sec-fetch-site": "cross-site"}])
async def test_another_sites_page_reads_nothing(unlocked: Served, path: str, headers: dict[str, str]) -> None:
    """What is only read is turned away by the same signs."""
    async with unlocked.client(**headers) as client:
        assert (await client.get(path)).status_code in {403, 421}


async def test_without_a_token_nothing_of_the_boat_is_told(locked: Served) -> None:
    """The page's own files are everybody's; what it shows, and its entries, want a token."""
    async with locked.client() as client:
        assert (await client.get("/")).status_code == 200
        for path in ("/hello", "/feed", "/sheet.svg?width_mm=100&height_mm=100", "/pencil"):
            assert (await client.get(path)).status_code == 401
        assert (await client.post("/entry/order", json={"kind": "quiet"})).status_code == 401
    assert locked.entered == []


async def test_the_crew_looks_and_does_not_enter(locked: Served) -> None:
    """With the crew's token everything is seen, and every entry is turned away."""
    async with locked.client() as client:
        assert (await client.post("/token", json={"token": CREW})).json() == {"role": "crew"}
        assert (await client.get("/hello")).json()["role"] == "crew"
        assert (await client.get("/pencil")).status_code == 200
        assert (await client.post("/entry/order", json={"kind": "quiet"})).status_code == 403
    assert locked.entered == []


async def test_the_skipper_enters(locked: Served) -> None:
    """With the skipper's token an entry comes in; the browser keeps a sign, not the token."""
    async with locked.client() as client:
        opened = await client.post("/token", json={"token": SKIPPER})
        cookie = opened.headers["set-cookie"]
        assert (await client.post("/entry/order", json={"kind": "quiet"})).status_code == 200

    assert len(locked.entered) == 1
    assert SKIPPER not in cookie
    assert "HttpOnly" in cookie
    assert "samesite=strict" in cookie.lower()


async def test_tokens_cannot_be_tried_out(locked: Served) -> None:
    """After five guesses even the right one has to wait."""
    async with locked.client() as client:
        guesses = [(await client.post("/token", json={"token": f"guess {n}"})).status_code for n in range(5)]
        late = await client.post("/token", json={"token": SKIPPER})

    assert guesses == [401] * 5
    assert late.status_code == 429


async def test_entries_come_no_faster_than_anybody_presses(unlocked: Served) -> None:
    """A flood of entries is held at the gate: some sixty at once, and it is said."""
    statuses = []
    async with unlocked.client() as client, asyncio.timeout(PATIENCE_S):
        # Two more are let in each second: on a busy machine it takes some more to be held.
        while 429 not in statuses:
            statuses.append((await client.post("/entry/order", json={"kind": "quiet"})).status_code)

    assert statuses[:60] == [200] * 60
    assert len(unlocked.entered) == statuses.count(200)


async def test_an_entry_too_long_is_not_read(unlocked: Served) -> None:
    """Longer than any entry, or of no known length: turned away by its first lines."""
    async with unlocked.client() as client:
        long = await client.post("/entry/order", json={"note": "x" * LARGEST_BYTES})

        async def endless() -> AsyncIterator[bytes]:
            yield b'{"kind":"quiet"}'

        unmeasured = await client.post(
            "/entry/order", content=endless(), headers={"content-type": "application/json"}
        )

    assert (long.status_code, unmeasured.status_code) == (413, 411)
    assert unlocked.entered == []


@pytest.mark.parametrize(
    "query",
    [
        "width_mm=1&height_mm=100",
        "width_mm=nan&height_mm=100",
        "width_mm=100",
        "look=red&width_mm=100&height_mm=100",
        "width_mm=100&height_mm=100&scale=50000&north=95&east=0",
        "width_mm=100&height_mm=100&scale=1&north=50&east=0",
        "width_mm=100&height_mm=100&scale=50000&number=0",
        "width_mm=100&height_mm=100&scale=50000&number=last",
    ],
)
async def test_a_sheet_that_cannot_be_drawn_is_refused(unlocked: Served, query: str) -> None:
    """What is asked for is checked before anything is drawn."""
    async with unlocked.client() as client:
        refused = await client.get(f"/sheet.svg?{query}")

    assert refused.status_code == 400


async def test_nothing_from_elsewhere_runs_in_it(unlocked: Served) -> None:
    """Every answer, a refusal too, forbids scripts, styles and pictures from elsewhere, and frames."""
    async with unlocked.client() as client:
        answers = [await client.get(path) for path in ("/", "/app.js", "/hello", "/nowhere")]
        answers.append(await client.get("/", headers={"host": "evil.example"}))

    for answer in answers:
        policy = dict(
            each.strip().split(" ", 1) for each in answer.headers["content-security-policy"].split(";")
        )
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
        assert policy["frame-ancestors"] == "'none'"
        assert answer.headers["x-content-type-options"] == "nosniff"


async def test_the_page_in_all_is_small(unlocked: Served) -> None:
    """Under 150 KB: its files, and what it is told as it begins."""
    async with unlocked.client() as client:
        page = (await client.get("/")).text
        paths = {"/", "/hello", *(part.split('"')[0] for part in page.split('="')[1:] if part[0] == "/")}
        scripts = ["/app.js"]
        while scripts:
            text = (await client.get(scripts.pop())).text
            found = {f"/{part.split(chr(34))[0]}" for part in text.split('from "./')[1:]}
            scripts += sorted(found - paths)
            paths |= found
        total = sum([len((await client.get(path)).content) for path in paths])

    assert len(paths) > 12
    assert total < 150_000


async def test_unchanged_files_are_not_sent_again(unlocked: Served) -> None:
    """A browser that has a file is told that it still holds."""
    async with unlocked.client() as client:
        first = await client.get("/page.css")
        again = await client.get("/page.css", headers={"if-none-match": first.headers["etag"]})

    assert (again.status_code, again.content) == (304, b"")


async def test_a_page_that_is_closed_is_forgotten(unlocked: Served) -> None:
    """A browser that goes leaves nothing behind that would be told for ever."""
    async with unlocked.client() as client, client.stream("GET", "/feed") as feed:
        await anext(aiter(feed.aiter_lines()))
        while_open = unlocked.server.listeners.count
    async with asyncio.timeout(PATIENCE_S):
        while unlocked.server.listeners.count:  # noqa: ASYNC110 -- a count tells nobody that it has changed
            await asyncio.sleep(0.02)

    assert while_open == 1


async def test_it_ends_with_pages_open(unlocked: Served) -> None:
    """A stop lets every open page go, after what it was still to be told."""
    async with unlocked.client() as client, client.stream("GET", "/feed") as feed:
        lines = aiter(feed.aiter_lines())
        await anext(lines)
        unlocked.server.listeners.retain("status", '{"topic":"status"}')
        unlocked.server.stop()
        rest = [line async for line in lines]

    assert 'data: {"topic":"status"}' in rest
    assert unlocked.server.listeners.count == 0


# --- names, tokens, listeners ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("host", "ours"),
    [
        ("127.0.0.1:8080", True),
        ("192.168.1.4", True),
        ("[::1]:8080", True),
        ("[fe80::1]", True),
        ("localhost:8080", True),
        ("HELM.local:8080", True),
        ("helm.local.evil.example", False),
        ("evil.example:8080", False),
        ("localhost.evil.example", False),
        (":8080", False),
        ("", False),
    ],
)
def test_names_that_are_ours(host: str, ours: bool) -> None:
    """Addresses, localhost and the names set are ours; a name that somebody else gives us is not."""
    assert is_ours(host, {"helm.local"}) is ours


@given(st.text(max_size=40))
def test_no_text_is_a_token_but_the_token(text: str) -> None:
    """Nothing opens the page but the tokens and their signs."""
    tokens = Tokens(SKIPPER, CREW)

    assert (tokens.role_by_token(text) is None) == (text not in {SKIPPER, CREW})
    assert tokens.role_by_sign(text) is None


async def test_whoever_comes_late_hears_the_past_and_then_the_present() -> None:
    """What is retained and remembered comes first, then the sign that all else is new."""
    listeners = Listeners()
    listeners.remember("note", "a note")
    listeners.retain("advice", "old advice")
    listeners.retain("advice", "advice")
    listeners.tell("sound", "a sound of the past")
    listener = listeners.admit("present")
    listeners.tell("sound", "a sound")
    listener.end()

    assert [message async for message in listener.messages()] == ["a note", "advice", "present", "a sound"]


async def test_of_each_second_the_newest_is_enough() -> None:
    """A page that is slow gets the newest position and not every one; events it gets every one."""
    listeners = Listeners()
    listener = listeners.admit("present")
    for second in range(100):
        listeners.retain("position", f"position {second}")
        listeners.tell("note", f"note {second}")
    messages = listener.messages()
    heard = [await anext(messages) for _ in range(102)]

    assert [each for each in heard if each.startswith("note")] == [f"note {n}" for n in range(100)]
    assert [each for each in heard if each.startswith("position")] == ["position 99"]


async def test_a_page_that_takes_nothing_is_let_go() -> None:
    """So many messages wait for one page, and no more; the others are told as ever."""
    listeners = Listeners()
    deaf = listeners.admit("present")
    for number in range(BACKLOG + 1):
        listeners.tell("note", str(number))

    assert deaf.over


async def test_no_more_pages_than_there_is_room_for() -> None:
    """So many pages are open at a time, and one that leaves makes room."""
    listeners = Listeners()
    opened = [listeners.admit("present") for _ in range(MOST_LISTENERS)]
    full_with_them = listeners.full
    listeners.leave(opened[0])

    assert (full_with_them, listeners.full) == (True, False)
