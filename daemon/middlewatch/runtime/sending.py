"""Entries from the command line: each made of what was typed, sent until it is answered, and its answer said.

A kind of entry is a command. What all of them share (when, note, id, settings) is added here, so that the
function behind a command holds nothing but the fields of its own kind.
"""

import asyncio
import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields
from inspect import Parameter, Signature, signature
from pathlib import Path
from typing import Annotated, Any, NoReturn, Protocol, TypeVar, runtime_checkable

import typer
from typer.core import TyperGroup

from middlewatch.links.broker_connection import BrokerAwayError, BrokerRefusedError, place
from middlewatch.links.sender import Body, send, with_id
from middlewatch.navigator.reckoning.compass import in_words
from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import MS_PER_DAY, MS_PER_HOUR, MS_PER_SECOND, Instant
from middlewatch.readings.entries import Channel
from middlewatch.reports.answer import ChainReport
from middlewatch.runtime import spoken
from middlewatch.runtime.clock import utc_ms
from middlewatch.settings import Settings, SettingsError, defaults, load
from middlewatch.wire.entries import id_in

Maker = TypeVar("Maker", bound=Callable[..., Body])
"""Makes the fields of an entry of its kind from what was typed."""

Answer = Mapping[str, Any]
"""An answer, as the JSON object it is; Any, for it may hold whatever INTERFACE gives it."""


@dataclass(frozen=True, slots=True)
class Patience:
    """How often an entry is sent before it is given up as unanswered, and how far apart."""

    tries: int = 5
    wait_s: float = 2.0


PATIENCE = Patience()
NOT_DONE, UNUSABLE = 1, 2
USUAL_SETTINGS = Path("middlewatch.toml")


@dataclass(frozen=True, slots=True)
class EntryOptions:
    """What may be typed with an entry of whatever kind."""

    at: Annotated[
        str | None, typer.Option(help="when: 01:42:07Z, 0142Z, or date and time with an offset")
    ] = None
    ago: Annotated[str | None, typer.Option(help="when: so many seconds before it arrives")] = None
    note: Annotated[str | None, typer.Option(help="words to keep with it")] = None
    id: Annotated[str | None, typer.Option(help="its id; one is made without")] = None
    settings: Annotated[
        Path | None,
        typer.Option(help="the settings file (TOML); without, middlewatch.toml where there is one"),
    ] = None
    as_json: Annotated[bool, typer.Option("--json", help="print the answer as it came, on one line")] = False


# --- a command for each kind of entry --------------------------------------------------------------------


def entry_command(app: typer.Typer, channel: Channel, kind: str) -> Callable[[Maker], Maker]:
    """Make a command of a function that returns the fields of a kind of entry, from text.

    UnusableError from it is said in one line, and the command exits with 2.
    """

    def register(maker: Maker) -> Maker:
        def command(ctx: typer.Context, **typed: Any) -> None:
            options = EntryOptions(**{field.name: typed.pop(field.name) for field in fields(EntryOptions)})
            with _unusable_in_one_line():
                _check_typed(ctx, typed, options)
                entry = entry_of(kind, maker(**typed), options, utc_ms())
                settings = _settings(options.settings)
            make(settings, channel, entry, as_json=options.as_json)

        _show_as(command, maker)
        # A negative number looks like an option to the parser: let those pass, and look for slips afterwards.
        lenient = {"ignore_unknown_options": True, "allow_extra_args": True}
        app.command(kind.replace("_", "-"), help=maker.__doc__, context_settings=lenient)(command)
        return maker

    return register


def _show_as(command: Any, maker: Callable[..., Body]) -> None:
    """Give a command its maker's parameters and the shared options; Any, for types know no such attribute."""
    context = Parameter("ctx", Parameter.POSITIONAL_OR_KEYWORD, annotation=typer.Context)
    own = signature(maker).parameters.values()
    shared = signature(EntryOptions).parameters.values()
    every = [each.replace(kind=Parameter.KEYWORD_ONLY) for each in (*own, *shared)]
    command.__signature__ = Signature([context, *every])


