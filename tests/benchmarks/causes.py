"""Whether the true cause of a fault is named first: seeded fault passages through the navigator's own door.

    PYTHONPATH=daemon:tests python -m benchmarks.causes [PASSAGES] [--fault NAME ...] [--seed N] [--jobs N]
        [--answers] [--wrong]

Each kind of fault of `watch.faults.kinds` has an equal share of the passages. A fault is visible from the
first second on at which an alert of log or heading is raised or gets new words; or, once the fault has
carried the gap by 20 m, one of the satellites, or the gap passes the limit; or the fault itself has carried
it past the limit, at most half an hour after its onset. Ten minutes later its first cause is judged; `none`
where nothing stands by then, for a fix that is adopted may have closed the gap. `last` is the share of
passages in which the cause told last within those ten minutes is the true one. With `--answers` a crew that
has marks in sight takes two bearings three minutes after an alert, as it is asked to; without, bearings are
taken by the clock alone. As many quiet passages as a fifth of that are sailed with all well: how often a
cause other than the stream stands first there while an alert stands.
"""

import argparse
import os
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from multiprocessing.pool import Pool
from time import process_time  # noqa: TID251 -- what it costs is measured

import numpy as np

from watch.faults.aboard import SAMPLES, Aboard, Told
from watch.faults.kinds import BY_NAME, KINDS, QUIET
from watch.faults.voyage import LIMIT_NM, Voyage, voyage

