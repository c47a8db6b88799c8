"""What is dialled at the Tin Orchard, open from ten to five, at 14:12; and elsewhere."""

from __future__ import annotations

from collections.abc import Iterator

from case import Case, in_ms

TIN_ORCHARD = "entry 600 1020 852"
LATE_FAIR = "entry 1080 1530 1380"  # 18:00 to 1:30, at 23:00
LONG_FAIR = "entry 480 1320"  # 8:00 to 22:00


def entry_cases() -> Iterator[Case]:
    yield from times()
    yield from nonsense()
    yield from cancelled()
    yield from waiting()
    yield from turned()


def dialled(digits: str, at_ms: int = 0) -> list[str]:
    """Two seconds apart."""
    return in_ms(*(f"digit {at_ms + n * 2000} {digit}" for n, digit in enumerate(digits)))


def alone(name: str, digits: str, *means: str, made: str = TIN_ORCHARD) -> Case:
    end = 2000 * (len(digits) - 1)
    return Case(
        name, made, dialled(digits) + in_ms(f"tick {end + 4000}", f"tick {end + 10000}"), means
    )


def time(name: str, digits: str, minute: int, made: str = TIN_ORCHARD) -> Case:
    return alone(name, digits, f"understood {minute}", f"counts {minute}", made=made)


def times() -> Iterator[Case]:
    yield time("four digits", "1430", 870)
    yield time("three digits", "230", 870)
    yield time("four digits of twelve hours", "0230", 870)
    yield time("in the morning", "1130", 690)
    yield time("noon", "1200", 720)
    yield time("closing time", "500", 1020)
    yield time("before opening, as dialled", "700", 420)
    yield time("after closing, as dialled", "1900", 1140)
    yield time("midnight", "0000", 0)
    yield time("half past midnight at a late fair", "1230", 30, LATE_FAIR)
    yield time("one in the morning at a late fair", "100", 60, LATE_FAIR)
    yield time("both open, the next to come", "900", 1260, f"{LONG_FAIR} 600")
    yield time("both open, still in the morning", "900", 540, f"{LONG_FAIR} 500")
    yield time("both open, the clock not trusted", "900", 540, f"{LONG_FAIR} -1")


def nonsense() -> Iterator[Case]:
    for digits in ("2400", "2500", "1260", "999", "2360", "175"):
        yield alone(f"{digits} is no time", digits, "not caught -1 no such time of day")
    for digits in ("1", "12"):
        yield alone(f"{digits} is too few", digits, "not caught -1 too few digits for a time")
    quick = in_ms(*(f"digit {at} 1" for at in range(0, 5000, 1000)), "tick 9000")
    too_many = "not caught -1 too many digits for a time"
    yield Case("five digits", TIN_ORCHARD, quick, [too_many])
    does = in_ms("digit 0 1", "doubt 1000 a make is too long", "digit 2000 3", "digit 3000 0")
    missed = "not caught -1 a make is too long"
    yield Case("one digit in doubt", TIN_ORCHARD, [*does, *in_ms("tick 9000")], [missed])
    twice = in_ms("doubt 0 the pulses are uneven", "doubt 900 a make is too long", "tick 9000")
    yield Case(
        "the first doubt is told", TIN_ORCHARD, twice, ["not caught -1 the pulses are uneven"]
    )


def cancelled() -> Iterator[Case]:
    heard = [*dialled("230"), *in_ms("tick 8000")]
    means = ["understood 870", "cancelled 870"]
    digit = in_ms("digit 10000 1", "tick 20000")
    yield Case("any digit cancels", TIN_ORCHARD, [*heard, *digit], means)
    doubt = in_ms("doubt 10000 the pulses are uneven", "tick 20000")
    yield Case("a doubtful digit cancels too", TIN_ORCHARD, [*heard, *doubt], means)
    two = in_ms("digit 10000 1", "digit 12000 2", "tick 20000")
    told = [*means, "not caught -1 too few digits for a time"]
    yield Case("two digits are more than cancelling", TIN_ORCHARD, [*heard, *two], told)
    better = [*heard, *dialled("1530", 10000), *in_ms("tick 18000", "tick 24000")]
    told = [*means, "understood 930", "counts 930"]
    yield Case("cancelled by the right time", TIN_ORCHARD, better, told)


def waiting() -> Iterator[Case]:
    turning = in_ms("busy 7000", "tick 8000", "digit 9000 0", "tick 11000", "tick 20000")
    means = ["understood 1380", "counts 1380"]
    yield Case("the dial still turns", TIN_ORCHARD, [*dialled("230"), *turning], means)
    speaks = in_ms("tick 8000", "busy 12000", "tick 16000", "tick 17000")
    means = ["understood 870", "counts 870"]
    yield Case("it speaks on", TIN_ORCHARD, [*dialled("230"), *speaks], means)
    renewed = ["day 480 1320 600", *dialled("900"), *in_ms("tick 8000")]
    yield Case("another day", TIN_ORCHARD, renewed, ["understood 1260"])


def turned() -> Iterator[Case]:
    means = ["understood 925", "counts 925"]
    yield Case("knobs", TIN_ORCHARD, in_ms("turned 0 3 25", "tick 4000", "tick 5000"), means)
    on = in_ms("turned 0 3 25", "withdraw 1000", "tick 6000", "turned 7000 4 0", "tick 12000")
    means = ["understood 925", "cancelled 925", "understood 960", "counts 960"]
    yield Case("knobs turned on", TIN_ORCHARD, on, means)
    over = [*dialled("12"), *in_ms("turned 3000 2 30", "tick 8000")]
    yield Case("knobs over digits", TIN_ORCHARD, over, ["understood 870", "counts 870"])
