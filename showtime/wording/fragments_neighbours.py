"""Which units of a phrase bank may follow which, in any of its sentences."""

from __future__ import annotations

from dataclasses import dataclass, field

from showtime.wording.fragments_stretches import Ending, ending_of
from showtime.wording.fragments_units import Choice, Form, Forms, Said, Unit


@dataclass
class Neighbours:
    """The stretches of a bank: any row of units that begins with a start, goes on as `after` says
    and ends as `ends` says, with one of its `signs` if any. `filled` are the units that come from
    built-in rules, `written` how they are spelt; in the order in which the bank has them."""

    starts: set[Unit] = field(default_factory=set)
    after: dict[Unit, set[Unit]] = field(default_factory=dict)
    ends: dict[Unit, set[Ending]] = field(default_factory=dict)
    signs: dict[Unit, set[str]] = field(default_factory=dict)
    filled: set[Unit] = field(default_factory=set)
    written: dict[Unit, str] = field(default_factory=dict)

    def meet(self, said: Said) -> None:
        """There is this unit."""
        self.after.setdefault(said.words, set())
        self.ends.setdefault(said.words, set())
        self.signs.setdefault(said.words, set())
        self.written.setdefault(said.words, said.written)
        if said.filled:
            self.filled.add(said.words)

    def join(self, one: Said, other: Said) -> None:
        """The two may stand one after the other."""
        if one.words and other.words:
            self.after[one.words].add(other.words)
        elif one.words:
            self.ends[one.words].add(ending_of(other.sign))
            self.signs[one.words].add(other.sign)
        elif other.words:
            self.starts.add(other.words)


@dataclass(frozen=True, slots=True)
class _Edges:
    """What a form may begin and end with, and whether it may say nothing."""

    first: frozenset[Said]
    last: frozenset[Said]
    silent: bool


def neighbours(forms: Forms) -> Neighbours:
    """Who may follow whom in any of the bank's sentences."""
    following = _Following()
    whole = [following.of(form) for form in forms.by_kind.values()]
    found = Neighbours()
    for said in following.said:
        if said.words:
            found.meet(said)
    for edges in whole:
        found.starts |= {said.words for said in edges.first if said.words}
        for said in edges.last:
            if said.words:
                found.ends[said.words].add(Ending.ON)
    for one, other in following.pairs:
        found.join(one, other)
    return found


class _Following:
    """Which things may follow which, in the manner of Glushkov's position automaton: from what
    each part may begin and end with."""

    def __init__(self) -> None:
        self.pairs: set[tuple[Said, Said]] = set()
        self.said: dict[Said, None] = {}
        self._known: dict[int, _Edges] = {}

    def of(self, form: Form) -> _Edges:
        if id(form) not in self._known:
            self._known[id(form)] = self._edges(form)
        return self._known[id(form)]

    def _edges(self, form: Form) -> _Edges:
        if isinstance(form, Said):
            self.said[form] = None
            return _Edges(frozenset({form}), frozenset({form}), silent=False)
        if isinstance(form, Choice):
            each = [self.of(option) for option in form.options]
            return _Edges(
                frozenset().union(*(edges.first for edges in each)),
                frozenset().union(*(edges.last for edges in each)),
                any(edges.silent for edges in each),
            )
        whole = _Edges(frozenset(), frozenset(), silent=True)
        for part in form.parts:
            whole = self._then(whole, self.of(part))
        return whole

    def _then(self, before: _Edges, after: _Edges) -> _Edges:
        self.pairs.update((one, other) for one in before.last for other in after.first)
        return _Edges(
            before.first | after.first if before.silent else before.first,
            before.last | after.last if after.silent else after.last,
            before.silent and after.silent,
        )
