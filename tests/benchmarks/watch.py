"""How soon the satellite watch tells of a pull, a jump, a frozen or lost receiver, and how often it is wrong.

    PYTHONPATH=daemon:tests python -m benchmarks.watch [passages] [trials]
    PYTHONPATH=daemon:tests python -m benchmarks.watch calibrate [passages]
    PYTHONPATH=daemon:tests python -m benchmarks.watch false FIRST
    PYTHONPATH=daemon:tests python -m benchmarks.watch tacks

Passages of five hours of the families of `watch.sailed`, everything well, are kept watch over whole: what is
raised then is false. Half of them are coasting, a quarter beating, a quarter in a race that is entered as a
zone; the race that is not entered is printed apart. Then receivers are pulled, each in a passage of its own.
`calibrate` prints, on other seeds, how often each threshold is false: for the table of `watch/budget.py`;
`false` the false alarms alone, on seeds from FIRST on; `tacks` how many pulls are told that set in just as
she has gone about for the fourth time, beating.
"""

import sys
from collections import Counter
from collections.abc import Callable, Iterable
from time import process_time  # noqa: TID251 -- what it costs is measured

import numpy as np

from area.model import chance
from middlewatch.navigator.watch.budget import odds as odds_of
from middlewatch.navigator.watch.pull import Odds
from middlewatch.quantities.positions import Position
from watch.bench import Bench
from watch.rivals import fixed_limit, known_pull, known_size, slow_stream
from watch.sailed import FAMILIES, KN, LINE_EVERY_S, Complex, Family, Sailed, faults, fourth_tack, sail
from watch.watched import GRADES, Raised, Word, seen, watch

TUNED, REPORTED = 0, 1_000_000
"""First seeds: thresholds are set on the first, everything printed is of the second."""
SHARES = {"coasting": 2, "beating": 1, "race entered": 1, "race not entered": 1}
PULLS_KN = (0.5, 1.0, 2.0, 3.0, 5.0)
JUMPS_NM = (0.1, 0.3, 1.0, 3.0)
LEAD_S, TAIL_S = 2400, 1200
HOURS = LINE_EVERY_S / 3600
Knowing = Callable[[Complex, Complex, complex, float], list[int]]
"""A test that knows of the pull: apparent stream, slow stream, the pull, its height; seconds of alarm."""
KNOWING: dict[str, Knowing] = {"knows the pull": known_pull, "knows its size": known_size}


def quiet(family: Family, first: int, count: int, odds: Odds) -> Counter[Word]:
    """Count what is raised over passages with everything well."""
    raised: Counter[Word] = Counter()
    for number in range(count):
        sailed = sail(family, first + number)
        raised.update(each.word for each in watch(seen(sailed, sailed.apparent_m), odds))
    return raised


def false_alarms(count: int, first: int, odds: Odds) -> list[str]:
    """Return lines of false warnings and cautions per 100 h, by family and reason."""
    lines, whole, hours = [], Counter[Word](), 0.0
    for family in FAMILIES:
        passages = count * SHARES[family.name] // 4
        raised = quiet(family, first, passages, odds)
        lines.append(f"  {family.name:<18} {passages * HOURS:6.0f} h  {_per_100_h(raised, passages * HOURS)}")
        if family.name != "race not entered":
            whole, hours = whole + raised, hours + passages * HOURS
    lines.append(f"  {'all but that':<18} {hours:6.0f} h  {_per_100_h(whole, hours)}")
    warnings, cautions = (_graded(whole, grade) for grade in ("warning", "caution"))
    limit = whole["limit alone"]
    lines.append(f"  in all {warnings} warnings, {cautions} cautions; and {limit} times past the limit alone")
    return lines


def _graded(raised: Counter[Word], grade: str) -> int:
    """Count one grade; passing the limit that was set is no false alarm, and is counted apart."""
    return sum(count for word, count in raised.items() if GRADES[word] == grade and word != "limit alone")


def _per_100_h(raised: Counter[Word], hours: float) -> str:
    per = {word: 100 * raised[word] / hours for word in GRADES}
    told = ", ".join(f"{word} {rate:.1f}" for word, rate in per.items())
    warnings, cautions = (100 * _graded(raised, grade) / hours for grade in ("warning", "caution"))
    return f"warnings {warnings:5.1f}  cautions {cautions:6.1f}   ({told})"


# --- pulls --------------------------------------------------------------------------------------------------


def pulled(sailed: Sailed, number: int, kn: float) -> tuple[int, complex, Complex]:
    """Return a second at which a pull sets in, the pull (complex kn), and what the receiver then tells."""
    draw = chance(number, round(10 * kn))
    at = int(draw.uniform(LEAD_S, LINE_EVERY_S - TAIL_S))
    pull = kn * complex(np.exp(1j * draw.uniform(0.0, 2 * np.pi)))
    return at, pull, faults(sailed, at, pull_kn=pull)


