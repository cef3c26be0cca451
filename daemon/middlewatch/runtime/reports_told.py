"""A file of reports read again, line by line: what `run --reports` and `replay --reports` wrote.

For what is made after a passage only. The navigator never reads a report.
"""

import json
from collections.abc import Iterator
from typing import Any

from middlewatch.runtime.replay import read_lines

Json = dict[str, Any]


class BadReports(ValueError):  # noqa: N818 -- told to its owner in one line; no mistake of code
    """A file that is not as `--reports` writes it; line 0: it lacks something as a whole."""

    def __init__(self, file: str, number: int, found: str, wanted: str) -> None:
        line = f"line {number}: " if number else ""
        super().__init__(f"{file}: {line}found {found}, wanted {wanted}")


def told(file: str) -> Iterator[tuple[int, str, Json]]:
    """Yield number of line, topic and report; `.gz` is accepted, `-` is standard input.

    A last line that was cut short by an outage is passed over; BadReports names any other that is no report,
    OSError says that the file cannot be read.
    """
    damaged: BadReports | None = None
    number = 0
    for number, line in enumerate(read_lines(file), 1):
        if damaged is not None:
            raise damaged
        try:
            said = json.loads(line)
            topic, report = said["topic"], said["report"]
            report["at"]
        except (ValueError, KeyError, TypeError):
            found = " ".join(line.decode("utf-8", "replace").split())[:40]
            damaged = BadReports(file, number, found or "an empty line", "a report as --reports writes it")
            continue
        yield number, topic, report
    if damaged is not None and number == 1:
        raise damaged
