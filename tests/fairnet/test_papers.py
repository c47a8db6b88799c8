"""What goes over the line: written, read back, and held against the shipped JSON Schemas."""

import json
import string
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import partial
from importlib import resources

import hypothesis.strategies as st
import jsonschema
import pytest
from hypothesis import given, settings

from showtime.fair import Span
from showtime.fair.budgets import Performances, Sounding
from showtime.fairnet import organiserpapers, stallpapers
from showtime.fairnet.claims import Answer, Bond, Claim, Claims, Rank
from showtime.fairnet.strict import LARGEST, NonsenseError, document
from showtime.fairnet.view import CapUsed, PlanVersion, QuietNow, Sounds
from showtime.fairnet.words import Topics, name_of, safe_word

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
SCHEMAS = resources.files("showtime.fairnet") / "schemas"


def schema(name):
    return json.loads((SCHEMAS / f"{name}.json").read_text("utf-8"))


def keeps_to(name, payload):
    jsonschema.Draft202012Validator.check_schema(schema(name))
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    jsonschema.validate(json.loads(payload), schema(name), format_checker=checker)
    assert len(payload) < LARGEST
    return payload


moments = st.datetimes(datetime(2027, 2, 13), datetime(2027, 2, 14), timezones=st.just(UTC))
lengths = st.timedeltas(timedelta(milliseconds=1), timedelta(hours=3))
spans = st.builds(lambda at, by: Span(at, at + by), moments, lengths)
wholes = st.integers(0, 2**53)
lines = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=60)
versions = st.builds(PlanVersion, st.integers(1, 2**53), lines)


@st.composite
def claims(draw):
    numbers = draw(st.lists(st.integers(1, 9999), unique=True, max_size=12))
    made = []
    for number in numbers:
        span = draw(spans)
        rank = Rank(draw(st.integers(0, 2)), draw(wholes), "Stall-1")
        ends = span.end + draw(st.timedeltas(timedelta(0), timedelta(hours=1)))
        made.append(Claim(number, span, rank, ends, *(draw(st.booleans()) for _ in range(3))))
    return Claims("Stall-1", draw(wholes), draw(wholes), tuple(made), draw(st.booleans()))


@given(claims(), moments)
@settings(max_examples=60, deadline=None, derandomize=True, database=None)
def test_claims(told, at):
    payload = keeps_to("claims", stallpapers.written_claims(told, at))
    assert stallpapers.read_claims("Stall-1", payload) == (told, at)


@given(wholes, wholes, wholes, wholes, st.lists(wholes, max_size=20))
@settings(max_examples=40, deadline=None, derandomize=True, database=None)
def test_leave(epoch, serial, of_epoch, seen, refused):
    told = Answer("Stall-1", "Stall-2", epoch, serial, of_epoch, seen, tuple(refused))
    payload = keeps_to("leave", stallpapers.written_answer(told))
    assert stallpapers.read_answer("Stall-1", "Stall-2", payload) == told


@given(lines, wholes, wholes, st.booleans())
@settings(max_examples=40, deadline=None, derandomize=True, database=None)
def test_here(name, epoch, link, here):
    told = stallpapers.Presence("Stall-1", name, epoch, link, here)
    payload = keeps_to("here", stallpapers.written_presence(told))
    assert stallpapers.read_presence("Stall-1", payload) == told


sounds = st.none() | st.builds(Sounds, lines, spans)
statuses = st.builds(
    stallpapers.Status,
    st.just("Stall-1"),
    moments,
    lines,
    st.sampled_from(["", "waiting", "playing", "held", "ended"]),
    sounds,
    sounds,
    st.lists(moments, max_size=5).map(tuple),
    st.none() | versions,
    st.lists(
        st.builds(CapUsed, lines, st.floats(-1e6, 1e6), st.floats(0, 1e6), lines), max_size=3
    ).map(tuple),
    lines,
    st.lists(lines, max_size=3).map(tuple),
)


@given(statuses, wholes, wholes)
@settings(max_examples=60, deadline=None, derandomize=True, database=None)
def test_status(told, epoch, serial):
    payload = keeps_to("status", stallpapers.written_status(told, epoch, serial))
    assert stallpapers.read_status("Stall-1", payload) == (told, (epoch, serial))


def test_handout():
    told = organiserpapers.Handed(
        PlanVersion(7, "gate"),
        (Bond(1, frozenset({"Stall-1", "Stall-2"}), "neighbours"),),
        {"Stall-1": "Stall 1", "Stall-2": "Stall 2"},
        {"stall": "Stall 1", "day": "2027-02-13", "performances": []},
    )
    payload = keeps_to("handout", organiserpapers.written_handed(told))
    assert organiserpapers.read_handed("gate", payload) == told


def test_plan():
    payload = keeps_to("plan", organiserpapers.written_plan(12))
    assert organiserpapers.read_plan("gate", payload) == PlanVersion(12, "gate")


def test_quiet():
    quiet = QuietNow("gate.1", "a speech", Span(NOON, NOON + timedelta(minutes=5)), "gate")
    calls = {each.quiet.call: each for each in (
        organiserpapers.Call(quiet, 3),
        organiserpapers.Call(replace(quiet, call="gate.2", lifted=True), 4),
    )}  # fmt: skip
    payload = keeps_to("quiet", organiserpapers.written_quiet(calls))
    assert organiserpapers.read_quiet("gate", payload) == tuple(calls.values())


