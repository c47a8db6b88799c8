"""The maker's own voice: the script, what a recording gave, what is missing; for --json and as
lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from showtime.live import Reading, RecordingDesk
    from showtime.wording import Missing, Script

Document = dict[str, Any]

MOST_LISTED = 40

HOW_TO_READ = (
    "Read the lines in order, with a second of silence after each.",
    "Where a line ends in … the voice goes on as if more followed; elsewhere it comes to rest.",
    "Same place, same distance, same mood from first to last; no music, no fan, telephone off.",
    "If you slip, wait a second and read the line again: the last reading counts.",
    "Headings and numbers are not read. A break is no matter: stop, and go on later.",
)


def script(of: Script, stall: str) -> Document:
    """The script as --json gives it."""
    return {
        "stall": stall,
        "language": of.language,
        "fragments": [
            {"number": number, "text": each.text, "group": each.group.value}
            for number, each in enumerate(of.fragments, start=1)
        ],
        "minutes": round(of.minutes, 1),
        "fewest": of.fewest,
        "no_fewer_than": of.no_fewer_than,
        "joins": round(of.joins, 2),
        "joins_of_fewest": round(of.joins_of_fewest, 2),
    }


def printed(document: Document, kind: str) -> bytes:
    """The script as a file of that kind: ".pdf" to print, else text."""
    if kind.lower() == ".pdf":
        from showtime.faces import reading_sheet

        return reading_sheet.printed(document, HOW_TO_READ, sheet_groups(document["fragments"]))
    return "".join(f"{line}\n" for line in script_lines(document)).encode()


def script_lines(document: Document) -> Iterator[str]:
    """The script to read from, a fragment a line."""
    fragments = document["fragments"]
    yield f"What to read for {document['stall']} ({document['language']})"
    yield f"{len(fragments)} lines, about {document['minutes']:.0f} minutes."
    yield ""
    yield from HOW_TO_READ
    group = ""
    for each in fragments:
        if each["group"] != group:
            group = each["group"]
            yield from ("", group.capitalize(), "")
        yield f"{each['number']:>4}. {shown(each['text'])}"


def script_summary(document: Document) -> Iterator[str]:
    """What a maker wants to know of a script before reading it."""
    if not document["fragments"]:
        yield "Everything is recorded already."
        return
    yield (
        f"{len(document['fragments'])} fragments make every sentence; about "
        f"{document['minutes']:.0f} minutes to read."
    )
    yield (
        f"The fewest found are {document['fewest']} (fewer than {document['no_fewer_than']} are "
        f"impossible); joins in a sentence: {document['joins']:.1f} on average, with the fewest "
        f"{document['joins_of_fewest']:.1f}."
    )


def shown(text: str) -> str:
    """A fragment as it is read: one that goes on says so."""
    return text if text and text[-1] in ",;:.!?…" else text + " …"


def cut(found: Reading, desk: RecordingDesk) -> Document:
    """What a recording gave, as --json gives it."""
    return {
        "language": desk.bank.language,
        "folder": str(desk.folder),
        "seconds": round(found.seconds, 1),
        "found": len(found.takes),
        "fragments": [
            {
                "number": take.wanted.number,
                "text": take.wanted.text,
                "begin": round(take.begin, 2),
                "end": round(take.end, 2),
                "loudness_lufs": round(take.loudness, 1),
                "above_noise_db": round(take.above_noise_db, 1),
                "remarks": list(take.remarks),
            }
            for take in found.takes
        ],
        "not_read": [{"number": each.number, "text": each.text} for each in found.not_read],
        "beside": [_stretch(*each) for each in found.beside],
        "read_again": [_stretch(*each) for each in found.read_again],
    }


def _stretch(begin: float, end: float) -> dict[str, float]:
    return {"begin": round(begin, 2), "end": round(end, 2)}


def cut_lines(document: Document, only_wrong: bool) -> Iterator[str]:
    """The table of fragments, or only those that look wrong, and where the reading slipped."""
    yield f"{'':>5} {'at':>8} {'length':>7} {'LUFS':>6} {'over noise':>10}  text"
    for each in document["fragments"]:
        if only_wrong and not each["remarks"]:
            continue
        length = each["end"] - each["begin"]
        levels = f"{each['loudness_lufs']:>6.1f} {each['above_noise_db']:>7.0f} dB"
        place = f"{each['number']:>4}. {clock(each['begin']):>8} {length:>5.2f} s"
        yield f"{place} {levels}  {shown(each['text'])}"
        yield from (f"{'':>41}! {remark}" for remark in each["remarks"])
    yield from _slips(document)
    wrong = sum(bool(each["remarks"]) for each in document["fragments"])
    wanted = document["found"] + len(document["not_read"])
    yield f"{document['found']} of {wanted} fragments found; {wrong} look wrong."


def _slips(document: Document) -> Iterator[str]:
    ends = {each["number"]: each["end"] for each in document["fragments"]}
    for each in document["not_read"]:
        before = [end for number, end in ends.items() if number < each["number"]]
        after = f"after {clock(max(before))}" if before else "at the beginning"
        yield f"not read: {each['number']}. {shown(each['text'])} (it should come {after})"
    for stretch in document["beside"]:
        span = f"{clock(stretch['begin'])} to {clock(stretch['end'])}"
        yield f"not in the script, left out: {span}"
    for stretch in document["read_again"]:
        yield f"read twice, the later reading is kept: {clock(stretch['begin'])} is left out"


def clock(seconds: float) -> str:
    """A place in a recording: minutes and seconds."""
    tenths = round(seconds * 10)
    return f"{tenths // 600}:{tenths % 600 / 10:04.1f}"


def check(missing: Missing, recorded: int, desk: RecordingDesk) -> Document:
    """What is missing of a recorded voice, as --json gives it."""
    return {
        "language": desk.bank.language,
        "folder": str(desk.folder),
        "recorded": recorded,
        "missing": [each.text for each in missing.fragments],
        "idle": list(missing.idle),
    }


def check_lines(document: Document) -> Iterator[str]:
    """The same for a person."""
    yield from _listed("missing", document["missing"])
    yield from _listed("no longer said", document["idle"])
    missing, idle = len(document["missing"]), len(document["idle"])
    yield (
        f"{document['recorded']} fragments are recorded in {document['folder']} for "
        f"{document['language']}; {missing} missing, {idle} no longer said."
    )
    if missing:
        yield "Read them from: showtime voice script --missing; then: showtime voice cut RECORDING"


def _listed(what: str, texts: Sequence[str]) -> Iterator[str]:
    yield from (f"{what}: {shown(text)}" for text in texts[:MOST_LISTED])
    if len(texts) > MOST_LISTED:
        yield f"{what}: and {len(texts) - MOST_LISTED} more; --json has them all"


def sheet_groups(fragments: Sequence[Document]) -> list[dict[str, Any]]:
    """The fragments by their groups, as the printed sheet has them."""
    groups = list[dict[str, Any]]()
    for each in fragments:
        if not groups or groups[-1]["title"] != each["group"].capitalize():
            groups.append({"title": each["group"].capitalize(), "lines": []})
        groups[-1]["lines"].append([str(each["number"]), shown(each["text"])])
    return groups
