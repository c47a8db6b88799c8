"""What the keeper says is wired up, to values; what does not go together is named."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from showtime.fair import wiring
from showtime.settings.inputsfile import DEBOUNCE, DialGroup, InputGroup, KnobsGroup, PresenceGroup
from showtime.settings.model import Group
from showtime.settings.problem import Problems

_DEEDS = {"press", "long", "double", "long_after", "double_within", "sets"}
_WIRE = {"pull", "active"}
_BESIDE: dict[str, set[str]] = {
    "clicker": {"keys", *_DEEDS},
    "pin": {*_WIRE, "debounce", *_DEEDS},
    "serial": {"rate", *_DEEDS},
    "dial": set(),
    "knobs": set(),
    "presence": set(),
}
_INSIDE: dict[str, set[str]] = {
    "pin": {*_WIRE, "off_normal"},
    "serial": {"rate"},
    "converter": {"channels", "select"},
}


_TELLING = 3
"""Letters of a name that tell one clicker from the keeper's own keyboard, at least."""


def inputs(
    groups: tuple[InputGroup, ...], of_controller: str | None, problems: Problems
) -> tuple[wiring.Input, ...]:
    """What is wired up; what does not go together, or is wired twice, is a problem.

    `of_controller`: the serial line of the figure's controller, if it has one.
    """
    before = problems.count
    for group in groups:
        _check(group, problems)
    _check_wires(groups, of_controller, problems)
    if problems.count > before:
        return ()
    return tuple(_input(group) for group in groups)


def _check(group: InputGroup, problems: Problems) -> None:
    _refuse_beside(group, InputGroup.one_of, _BESIDE, problems)
    for inner in (group.dial, group.knobs, group.presence):
        if inner is not None:
            _refuse_beside(inner, type(inner).one_of, _INSIDE, problems)
    if group.press[:1] == ("hold",) and (group.long or group.double):
        problems.add(
            group.where_of("press"),
            "a press that holds is done at once, so nothing can be told from it by its length;"
            " leave 'long' and 'double' out, or hold by 'long'",
        )
    if group.clicker is not None and len(group.clicker) < _TELLING:
        problems.add(
            group.where_of("clicker"),
            f"'{group.clicker}' is in the names of too many keyboards, which would all be taken; "
            "write a part that no other has: showtime inputs shows them",
        )
    if group.knobs is not None:
        _check_knobs(group.knobs, problems)


def _refuse_beside(
    group: Group, kinds: tuple[str, ...], belongs: dict[str, set[str]], problems: Problems
) -> None:
    """Name the keys of another kind of input: they would do nothing."""
    kind = next(name for name in kinds if group.node.get(name))
    optional_here = set().union(*belongs.values())
    for pair in group.node.pairs:
        name = pair.key.text
        if name in optional_here and name not in belongs[kind]:
            problems.add(pair.key.where, f"'{name}' means nothing beside '{kind}'; leave it out")


def _check_knobs(knobs: KnobsGroup, problems: Problems) -> None:
    if len(knobs.channels) != 2 or knobs.channels[0] == knobs.channels[-1]:
        problems.add(knobs.where_of("channels"), "two different channels belong here: [0, 1]")
    elif knobs.converter is not None and max(knobs.channels) >= knobs.converter.inlets:
        last = knobs.converter.inlets - 1
        problems.add(knobs.where_of("channels"), f"{knobs.converter} has channels 0 to {last}")
    for key in ("hour", "minute"):
        ends = getattr(knobs.ends, key) if knobs.ends else (0, 1)
        if knobs.ends is not None and (len(ends) != 2 or abs(ends[0] - ends[1]) < 100):
            problems.add(
                knobs.ends.where_of(key),
                "two readings at least 100 apart belong here, as showtime inputs shows them",
            )


def _check_wires(
    groups: tuple[InputGroup, ...], of_controller: str | None, problems: Problems
) -> None:
    """No pin has two wires. A line may tell of several inputs, all at one rate, but the
    controller's is its own."""
    pins: set[str] = set()
    rates: dict[str, int] = {}
    for group in groups:
        for owner in (group, group.dial, group.knobs, group.presence):
            if owner is None:
                continue
            for key, pin in _pins(owner):
                if pin in pins:
                    problems.add(owner.where_of(key), f"pin {pin} is wired twice; keep one")
                pins.add(pin)
            if owner.serial is not None:
                _check_line(owner, owner.serial, rates, of_controller, problems)


def _check_line(
    owner: InputGroup | DialGroup | KnobsGroup | PresenceGroup,
    path: str,
    rates: dict[str, int],
    of_controller: str | None,
    problems: Problems,
) -> None:
    if path == of_controller:
        problems.add(
            owner.where_of("serial"),
            f"{path} is the controller's line, which nothing else can come by; use another",
        )
    if rates.setdefault(path, owner.rate) != owner.rate:
        problems.add(
            owner.where_of("rate"),
            f"{path} has a rate of {rates[path]} in another place; a line has one, write it there "
            "too",
        )


def _pins(group: Group) -> Iterator[tuple[str, str]]:
    for key in ("pin", "off_normal"):
        pin = getattr(group, key, None)
        if pin is not None:
            yield key, pin.removeprefix("GPIO")


def _input(group: InputGroup) -> wiring.Input:
    if group.dial is not None:
        return _dial(group.dial)
    if group.knobs is not None:
        return _knobs(group.knobs)
    if group.presence is not None:
        there = group.presence
        return wiring.Presence(_wire_or_port(there), there.every, there.where)
    of: wiring.Clicker | wiring.Wire | wiring.Port
    if group.clicker is not None:
        of = wiring.Clicker(group.clicker, tuple(key.lower() for key in group.keys))
    else:
        of = _wire_or_port(group, group.debounce)
    deeds = wiring.Deeds(
        group.press,
        group.long,
        group.double,
        timedelta(milliseconds=group.long_after),
        timedelta(milliseconds=group.double_within),
        group.sets,
    )
    return wiring.Button(of, deeds, group.where)


def _wire_or_port(
    group: InputGroup | DialGroup | PresenceGroup, debounce: float = DEBOUNCE
) -> wiring.Wire | wiring.Port:
    if group.pin is not None:
        pause = timedelta(milliseconds=debounce)
        return wiring.Wire(group.pin, group.pull, group.active, pause)
    return wiring.Port(group.serial or "", group.rate)


def _dial(dial: DialGroup) -> wiring.Dial:
    # A dial's own chatter is judged by its decoder, with the pulses' times in view.
    bare = timedelta(0)
    off_normal = None
    if dial.off_normal is not None:
        off_normal = wiring.Wire(dial.off_normal, dial.pull, dial.active, bare)
    return wiring.Dial(_wire_or_port(dial, 0.0), off_normal, dial.sets, dial.where)


def _knobs(knobs: KnobsGroup) -> wiring.Knobs:
    of: wiring.Converter | wiring.Port
    if knobs.converter is not None:
        channels = knobs.channels[0], knobs.channels[1]
        of = wiring.Converter(knobs.converter, channels, knobs.select)
        full = knobs.converter.full
    else:
        of, full = wiring.Port(knobs.serial or "", knobs.rate), 1023
    hour, minute = ((0, full), (0, full))
    if knobs.ends is not None:
        hour = knobs.ends.hour[0], knobs.ends.hour[1]
        minute = knobs.ends.minute[0], knobs.ends.minute[1]
    return wiring.Knobs(of, hour, minute, knobs.sets, knobs.where)
