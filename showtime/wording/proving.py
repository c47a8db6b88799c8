"""Is a phrase bank fit to speak? Every rule exists, and no template can tell a wrong number of
times, say nothing, or go on too long; in every situation something can be said."""

from __future__ import annotations

from collections.abc import Iterator

from showtime.settings import Problem
from showtime.wording.clock import Clock
from showtime.wording.draft import Draft, Source, meant
from showtime.wording.filling import (
    BUILT_IN,
    BY_THE_CLOCK,
    IN_MINUTES,
    MOODS,
    OF_A_START,
)
from showtime.wording.grammar import Expansion, Reference, Settling, depth
from showtime.wording.situation import Bar, Kind
from showtime.wording.surface import bare
from showtime.wording.tellings import TWICE, Nature, Natures

MOST_WORDS = 45
"""A sentence longer than this is lost on a visitor in a noisy hall (common practice)."""

TELLS = {
    Kind.NEXT: {True},
    Kind.SOON: {True},
    Kind.CALL: {True},
    Kind.PLAYING: {True, False},
    Kind.LATE: {False},
    Kind.CHANGED: {True},
    Kind.NONE_LEFT: {False},
    Kind.TOMORROW: {True},
    Kind.NOT_OPEN: {True, False},
    Kind.CALLED_OFF: {False},
    Kind.CLOCK_UNSET: {False},
    Kind.UNDERSTOOD: {True},
    Kind.NOT_CAUGHT: {False},
    Kind.REFUSED: {True, False},
    Kind.AGREED: {True},
    Kind.CLOCK_SET: {True},
    Kind.SURE: {True},
}
"""Whether a situation tells a start, does not, or either; a bank speaks in each of these."""

DEEPEST = 100
"""Sequences and alternatives within each other, rules followed; far beyond what a person writes."""

_NEAR = (Kind.SOON, Kind.CALL)
_OTHER_DAYS = (Kind.TOMORROW, Kind.NOT_OPEN)
_ALONE = BY_THE_CLOCK | {"day", str(Bar.OTHER)}


def prove(draft: Draft, clock: Clock | None) -> dict[int, bool]:
    """Adds what is wrong to the draft; says of each template (by id) whether it tells a start."""
    return _Proof(draft, clock).run()