def at_a_tack(trials: int, first: int, odds: Odds) -> list[str]:
    """Return lines of how many pulls are told that set in at the fourth tack."""
    lines = []
    for kn in PULLS_KN:
        told_of = 0
        for number in range(trials):
            sailed = sail(FAMILIES[1], first + number)
            at = fourth_tack(sailed)
            pull = kn * complex(np.exp(2j * np.pi * number / trials))
            part = seen(sailed, faults(sailed, at, pull_kn=pull), 0, at + 300)
            told_of += bool(np.isfinite(delay(watch(part, odds), at)))
        lines.append(f"  {kn:3.1f} kn  told within 5 min: {told_of} of {trials}")
    return lines


def delay(raised: Iterable[Raised], at: int) -> float:
    """Return how many seconds after its onset a fault is first told; infinite where it is not."""
    found = [each.second for each in raised if each.second >= at and each.word != "limit alone"]
    return min(found, default=np.inf) - at + 1


def pulls(family: Family, trials: int, first: int, odds: Odds) -> list[str]:
    """Return lines of delays for each pull in a family."""
    lines = []
    for kn in PULLS_KN:
        ours = []
        for number in range(trials):
            sailed = sail(family, first + number)
            at, _, told = pulled(sailed, number, kn)
            part = seen(sailed, told, at - LEAD_S, at + TAIL_S)
            ours.append(delay(watch(part, odds), LEAD_S))
        lines.append(f"  {kn:3.1f} kn  {_delays(ours)}")
    return lines


def rivals(family: Family, trials: int, odds: Odds, false_per_100_h: float) -> list[str]:
    """Return lines of delays of a fixed limit and of tests that know of the pull, on the same runs."""
    tuning = [(sailed, slow_stream(sailed, odds)) for sailed in _sailed(family, TUNED, trials)]
    runs = [(sailed, slow_stream(sailed, odds)) for sailed in _sailed(family, REPORTED, trials)]
    lines = []
    for name, test in KNOWING.items():
        for kn in PULLS_KN:
            height = _height(tuning, test, kn, false_per_100_h)
            known, false = [], 0
            for number, (sailed, slow) in enumerate(runs):
                at, pull, told = pulled(sailed, number, kn)
                false += len(test(sailed.apparent_m, slow, pull, height))
                known.append(_first(test(told, slow, pull, height), at))
            rate = 100 * false / (trials * HOURS)
            lines.append(f"  {kn:3.1f} kn  {name} ({rate:4.1f} false per 100 h)  {_delays(known)}")
    for limit_nm in (0.25, _limit(tuning, false_per_100_h)):
        for kn in PULLS_KN:
            limited, false = [], 0
            for number, (sailed, _) in enumerate(runs):
                at, _, told = pulled(sailed, number, kn)
                false += len(fixed_limit(sailed.apparent_m, limit_nm))
                limited.append(_first(fixed_limit(told, limit_nm), at))
            rate = 100 * false / (trials * HOURS)
            name = f"limit {limit_nm:.2f} nm, hourly reset ({rate:5.1f} false per 100 h)"
            lines.append(f"  {kn:3.1f} kn  {name}  {_delays(limited)}")
    return lines


def _sailed(family: Family, first: int, trials: int) -> Iterable[Sailed]:
    return (sail(family, first + number) for number in range(trials))


def _first(alarms: list[int], at: int) -> float:
    found = [second for second in alarms if at <= second < at + TAIL_S]
    return min(found, default=np.inf) - at + 1


def _height(tuning: list[tuple[Sailed, Complex]], test: Knowing, kn: float, false_per_100_h: float) -> float:
    """Return how high a test that knows of the pull must go to be false as often as the watch."""
    low, high = 1.0, 400.0
    while high - low > 0.25:
        height, false = (low + high) / 2, 0
        for number, (sailed, slow) in enumerate(tuning):
            _, pull, _ = pulled(sailed, number, kn)
            false += len(test(sailed.apparent_m, slow, pull, height))
        low, high = (height, high) if 100 * false / (len(tuning) * HOURS) > false_per_100_h else (low, height)
    return high


def _limit(tuning: list[tuple[Sailed, Complex]], false_per_100_h: float) -> float:
    """Return the fixed limit that is passed as often as the watch is false."""
    limit_nm = 0.25
    while True:
        false = sum(len(fixed_limit(sailed.apparent_m, limit_nm)) for sailed, _ in tuning)
        if 100 * false / (len(tuning) * HOURS) <= false_per_100_h:
            return limit_nm
        limit_nm += 0.05