def _check_typed(ctx: typer.Context, typed: Mapping[str, Any], options: EntryOptions) -> None:
    """Refuse misspelt options, and words that no field takes."""
    words = [*_words(typed.values()), *ctx.args]
    known = [name for each in ctx.command.params for name in each.opts if name.startswith("-")]
    spoken.check_options(words, known)
    spoken.check_text([*words, *_words((options.at, options.ago, options.note, options.id))])
    if ctx.args:
        raise spoken.UnusableError(
            ctx.command.name or "entry", " ".join(ctx.args), "no more words (quotes keep a name together)"
        )


def _words(values: Any) -> Iterator[str]:
    for value in values:
        if isinstance(value, str):
            yield value
        elif isinstance(value, list):
            yield from value


def entry_of(kind: str, own: Body, options: EntryOptions, now_ms: int) -> Body:
    """Return the entry: its id if one was typed, its kind, its own fields, when it was, and the note.

    `now_ms` is UTC. A time of day in `until` is the first after the entry's own time.
    """
    entry: Body = {}
    if options.id is not None:
        entry["id"] = options.id
        # The daemon answers such an entry without an id, and that answer would never be known for ours.
        if id_in(json.dumps(entry)) is None:
            raise spoken.UnusableError("id", options.id, "1 to 64 of letters, digits, dot, underscore, dash")
    entry |= {"kind": kind, **own}
    taken_ms = now_ms
    if options.at is not None:
        entry["at"] = at = spoken.moment("at", options.at, now_ms)
        taken_ms = Instant.parse(at).ms
    if options.ago is not None:
        entry["ago_s"] = ago_s = spoken.number("ago", options.ago)
        taken_ms = now_ms - round(ago_s * MS_PER_SECOND)
    if options.note is not None:
        entry["note"] = options.note
    until = own.get("until")
    if isinstance(until, str):
        entry["until"] = spoken.coming("until", until, taken_ms)
    return entry


def given(**values: object) -> Body:
    """Return those fields of an entry that were typed."""
    return {name: value for name, value in values.items() if value is not None}


# --- on its way ------------------------------------------------------------------------------------------


def make(settings: Settings, channel: Channel, entry: Body, *, as_json: bool) -> None:
    """Send an entry until it is answered and print the answer; typer.Exit with 1 unless it is accepted."""
    mqtt, entry = settings.mqtt, with_id(entry)
    sending = send(mqtt, settings.boat.name, channel, entry, tries=PATIENCE.tries, wait_s=PATIENCE.wait_s)
    try:
        answer = asyncio.run(sending)
    except (BrokerAwayError, BrokerRefusedError) as fault:
        _leave(str(fault), NOT_DONE)
    if answer is None:
        _leave(_unanswered(settings, entry), NOT_DONE)
    if as_json:
        typer.echo(json.dumps(answer, ensure_ascii=False))
    if answer.get("accepted") is not True:
        _leave(refusal(answer), NOT_DONE)
    if not as_json:
        for sentence in sentences(answer):
            typer.echo(sentence)


def _unanswered(settings: Settings, entry: Body) -> str:
    return (
        f"{entry['kind']} is not answered by {settings.boat.name} over {place(settings.mqtt)} "
        f"after {PATIENCE.tries} tries: is the daemon running? It may have been taken: "
        f"repeat it with --id {entry['id']}"
    )


def _settings(file: Path | None) -> Settings:
    if file is None and not USUAL_SETTINGS.exists():
        return defaults()
    return load(file or USUAL_SETTINGS)


# --- the answer, said ------------------------------------------------------------------------------------


def sentences(answer: Answer) -> Iterator[str]:
    """Say an accepted answer as a skipper reads it, a sentence a line."""
    yield _taken(answer)
    if answer.get("effect") is not None:
        yield f"  {answer['effect']}"
    if answer.get("chain") is not None:
        yield f"  {in_words(ChainReport(**answer['chain']))}"
    yield from _residual(answer)
    for slip in answer.get("slips") or ():
        meant = _slip(slip, bearing=answer.get("chain") is not None)
        yield f"  a slip? {meant} would stand {slip['fits']:.1f} sigma off"
    if answer.get("rival") is not None:
        yield f"  {answer['rival']}"
    if answer.get("pencil") is not None:
        drawn = "pencil " if answer.get("line") is not None else ""
        yield f"  {drawn}{answer['pencil']}"
    if answer.get("fix") is not None:
        yield f"  fix {answer['fix']}"