REPORTED = 1_000_000
"""First seed of what is printed; what is tuned is tuned on the seeds from 0 on."""
QUIET_FROM = 500_000
"""The quiet passages are others than those with faults: so much later their seeds begin."""
JUDGED_S = (120, 300, 600)
CAUSES = ("entry", "satellite", "log", "compass", "stream", "none")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came of one passage.

    `visible_s`: how long after its onset the fault was visible; `alert_s`: the first alert, None without one;
    `firsts`: the first cause 2, 5 and 10 minutes after it was visible; `weight`: that of the last of them;
    `last`: the first cause when one stood last within those ten minutes, `none` where none did;
    `settled_s`: from how long after it was visible the true cause was first for good, None where it was not;
    `told`: what is told of the satellites at the end.
    """

    kind: str
    cause: str
    seed: int
    marks: bool
    visible_s: int
    alert_s: int | None
    firsts: tuple[str, ...]
    weight: float
    last: str
    settled_s: int | None
    told: str
    cpu_s: float

    @property
    def right(self) -> bool:
        """Whether the true cause is first at last."""
        return self.firsts[-1] == self.cause

    @property
    def words(self) -> str:
        """The passage in a few lines, to look into."""
        marks = "marks" if self.marks else "no marks"
        return (
            f"{self.kind}, seed {self.seed}, {marks}: visible {self.visible_s} s after its onset, alert after"
            f" {self.alert_s} s; first {', '.join(self.firsts)}\n    {self.told}"
        )


@dataclass(frozen=True, slots=True)
class Calm:
    """What came of a quiet passage: its seconds, those with an alert, and which cause was first in those."""

    seconds: int
    alerted: int
    firsts: Counter[str]
    cpu_s: float


def judge(job: tuple[str, int], samples: int, *, answers: bool = False) -> Verdict:
    """Sail one fault passage, and judge what stands first."""
    name, seed = job
    began = process_time()
    sailed = voyage(BY_NAME[name], seed)
    told, visible, alert = _watched(sailed, Aboard(sailed, samples, answers=answers))
    since = [each for each in told if each.second >= visible]
    return Verdict(
        kind=name,
        cause=str(sailed.kind.cause),
        seed=seed,
        marks=bool(sailed.marks),
        visible_s=visible - sailed.onset,
        alert_s=alert,
        firsts=tuple(since[after].first for after in JUDGED_S),
        weight=since[JUDGED_S[-1]].weight,
        last=told_last([each.first for each in since]),
        settled_s=settled([each.first for each in since], str(sailed.kind.cause)),
        told=in_words(since[JUDGED_S[-1]]),
        cpu_s=process_time() - began,
    )


def in_words(told: Told) -> str:
    """Return state, gap and causes of a second, for somebody who looks into a passage."""
    seen = told.satellite
    states, gap_nm = " ".join((seen.state, *seen.also)), seen.gap_nm or 0.0
    causes = "".join(f"\n    {each.cause} {each.weight:.3f}: {each.evidence}" for each in seen.causes)
    return f"{states}, gap {gap_nm:.2f} nm (ordinary {seen.ordinary_gap_nm or 0.0:.2f}){causes}"


def settled(firsts: Sequence[str], cause: str) -> int | None:
    """Return from which second on a cause stands first for good; None where it does not at the end."""
    wrong = [second for second, first in enumerate(firsts) if first != cause]
    since = wrong[-1] + 1 if wrong else 0
    return since if since < len(firsts) else None


def told_last(firsts: Sequence[str]) -> str:
    """Return the cause that stood first when one stood last; `none` where none did."""
    return next((each for each in reversed(firsts) if each != "none"), "none")


def _watched(sailed: Voyage, boat: Aboard) -> tuple[list[Told], int, int | None]:
    """Sail until ten minutes after the fault is visible; return that second, and when an alert came."""
    told: list[Told] = []
    visible, alert, gap_nm = None, None, 0.0
    for each in boat.sail():
        before_nm, gap_nm = gap_nm, each.satellite.gap_nm or 0.0
        if each.second <= sailed.onset:
            continue
        told.append(each)
        alerted = _alerted(each, sailed)
        if alert is None and alerted:
            alert = each.second - sailed.onset
        past_limit = before_nm <= LIMIT_NM < gap_nm and each.second >= sailed.felt
        if visible is None and (alerted or past_limit or each.second >= sailed.matters):
            visible = each.second
        if visible is not None and each.second >= visible + JUDGED_S[-1]:
            return told, visible, alert
    raise ValueError(f"{sailed.kind.name} ended before it was judged")


def _alerted(told: Told, sailed: Voyage) -> bool:
    """Return whether an alert is raised at a second that may be about the fault."""
    return any(each.name != "satellite" or told.second >= sailed.felt for each in told.raised)


def calm(seed: int, samples: int) -> Calm:
    """Sail one quiet passage."""
    began = process_time()
    seconds, alerted, firsts = 0, 0, Counter[str]()
    for each in Aboard(voyage(QUIET, seed), samples).sail():
        seconds += 1
        if each.standing:
            alerted += 1
            firsts[each.first] += 1
    return Calm(seconds, alerted, firsts, process_time() - began)


# --- what is printed ----------------------------------------------------------------------------------------


def table(verdicts: Sequence[Verdict]) -> list[str]:
    """Return the lines of the table: each kind of fault, and all of them."""
    heads = (
        "first right at 2, 5, 10 min    last   visible     alert  settled  weight  first instead at 10 min"
    )
    lines = [f"{'fault':<28}{'n':>4}  {heads}"]
    kinds = [kind.name for kind in KINDS if any(each.kind == kind.name for each in verdicts)]
    lines += [_row(name, [each for each in verdicts if each.kind == name]) for name in kinds]
    lines += [_row("all", verdicts)]
    causes = [cause for cause in CAUSES if any(each.cause == cause for each in verdicts)]
    lines += ["", f"{'true cause':<28}{'n':>4}  " + "".join(f"{each:>11}" for each in CAUSES)]
    lines += [_confusion(cause, [each for each in verdicts if each.cause == cause]) for cause in causes]
    return lines


def _row(name: str, verdicts: Sequence[Verdict]) -> str:
    right = [
        100 * sum(each.firsts[at] == each.cause for each in verdicts) / len(verdicts)
        for at in range(len(JUDGED_S))
    ]
    wrong = Counter(each.firsts[-1] for each in verdicts if not each.right)
    instead = ", ".join(f"{cause} {count}" for cause, count in wrong.most_common())
    visible = _median(float(each.visible_s) for each in verdicts)
    alert = _median(np.inf if each.alert_s is None else float(each.alert_s) for each in verdicts)
    settled = _median(np.inf if each.settled_s is None else float(each.settled_s) for each in verdicts)
    weight = float(np.median([each.weight for each in verdicts]))
    right.append(100 * sum(each.last == each.cause for each in verdicts) / len(verdicts))
    told = "  ".join(f"{each:5.1f}" for each in right)
    seconds = f"{visible:>7} {alert:>9} {settled:>8}"
    return f"{name:<28}{len(verdicts):>4}  {told:<32} {seconds}  {weight:6.2f}  {instead}"


def _median(values: Iterable[float]) -> str:
    median = float(np.quantile(list(values), 0.5, method="higher"))
    return f"{median:.0f} s" if np.isfinite(median) else "never"


def _confusion(cause: str, verdicts: Sequence[Verdict]) -> str:
    found = Counter(each.firsts[-1] for each in verdicts)
    shares = "".join(f"{100 * found[each] / len(verdicts):10.1f}%" for each in CAUSES)
    return f"{cause:<28}{len(verdicts):>4}  {shares}"


def quiet_lines(calms: Sequence[Calm]) -> list[str]:
    """Return the lines of the quiet passages."""
    hours = sum(each.seconds for each in calms) / 3600
    alerted = sum((each.firsts for each in calms), Counter[str]())
    others = [
        sum(count for cause, count in each.firsts.items() if cause not in ("stream", "none"))
        for each in calms
    ]
    share = ", ".join(f"{cause} {100 * alerted[cause] / max(1, alerted.total()):.1f} %" for cause in CAUSES)
    stands = 100 * alerted.total() / hours / 3600
    wrongly, minutes = sum(other > 0 for other in others), sum(others) / 60 / hours
    return [
        f"Quiet: {len(calms)} passages, {hours:.0f} h; an alert stands {stands:.1f} % of the time",
        f"  first while it stands: {share}",
        f"  another cause than the stream is: in {wrongly} of {len(calms)}, {minutes:.1f} min an hour",
    ]


def main(arguments: Sequence[str]) -> None:
    """Run what was asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("passages", type=int, nargs="?", default=500)
    parser.add_argument("--fault", nargs="*", choices=list(BY_NAME), default=list(BY_NAME))
    parser.add_argument("--seed", type=int, default=REPORTED)
    parser.add_argument("--samples", type=int, default=SAMPLES)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument(
        "--answers", action="store_true", help="crews with marks sight two when an alert is raised"
    )
    parser.add_argument("--wrong", action="store_true", help="tell of each passage that ends wrong")
    asked = parser.parse_args(arguments)
    names = [kind.name for kind in KINDS if kind.name in asked.fault]
    jobs = [(names[n % len(names)], asked.seed + n) for n in range(asked.passages)] if names else []
    quiet = asked.passages // 5 if QUIET.name in asked.fault else 0
    with Pool(asked.jobs) as pool:
        verdicts = pool.map(partial(judge, samples=asked.samples, answers=asked.answers), jobs, chunksize=1)
        seeds = range(asked.seed + QUIET_FROM, asked.seed + QUIET_FROM + quiet)
        calms = pool.map(partial(calm, samples=asked.samples), seeds, chunksize=1)
    lines = table(verdicts) if verdicts else []
    lines += ["", *quiet_lines(calms)] if calms else []
    cpu = [each.cpu_s for each in verdicts] + [each.cpu_s for each in calms]
    lines.append(f"{np.median(cpu):.2f} s of processor time a passage (median)")
    if asked.wrong:
        lines += [each.words for each in verdicts if not each.right]
    sys.stdout.write("".join(f"{line}\n" for line in lines))


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    main(sys.argv[1:])
