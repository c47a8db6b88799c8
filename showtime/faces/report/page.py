"""The report as a page: one file that works offline, in the light and in the dark."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from showtime.faces.report.drawing import INKS, style, text_of
from showtime.faces.report.figures import figures
from showtime.faces.report.pictures import pictures
from showtime.faces.report.times import hhmm

Document = dict[str, Any]

_LOOK = """
:root{color-scheme:light dark;--paper:#fbf6ea;--ink:%s;--faint:%s;--red:%s;--green:%s;--band:%s}
body{margin:0 auto;max-width:62rem;padding:1.2rem;background:var(--paper);color:var(--ink);
font:1.06rem/1.45 Georgia,'Noto Serif','DejaVu Serif',serif;overflow-wrap:break-word}
header{border-top:6px double;border-bottom:6px double;padding:.6rem 0;text-align:center}
h1{margin:0;font-size:clamp(1.6rem,5vw,2.8rem);line-height:1.1;color:var(--red)}
h2{margin:2.2rem 0 .6rem;font-size:1.35rem;border-bottom:1px solid}
h3{margin:1rem 0 .3rem;font-size:1.05rem}
table{border-collapse:collapse;width:100%%}
th,td{padding:.25rem .5rem;text-align:left;vertical-align:top;border-bottom:1px solid var(--band)}
th{color:var(--red);font-weight:bold}tbody th{color:inherit;font-weight:normal}
td.n,th.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
.scroll{overflow-x:auto}.scroll svg{min-width:36rem}td,th{min-width:2.5rem;max-width:24rem}
tbody th{min-width:11rem}
.note{border-left:4px solid var(--red);padding:.3rem .8rem}
svg{width:100%%;height:auto;display:block}
.bar{position:relative;height:.8rem;min-width:8rem;border:1px solid;overflow:hidden}
.bar i{position:absolute;inset:0 auto 0 0;background:var(--green)}.bar .over{background:var(--red)}
footer{margin-top:2rem;border-top:1px solid;color:var(--faint);font-size:.92rem}
"""


def page(days: Sequence[Document]) -> str:
    """The page of one day, or of two side by side."""
    first = days[0]
    title = f"{first['stall']}, {' and '.join(each['day'] for each in days)}"
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width,initial-scale=1">',
            # Nothing is loaded and nothing runs, whatever a name may hold.
            '<meta http-equiv="Content-Security-Policy" '
            "content=\"default-src 'none'; style-src 'unsafe-inline'\">",
            f"<title>{text_of(title)}</title><style>{_styles()}</style></head><body>",
            f"<header><p>{text_of(first['fair'])}</p><h1>{text_of(title)}</h1>"
            f"<p>The day of {text_of(first['figure'])}, by its journal</p></header><main>",
            *_notes(days),
            *_figures(days),
            *_pictures(days),
            *(part for each in days for part in _one(each, several=len(days) > 1)),
            f"</main><footer><p>{text_of(first['caution'])}</p></footer></body></html>",
        ]
    )


def _styles() -> str:
    light = [colours[0] for colours in INKS.values()]
    names = ["ink", "faint", "red", "green", "band"]
    dark = "".join(f"--{name}:{INKS[name][1]};" for name in names)
    shades = f"@media (prefers-color-scheme:dark){{:root{{--paper:#211b16;{dark}}}{style(True)}}}"
    return _LOOK % tuple(light) + style() + shades


def _notes(days: Sequence[Document]) -> Iterator[str]:
    for each in days:
        for note in each["notes"]:
            before = f"{each['day']}: " if len(days) > 1 else ""
            yield f'<p class="note">{text_of(before + note)}</p>'


def _figures(days: Sequence[Document]) -> Iterator[str]:
    columns = [dict(figures(each)) for each in days]
    heads = ["", *(each["day"] for each in days)]
    rows = [[name, *(column[name] for column in columns)] for name in columns[0]]
    yield "<h2>The day in figures</h2>"
    yield _table(heads, rows, numbers=range(1, len(heads)), first_names=True)


def _pictures(days: Sequence[Document]) -> Iterator[str]:
    """Those of two days beneath each other, so that they can be compared."""
    drawn = [dict(pictures(each)) for each in days]
    titles = list(dict.fromkeys(title for each in drawn for title in each))
    for title in titles:
        yield f"<h2>{text_of(title)}</h2>"
        for day, each in zip(days, drawn, strict=True):
            if title in each:
                if len(days) > 1:
                    yield f"<h3>{text_of(day['day'])}</h3>"
                yield _scrolled(title, each[title])


def _one(found: Document, *, several: bool) -> Iterator[str]:
    of = f", {found['day']}" if several else ""
    yield f"<h2>Limits: used and allowed{of}</h2>"
    yield from _caps(found)
    yield f"<h2>Performances{of}</h2>"
    rows = [
        [
            hhmm(found, row["planned"]),
            hhmm(found, row["started"], seconds=True),
            hhmm(found, row["ended"], seconds=True),
            row["piece"],
            f"{row['late_seconds']:.1f} s",
            "broken off" if row["interrupted"] else "",
        ]
        for row in found["performances"]
    ]
    yield _table(["planned", "started", "ended", "piece", "late", ""], rows, numbers=(0, 1, 2, 4))
    if found["not_played"]:
        missing = ", ".join(f"{hhmm(found, r['starts'])} {r['piece']}" for r in found["not_played"])
        yield f"<p>Planned and not played: {text_of(missing)}.</p>"
    yield f"<h2>Promises{of}</h2>"
    yield from _promises(found)
    yield f"<h2>Incidents{of}</h2>"
    yield from _incidents(found)
    yield f"<h2>What was said{of}</h2>"
    yield from _said(found)


def _caps(found: Document) -> Iterator[str]:
    rows = []
    for cap in found["caps"]:
        over = ' class="over"' if cap["share"] > 1.0000001 else ""
        bar = f'<div class="bar"><i{over} style="width:{min(cap["share"], 1):.1%}"></i></div>'
        about = " (estimate)" if cap["estimate"] else ""
        rows.append(
            "<tr>"
            f'<th scope="row">{text_of(cap["name"] + about)}</th>'
            f'<td class="n">{text_of(cap["used"])}</td><td class="n">{text_of(cap["allowed"])}</td>'
            f'<td class="n">{cap["share"]:.0%}</td><td>{bar}</td>'
            f'<td class="n">{text_of(cap["planned"] or "–")}</td></tr>'
        )
    heads = ("limit", "highest", "allowed", "share", "", "planned")
    right = "", ' class="n"'
    columns = (
        f'<th scope="col"{right[place > 0]}>{head}</th>' if head else "<td></td>"
        for place, head in enumerate(heads)
    )
    yield _framed("".join(columns), "".join(rows))
    yield "<p>The share of a level is that of its sound energy: 3 dB less is half of it.</p>"


def _promises(found: Document) -> Iterator[str]:
    rows = [
        [
            hhmm(found, row["told"]),
            hhmm(found, row["first_said"]),
            str(row["times"]),
            row["outcome"] + (f" to {hhmm(found, row['moved_to'])}" if row["moved_to"] else ""),
            "yes" if row["apologised"] else "",
            row.get("why", ""),
        ]
        for row in found["promises"]["rows"]
    ]
    heads = ["told", "first said", "times", "outcome", "apologised", "why"]
    yield _table(heads, rows, numbers=(0, 1, 2))


def _incidents(found: Document) -> Iterator[str]:
    rows = [
        [
            hhmm(found, row["at"]),
            hhmm(found, row["until"]),
            row["kind"],
            row["piece"],
            row.get("why", ""),
        ]
        for row in found["incidents"]
    ]
    yield _table(["at", "until", "what", "piece", "why"], rows, numbers=(0, 1))


def _said(found: Document) -> Iterator[str]:
    phrases = found["phrases"]
    again = phrases["soonest_repeat"]
    soonest = f"; the soonest after {again} others" if again else ""
    yield (
        f"<p>{phrases['said']} sentences, {phrases['distinct']} of them different, "
        f"{phrases['repeats']} said again{soonest}.</p>"
    )
    rows = [[name, str(times)] for name, times in sorted(phrases["by_situation"].items())]
    yield _table(["situation", "answers"], rows, numbers=(1,))
    if phrases.get("most"):
        rows = [[row["text"], str(row["times"])] for row in phrases["most"]]
        yield _table(["most often", "times"], rows, numbers=(1,))


def _table(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    numbers: Iterable[int] = (),
    first_names: bool = False,
) -> str:
    right = dict.fromkeys(numbers, ' class="n"')
    body = ""
    for row in rows:
        cells = [f"<td{right.get(n, '')}>{text_of(cell)}</td>" for n, cell in enumerate(row)]
        if first_names:
            cells[0] = f'<th scope="row">{text_of(row[0])}</th>'
        body += f"<tr>{''.join(cells)}</tr>"
    if not body:
        return "<p>None.</p>"
    head = "".join(
        f'<th scope="col"{right.get(n, "")}>{text_of(cell)}</th>' if cell else "<td></td>"
        for n, cell in enumerate(heads)
    )
    return _framed(head, body)


def _framed(head: str, body: str) -> str:
    if not body:
        return "<p>None.</p>"
    inside = f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    return _scrolled("table", inside)


def _scrolled(name: str, inside: str) -> str:
    """What is wider than a telephone can be moved, also by keys."""
    label = text_of(name).replace('"', "&quot;")
    return f'<div class="scroll" role="group" aria-label="{label}" tabindex="0">{inside}</div>'