def test_caps():
    told = organiserpapers.CapsOf(
        PlanVersion(7, "gate"),
        (
            (Performances(3, timedelta(hours=1), because="too loud"), ()),
            (Sounding(timedelta(minutes=15), None), ("Stall-1",)),
        ),
    )
    payload = keeps_to("caps", organiserpapers.written_caps(told))
    assert organiserpapers.read_caps("gate", payload) == told
    assert len(told.of("Stall-1")) == 2
    assert len(told.of("Stall-2")) == 1


def samples():
    span = Span(NOON, NOON + timedelta(minutes=4))
    claim = Claim(1, span, Rank(1, 5, "Stall-1"), span.end)
    status = stallpapers.Status("Stall-1", NOON, "Stall 1", "waiting", Sounds("Chimes", span))
    quiet = organiserpapers.Call(QuietNow("gate.1", "a speech", span, "gate"), 3)
    caps = organiserpapers.CapsOf(PlanVersion(7, "gate"), ((Performances(3), ()),))
    handed = organiserpapers.Handed(
        PlanVersion(7, "gate"), (Bond(1, frozenset("ab")),), {"a": "A"}, {}
    )
    here = stallpapers.Presence("a", "A", 1, 1, True)
    answer = Answer("a", "b", 1, 1, 1, 4, (2,))
    stalls, desks = stallpapers, organiserpapers
    return [
        (
            stalls.written_claims(Claims("a", 1, 1, (claim,)), NOON),
            partial(stalls.read_claims, "a"),
        ),
        (stalls.written_answer(answer), partial(stalls.read_answer, "a", "b")),
        (stalls.written_presence(here), partial(stalls.read_presence, "a")),
        (stalls.written_status(status, 1, 1), partial(stalls.read_status, "a")),
        (desks.written_quiet({"gate.1": quiet}), partial(desks.read_quiet, "gate")),
        (desks.written_caps(caps), partial(desks.read_caps, "gate")),
        (desks.written_handed(handed), partial(desks.read_handed, "gate")),
        (desks.written_plan(3), partial(desks.read_plan, "gate")),
    ]


def leaves(value, path=()):
    """Every place in a document, and how to put something else there."""
    yield path
    for key, inner in (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    ):
        yield from leaves(inner, (*path, key))


def put(value, path, new):
    if not path:
        return new
    copy = dict(value) if isinstance(value, dict) else list(value)
    copy[path[0]] = put(value[path[0]], path[1:], new)
    return copy


ODD = [
    None,
    True,
    -1,
    0.5,
    1e300,
    2**60,
    "",
    "x\ny",
    "x" * 5000,
    [],
    [[]],
    {},
    {"x": 1},
    "2027-02-13T12:00",
]


@pytest.mark.parametrize("number", range(8))
def test_anything_odd_anywhere_is_nonsense_or_means_something(number):
    payload, read = samples()[number]
    good = json.loads(payload)
    read(payload)
    refused = 0
    for path in leaves(good):
        if path and path[0] in ("handout", "names"):
            continue
        for odd in ODD:
            try:
                read(json.dumps(put(good, path, odd)).encode())
            except NonsenseError:
                refused += 1
        if path and isinstance(path[-1], str):
            gone = put(
                good,
                path[:-1],
                {k: v for k, v in dict(get(good, path[:-1])).items() if k != path[-1]},
            )
            with pytest.raises(NonsenseError):
                read(json.dumps(gone).encode())
    assert refused > 5


def get(value, path):
    for key in path:
        value = value[key]
    return value


@given(st.binary(max_size=300))
@settings(max_examples=150, deadline=None, derandomize=True, database=None)
def test_any_bytes_are_a_document_or_nonsense(payload):
    try:
        assert isinstance(document(payload), dict)
    except NonsenseError:
        return


def test_what_is_too_large_is_not_looked_at():
    with pytest.raises(NonsenseError, match="bytes"):
        document(b'{"x":"' + b"a" * LARGEST + b'"}')


@given(st.text(max_size=60), st.text(max_size=60))
@settings(max_examples=300, deadline=None, derandomize=True, database=None)
def test_no_two_names_give_one_word_and_every_word_is_safe(one, other):
    assert (safe_word(one) == safe_word(other)) == (one == other)
    word = safe_word(one)
    assert word
    assert not set(word) & set("+#/\0 $\n")
    assert not one or name_of(word) == one


def test_words_that_people_can_read():
    assert safe_word("The Tin Orchard") == "The-Tin-Orchard"
    assert safe_word("Café Höhe 7") == "Café-Höhe-7"
    assert safe_word("a+b/#") == "a_2b_b_2f__23_"
    assert {safe_word("a b"), safe_word("a-b"), safe_word("a_b")} == {"a-b", "a_2d_b", "a_5f_b"}


def test_a_topic_of_another_day_or_fair_or_shape_is_nobodys():
    topics = Topics("Fair", date(2027, 2, 13))
    assert topics.told_by(topics.stall("Stall-1", "leave", "Stall-2")) == (
        "stalls", "Stall-1", ("leave", "Stall-2"),
    )  # fmt: skip
    for topic in (
        Topics("Fair", date(2027, 2, 14)).stall("a", "claims"),
        Topics("Another", date(2027, 2, 13)).stall("a", "claims"),
        topics.root, f"{topics.root}/stalls/a", f"{topics.root}/stalls//claims",
        f"{topics.root}/elsewhere/a/claims", topics.stall("a" * 700, "claims"), string.printable,
    ):  # fmt: skip
        assert topics.told_by(topic) is None