class _Proof:
    def __init__(self, draft: Draft, clock: Clock | None) -> None:
        self._draft = draft
        self._clock = clock
        self._sound: dict[str, bool] = {}
        self._reach: dict[str, frozenset[str]] = {}
        self._depth: dict[str, int] = {}
        self._tells: dict[int, bool] = {}

    def run(self) -> dict[int, bool]:
        draft = self._draft
        for source in [*draft.rules.values(), *(source for _, source in draft.every_template)]:
            self._references(source)
        for name in draft.rules:
            self._walk(name, ())
        rules = {
            name: source.expansion
            for name, source in draft.rules.items()
            if self._sound[name] and source.expansion is not None
        }
        natures = Natures(rules)
        for name in rules:
            self._rule(name, natures)
        for kind, source in draft.every_template:
            if self._is_sound(source):
                self._template(kind, source, natures, rules)
        for kind, sources in draft.templates.items():
            if sources and all(id(source) in self._tells for source in sources):
                self._situation(kind, sources, rules)
        self._unused()
        return self._tells

    def _references(self, source: Source) -> None:
        known = [*sorted(BUILT_IN), *self._draft.named_at]
        for reference in source.references:
            if reference.name not in known:
                self._draft.wrong(
                    source.place(reference.place),
                    f"there is no rule <{reference.name}>; {meant(reference.name, known, '<{}>')}",
                )

    def _walk(self, name: str, path: tuple[str, ...]) -> bool:
        """True when the rule can be followed to its end; a way back to itself is a problem."""
        if name in self._sound:
            return self._sound[name]
        source = self._draft.rules.get(name)
        if source is None or source.expansion is None:
            return self._sound.setdefault(name, False)
        followed = [self._follow(source, each, (*path, name)) for each in source.references]
        inner = {reference.name for reference in source.references}
        self._reach[name] = frozenset(inner).union(*(self._reach.get(each, ()) for each in inner))
        self._depth[name] = depth(source.expansion) + max(map(self._deep, inner), default=0)
        if all(followed) and self._depth[name] > DEEPEST:
            self._draft.wrong(
                self._draft.named_at[name], "too many rules lie within each other here"
            )
            followed.append(False)
        return self._sound.setdefault(name, all(followed))

    def _follow(self, source: Source, reference: Reference, path: tuple[str, ...]) -> bool:
        if reference.name in BUILT_IN:
            return True
        if reference.name in path:
            circle = " -> ".join([*path, reference.name])
            self._draft.wrong(
                source.place(reference.place),
                f"this rule would go round for ever: {circle}; take the reference out",
            )
            return False
        if len(path) > DEEPEST:
            self._draft.wrong(
                source.place(reference.place), "too many rules lie within each other here"
            )
            return False
        return self._walk(reference.name, path)

    def _deep(self, name: str) -> int:
        return self._depth.get(name, 0)

    def _is_sound(self, source: Source) -> bool:
        return source.expansion is not None and all(
            reference.name in BUILT_IN or self._sound.get(reference.name, False)
            for reference in source.references
        )

    def _rule(self, name: str, natures: Natures) -> None:
        source = self._draft.rules[name]
        assert source.expansion is not None
        nature = natures.of(source.expansion)
        self._literal_times(source)
        if nature.again is not None:
            self._draft.wrong(
                source.place(nature.again), f"<{name}> tells the start twice; once is clear"
            )
        if TWICE in nature.tells:
            self._sound[name] = False

    def _template(
        self, kind: Kind, source: Source, natures: Natures, rules: dict[str, Expansion]
    ) -> None:
        assert source.expansion is not None
        nature = natures.of(source.expansion)
        before = len(self._draft.problems)
        self._shape(kind, source, nature)
        self._literal_times(source)
        self._minutes(kind, source)
        if len(self._draft.problems) > before:
            return
        tells = nature.tells == {1}
        self._tells[id(source)] = tells
        if not tells and self._reached(source) & OF_A_START:
            self._without_start(source, rules)
        if tells and kind in _OTHER_DAYS:
            self._without_day(kind, source, rules)

    def _without_start(self, source: Source, rules: dict[str, Expansion]) -> None:
        assert source.expansion is not None
        if Settling(rules, OF_A_START, MOODS).settle(source.expansion) is None:
            self._draft.wrong(
                source.place(0), "this can never be said: <day> and <daypart> speak of a start"
            )

    def _without_day(self, kind: Kind, source: Source, rules: dict[str, Expansion]) -> None:
        assert source.expansion is not None
        if Settling(rules, frozenset({"day"}), MOODS).settle(source.expansion) is not None:
            self._draft.warnings.append(
                Problem(
                    source.place(0),
                    f"in the situation '{kind}' the start may be on another day: use <day>",
                )
            )

    def _reached(self, source: Source) -> frozenset[str]:
        """Every rule that the source comes upon, directly or through others."""
        names = [reference.name for reference in source.references]
        return frozenset(names).union(*(self._reach.get(name, ()) for name in names))

    def _shape(self, kind: Kind, source: Source, nature: Nature) -> None:
        if nature.again is not None:
            self._draft.wrong(
                source.place(nature.again), "this tells the start once more; once is clear"
            )
        for fault in _faults(kind, nature):
            self._draft.wrong(source.place(0), fault)

    def _literal_times(self, source: Source) -> None:
        """A time written out in words is right once a day."""
        text = source.scalar.text
        told = self._clock.told if self._clock else None
        if told is None or not told(bare(text)):
            return
        end = next(end for end in range(len(text) + 1) if told(bare(text[:end])))
        begin = next(begin for begin in range(end, -1, -1) if told(bare(text[begin:end])))
        self._draft.wrong(
            source.place(begin), "a listener hears a time here; only <time> and <minutes> tell one"
        )

    def _minutes(self, kind: Kind, source: Source) -> None:
        if kind in _NEAR:
            return
        for reference in source.references:
            reached = {reference.name} | self._reach.get(reference.name, frozenset())
            for rule in sorted(reached & IN_MINUTES):
                self._draft.wrong(
                    source.place(reference.place),
                    f"<{rule}> is for {' and '.join(_NEAR)}, when they are few; use <time>",
                )

    def _situation(self, kind: Kind, sources: list[Source], rules: dict[str, Expansion]) -> None:
        for tells in sorted(TELLS[kind], reverse=True):
            spare = Settling(rules, BUILT_IN - (_ALONE if tells else {str(Bar.OTHER)}), MOODS)
            if not any(
                self._tells[id(source)] is tells
                and source.expansion is not None
                and spare.settle(source.expansion) is not None
                for source in sources
            ):
                needed = "<time>, with or without <day>," if tells else "its own words"
                when = ", for a day with none to come" if not tells and True in TELLS[kind] else ""
                self._draft.wrong(
                    self._draft.listed_at[kind],
                    f"'{kind}' needs a template that can be said with {needed} alone{when}",
                )

    def _unused(self) -> None:
        used = set[str]()
        for _, source in self._draft.every_template:
            used |= self._reached(source)
        for name, where in self._draft.named_at.items():
            if name not in used:
                self._draft.warnings.append(Problem(where, f"no template uses the rule <{name}>"))


def _faults(kind: Kind, nature: Nature) -> Iterator[str]:
    """What is wrong with a template as a whole."""
    if not nature.tells:
        yield "this can never be said: it always comes upon <VOID>"
    elif nature.tells == {0, 1}:
        yield (
            "this tells the start in some of its sentences only; "
            "make two templates of it, or take <time> out of [ ] and ( | )"
        )
    elif nature.tells == {0} and False not in TELLS[kind]:
        yield f"in the situation '{kind}' the start is told: use <time>"
    elif nature.tells == {1} and True not in TELLS[kind]:
        yield f"in the situation '{kind}' no start is told"
    if nature.least == 0:
        yield "this may say nothing at all"
    if nature.most > MOST_WORDS:
        yield (
            f"this may go on for {nature.most} words; "
            f"no more than {MOST_WORDS} are heard in a noisy hall"
        )