def _delays(delays: list[float]) -> str:
    median, ninth = np.quantile(delays, (0.5, 0.9), method="higher")
    late, missed = (sum(each > bound for each in delays) / len(delays) for bound in (300, TAIL_S))
    seconds = " ".join(f"{each:6.0f} s" if np.isfinite(each) else "   none " for each in (median, ninth))
    return f"median and 90th {seconds}   not in 5 min {100 * late:4.1f} %, in 20 min {100 * missed:4.1f} %"


# --- what a receiver betrays of itself ----------------------------------------------------------------------


def betrayed(trials: int, first: int) -> list[str]:
    """Return lines of delays for jumps, and for a receiver that freezes or is lost: by the whole check."""
    lines = []
    for jump_nm in JUMPS_NM:
        delays = [_until(sail(FAMILIES[0], first + number), jump_nm) for number in range(trials)]
        lines.append(f"  jump {jump_nm:3.1f} nm  {_delays(delays)}")
    for fault in ("frozen", "lost"):
        delays = [_until(sail(FAMILIES[0], first + number), fault) for number in range(trials)]
        lines.append(f"  {fault:<11}  {_delays(delays)}")
    return lines


def _until(sailed: Sailed, fault: float | str, at: int = 200) -> float:
    """Return after how many seconds the check says something of a fault."""
    start = Position(50.0, -4.0)
    bench = Bench(stream_kn=sailed.family.strongest_kn, limit_nm=99.0)
    run = np.cumsum(sailed.water_kn) * KN
    heard = start
    for second in range(at + 120):
        bench.heading_deg, bench.speed_kn = float(sailed.heading_deg[second]), float(sailed.log_kn[second])
        bench.water_m = float(run[second].real), float(run[second].imag)
        bench.ep = start.moved(*bench.water_m)
        since = second - at
        if since < 0 or fault != "frozen":
            told = complex(run[second] + sailed.apparent_m[second])
            told += _jumped(fault, since)
            heard = start.moved(told.real, told.imag)
        if since < 0 or fault != "lost":
            bench.hear(heard)
        bench.tick()
        if since >= 0 and _told(bench, str(fault)):
            return since + 1
    return np.inf


def _told(bench: Bench, fault: str) -> bool:
    check = bench.check
    if fault == "lost":
        return check.lost(bench.now_ms)
    wanted = {"frozen"} if fault == "frozen" else {"jumped", "parting"}
    return bool(wanted & {check.state, *check.also})


def _jumped(fault: float | str, since: int) -> complex:
    return complex(fault * 1852.0) if isinstance(fault, float) and since >= 0 else 0j


# --- the whole ----------------------------------------------------------------------------------------------


def _say(*lines: str) -> None:
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    sys.stdout.flush()


def calibrate(passages: int) -> None:
    """Print how often each threshold is false, on the seeds that are tuned on."""
    for parting in (15.0, 17.0, 18.0, 19.0, 20.0, 22.0, 25.0):
        _say(f"parting {parting}", *false_alarms(passages, TUNED, Odds(parting=parting))[-2:])
    for factor in (0.8, 1.0, 1.2, 1.4):
        _say(f"gap factor {factor}", *false_alarms(passages, TUNED, Odds(gap_factor=factor))[-2:])


def main(passages: int = 200, trials: int = 200) -> None:
    """Print the whole table."""
    odds, began = odds_of(100.0, 8.0), process_time()
    _say(f"Thresholds: squared miss {odds.parting:.1f}, {odds.gap_factor:.2f} times the ordinary gap")
    _say("False alarms per 100 h:")
    _say(*false_alarms(passages, REPORTED, odds))
    seconds = passages * (sum(SHARES.values()) / 4) * LINE_EVERY_S
    _say(f"  {1e6 * (process_time() - began) / seconds:.1f} us a second of passage, its making counted")
    for family in FAMILIES[:3]:
        _say(f"Pulls, {family.name}, {trials} each:")
        _say(*pulls(family, trials, REPORTED, odds))
    raised = quiet(FAMILIES[0], TUNED, trials, odds)
    rate = 100 * raised["parting"] / (trials * HOURS)
    _say(f"The same pulls, coasting, by others that are false as often ({rate:.1f} per 100 h where tuned):")
    _say(*rivals(FAMILIES[0], trials, odds, rate))
    _say("Pulls that set in at the fourth tack, beating:", *at_a_tack(trials, REPORTED, odds))
    _say("What a receiver betrays of itself, coasting:")
    _say(*betrayed(min(trials, 50), REPORTED))


if __name__ == "__main__":
    if sys.argv[1:2] == ["calibrate"]:
        calibrate(int(sys.argv[2]) if len(sys.argv) > 2 else 100)
    elif sys.argv[1:2] == ["false"]:
        _say(*false_alarms(200, int(sys.argv[2]), odds_of(100.0, 8.0)))
    elif sys.argv[1:2] == ["tacks"]:
        _say(*at_a_tack(200, REPORTED, odds_of(100.0, 8.0)))
    else:
        main(*[int(each) for each in sys.argv[1:3]])
