"""Times of the day, stretches between two of them, and lengths, as people type them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from showtime.settings.newstall.values import AnswerError, Hours
from showtime.settings.quantity import DAY

_HALF = r"(?:\s?[ap]\.?\s?m\b\.?)"
CLOCK = (
    rf"(?:noon|midday|midnight|\b\d{{1,2}}\s?[:.h]\s?\d{{2}}(?!\d){_HALF}?|\b\d{{3,4}}\b{_HALF}?"
    rf"|\b\d{{1,2}}{_HALF}|\b\d{{1,2}}(?:\s?(?:o'?clock|uhr|h)\b)?(?![\d:.]\d))"
)
RANGE = re.compile(
    rf"(?:\b(?:from|between)\s+)?(?P<opens>{CLOCK})"
    rf"\s*(?:-|\bto\b|\btill?\b|\buntil\b|\band\b)\s*(?P<closes>{CLOCK})",
    re.IGNORECASE,
)

_NUMBER = r"(?:\d{1,4}(?:[.,]\d{1,3})?\u00bd?|\u00bd)"
_SIZES = (
    (r"h(?:(?:ou)?rs?)?(?![a-z])", timedelta(hours=1)),
    (r"(?:m(?:in(?:ute)?s?)?(?![a-z])\.?|')", timedelta(minutes=1)),
    (r"(?:s(?:ec(?:ond)?s?)?(?![a-z])\.?|''|\")", timedelta(seconds=1)),
)
_UNIT = "(?:" + "|".join(reversed([pattern for pattern, _ in _SIZES])) + ")"
_MINUTES = _SIZES[1][0]
_WORDS = {
    r"(?:a )?quarter of an hour": timedelta(minutes=15),
    r"half an hour": timedelta(minutes=30),
    r"an hour": timedelta(hours=1),
    r"a minute": timedelta(minutes=1),
}
LENGTH = (
    rf"(?:\b\d{{1,3}}(?::\d{{2}}){{1,2}}(?:\s?{_MINUTES})?|{'|'.join(_WORDS)}"
    rf"|(?<![\d:.])(?:{_NUMBER}\s?{_UNIT}\s?(?:and\s)?)*{_NUMBER}(?:\s?{_UNIT})?)"
)

_ALIKE = str.maketrans(
    {
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212", "-"),
        **dict.fromkeys("\u2018\u2019\u2032\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u2033", '"'),
        **dict.fromkeys("\u00a0\u202f\u2009\t", " "),
        **{chr(0xFF10 + digit): str(digit) for digit in range(10)},
        "\uff1a": ":",
        "\uff0c": ",",
    }
)


_COUNT = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip
_COUNTED = rf"\b(?:{'|'.join(_COUNT)})\b"


def in_figures(text: str, before: str = "") -> str:
    """The text with `10` for `ten`, up to twelve, where what comes next matches `before`."""
    return re.sub(
        rf"{_COUNTED}(?={before})",
        lambda found: str(_COUNT.index(found[0].lower()) + 1),
        text,
        flags=re.IGNORECASE,
    )


def alike(text: str) -> str:
    """The text with one kind of dash, quote, space and digit; as long as it was."""
    return text.translate(_ALIKE)


def apart(text: str, whole: re.Pattern[str]) -> Iterator[str]:
    """The entries of a list with commas, or with an "and" that comes after something `whole`, as
    the pattern has it, and before a word."""
    for part in re.split(r"[,;\n]", text):
        begun = 0
        for match in re.finditer(r"\s(?:and|&|\+|/)\s+(?=[^\W\d])", part, re.IGNORECASE):
            if whole.search(part[begun : match.start()]):
                yield part[begun : match.start()].strip()
                begun = match.end()
        if part[begun:].strip():
            yield part[begun:].strip()


def without(text: str, spans: Sequence[tuple[int, int]]) -> str:
    """The text with spaces where these spans are."""
    for start, end in spans:
        text = text[:start] + " " * (end - start) + text[end:]
    return text


@dataclass(frozen=True, slots=True)
class _Time:
    """A time as typed. `vague`: it may be in the other half of the day as well."""

    since_midnight: timedelta
    vague: bool
    half: str = ""


def hours_of(opens: str, closes: str) -> Hours:
    """What two times mean together: `10`, `5` are ten and seventeen; `1`, `5 pm` both after noon.

    Raises AnswerError for what is no time of day.
    """
    first, last = _time(opens), _time(closes)
    begin, end = first.since_midnight, last.since_midnight
    if first.vague and last.half == "p" and begin + DAY / 2 < end:
        begin += DAY / 2
    if last.vague and end <= begin < end + DAY / 2 <= DAY:
        end += DAY / 2
    return Hours(begin, end)


def one_time(text: str) -> timedelta:
    """A single time of day; AnswerError when it is none."""
    return _time(text).since_midnight


def _time(text: str) -> _Time:
    word = text.strip().lower()
    if word in ("noon", "midday", "midnight"):
        return _Time(DAY if word == "midnight" else DAY / 2, vague=False)
    digits = re.findall(r"\d+", word)
    if len(digits) == 1 and len(digits[0]) > 2:
        digits = [digits[0][:-2], digits[0][-2:]]
    hours, minutes = int(digits[0]), int(digits[1]) if len(digits) > 1 else 0
    found = re.search(r"([ap])\.?\s?m", word)
    half = found[1] if found else ""
    if minutes > 59 or hours * 60 + minutes > 24 * 60 or (half and not 1 <= hours <= 12):
        raise AnswerError(f"'{text.strip()}' is no time of day; write one such as 10:30")
    vague = not half and 1 <= hours <= 12 and not digits[0].startswith("0")
    if half:
        hours = hours % 12 + (12 if half == "p" else 0)
    return _Time(timedelta(hours=hours, minutes=minutes), vague, half)


def length_of(text: str) -> timedelta:
    """A length that matches LENGTH; a number without a unit is of the next smaller one, or minutes.

    `4:30` is four minutes and a half, `1:05:00` an hour and five minutes.
    """
    words = text.strip().lower()
    for pattern, length in _WORDS.items():
        if re.fullmatch(pattern, words):
            return length
    if ":" in words:
        counts = [int(digits) for digits in re.findall(r"\d+", words)]
        if any(count > 59 for count in counts[1:]):
            raise AnswerError(f"'{words}' is no length; write minutes and seconds, such as 4:30")
        seconds = 0
        for count in counts:
            seconds = seconds * 60 + count
        return timedelta(seconds=seconds)
    total, size = timedelta(0), timedelta(hours=1)
    for number, unit in re.findall(rf"({_NUMBER})\s?({_UNIT})?", words):
        size = _size(unit) if unit else size / 60
        total += _number(number) * size
    return total


def _size(unit: str) -> timedelta:
    return next(size for pattern, size in reversed(_SIZES) if re.fullmatch(pattern, unit))


def _number(text: str) -> float:
    half = 0.5 if text.endswith("\u00bd") else 0.0
    return float(text.rstrip("\u00bd").replace(",", ".") or 0) + half


def clock(since_midnight: timedelta) -> str:
    """A time of day as it stands in the settings: 10:00."""
    minutes = int(since_midnight.total_seconds()) // 60
    return f"{minutes // 60:02}:{minutes % 60:02}"