def _slip(slip: Mapping[str, Any], *, bearing: bool) -> str:
    """Name a slip with the value that would have been meant, and its mark and time where it has them."""
    whole, point, rest = f"{slip['value']:g}".partition(".")
    # A bearing as it is spoken: in three figures, and what stands behind the point.
    value = f"{whole:0>3}{point}{rest}" if bearing else f"{slip['value']:g}"
    of_mark = "" if slip.get("mark") is None else f" of {slip['mark']}"
    when = "" if slip.get("at") is None else f" at {Instant.parse(slip['at']).clock}"
    return f"{slip['slip']}: {value}{of_mark}{when}"


def _taken(answer: Answer) -> str:
    """Say what was taken, for when, and what becomes of it: never that it is used where it is not."""
    said = f"{answer.get('kind')} {answer.get('id')} taken"
    if answer.get("at") is not None:
        said += f" for {_when(Instant.parse(answer['at']), Instant.parse(answer['heard_at']))}"
    if answer.get("repeat"):
        said += "; it was entered before, this is its first answer again"
    if answer.get("open"):
        said += "; open until it is amended or confirmed"
    if answer.get("used") is False:
        said += "; not used"
    return said


def _when(at: Instant, heard_at: Instant) -> str:
    """Say a moment; one of another day with its date and age, for a minute too far ahead means yesterday."""
    if at.ms // MS_PER_DAY == heard_at.ms // MS_PER_DAY:
        return f"{at.clock_with_seconds}Z"
    date, age_h = str(at)[:10], (heard_at.ms - at.ms) / MS_PER_HOUR
    return f"{date} {at.clock_with_seconds}Z, {age_h:.1f} h before it was heard"


def _residual(answer: Answer) -> Iterator[str]:
    """Say how a sighting stands to the reckoning: entered less expected, and in sigmas."""
    unusual = answer.get("unusual_sigma")
    doubt = "" if unusual is None else f", {unusual:.1f} sigma"
    if answer.get("residual_deg") is not None:
        expected = three_figures(answer["expected_deg"])
        yield f"  expected {expected} T: residual {answer['residual_deg']:+z.1f} degrees{doubt}"
    if answer.get("residual_nm") is not None:
        known = answer.get("expected_nm")
        expected = "from the middle of the area" if known is None else f"expected {known:.2f} nm"
        yield f"  {expected}: residual {answer['residual_nm']:+z.2f} nm{doubt}"


def refusal(answer: Answer) -> str:
    """Say in one line why an entry was refused: which field, what was found there, what is wanted."""
    name = f"{answer.get('kind') or 'entry'} {answer.get('id') or ''}".rstrip()
    amiss = f"{answer.get('field')}: found {answer.get('found')}, wanted {answer.get('wanted')}"
    return f"{name} refused: {answer.get('reason')}; {amiss}"


# --- unusable --------------------------------------------------------------------------------------------


@runtime_checkable
class _Complaint(Protocol):
    """What typer raises about the words typed; the class itself has no public name."""

    exit_code: int

    def format_message(self) -> str:
        """Return the complaint."""


class OneLineGroup(TyperGroup):
    """A group of commands that says in one line what cannot be used of the words typed."""

    def parse_args(self, ctx: Any, args: list[str]) -> Any:
        """Read the options before the command; Any, since a context has no public name for a group."""
        with _complaint_in_one_line():
            return super().parse_args(ctx, args)

    def invoke(self, ctx: Any) -> Any:
        """Run the command named."""
        with _complaint_in_one_line():
            return super().invoke(ctx)


@contextmanager
def _complaint_in_one_line() -> Iterator[None]:
    try:
        yield
    except Exception as fault:
        if not isinstance(fault, _Complaint):
            raise
        _leave(fault.format_message(), fault.exit_code)


@contextmanager
def _unusable_in_one_line() -> Iterator[None]:
    try:
        yield
    except (spoken.UnusableError, SettingsError) as fault:
        _leave(str(fault), UNUSABLE)


def _leave(line: str, code: int) -> NoReturn:
    """Say one line on standard error, and end with this exit code."""
    typer.echo(" ".join(line.split()), err=True)
    raise typer.Exit(code) from None
