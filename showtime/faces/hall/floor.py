"""The hall from above: each stall in its place, who counts together, and a scale in metres.

SVG that takes its colours from classes, by the inks of the report's pictures; `on` marks a stall
that sounds, and `open` one that was asked about.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from showtime.faces.hall.standing import pairs
from showtime.faces.report.drawing import WIDE, box, line, text_of, words
from showtime.fair.hall import HallDay, Place

_MARGIN = 112.0
_HIGHEST = 760.0
_PX_A_METRE = 90.0
_LETTER = 8.4
"""About how wide a sign of a stall's name is."""

_NAMED = 26
"""Signs of a stall's name; a longer one is cut, and stands whole beside the drawing."""

_DISTANCES = 16
"""No more pairs than these have their distance written on the drawing: the rest stand in tables."""

_SCALES = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)


@dataclass(frozen=True, slots=True)
class Frame:
    """From metres in the hall to the drawing's units."""

    left_m: float
    top_m: float
    px: float
    high: float
    radius: float

    def point(self, place: Place) -> tuple[float, float]:
        return _MARGIN + (place.x_m - self.left_m) * self.px, 54 + (
            self.top_m - place.y_m
        ) * self.px

    @classmethod
    def around(cls, places: Sequence[Place]) -> Frame:
        xs, ys = [place.x_m for place in places], [place.y_m for place in places]
        wide, deep = max(xs) - min(xs), max(ys) - min(ys)
        px = min(
            _PX_A_METRE,
            (WIDE - 2 * _MARGIN) / max(wide, 1e-6),
            (_HIGHEST - 140) / max(deep, 1e-6),
        )
        left = min(xs) - ((WIDE - 2 * _MARGIN) / px - wide) / 2
        apart = _nearest([(x * px, y * px) for x, y in zip(xs, ys, strict=True)])
        radius = min(max(apart * 0.42, 11), 21)
        return cls(left, max(ys), px, deep * px + 150, radius)


def _nearest(points: Sequence[tuple[float, float]]) -> float:
    """The least distance between two of the points that are not the same."""
    found = 100.0
    ordered = sorted(points)
    for number, (x, y) in enumerate(ordered):
        for other_x, other_y in ordered[number + 1 :]:
            if other_x - x > found:
                break
            apart = ((other_x - x) ** 2 + (other_y - y) ** 2) ** 0.5
            found = min(found, apart) if apart > 1 else found
    return found


def floor(hall: HallDay, *, linked: bool) -> str:
    """The drawing. `linked`: each stall leads to the part of the page with its name."""
    frame = Frame.around(hall.places)
    near = sorted(pairs(hall), key=lambda pair: pair[2])
    told = (
        f"The hall from above: {len(hall.names)} stalls. "
        + "; ".join(f"{n} {name}" for n, name in enumerate(hall.names, start=1))
        + "."
    )
    label = text_of(told).replace('"', "&quot;")
    role = f'role="group" aria-label="{label}"' if linked else f'role="img" aria-label="{label}"'
    return "".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {frame.high:.0f}" '
            f'{role} font-family="Libertinus Serif, Georgia, serif">',
            *_bonds(frame, hall, near),
            *_stands(frame, hall, linked),
            *_names(frame, hall),
            *_scale(frame),
            "</svg>",
        ]
    )


def _bonds(frame: Frame, hall: HallDay, near: list[tuple[int, int, float]]) -> Iterator[str]:
    """A line between stalls that count together, with how far they are apart."""
    for one, other, _ in near:
        ends = [frame.point(hall.places[each]) for each in (one, other)]
        yield f'<g class="bond" data-of="{one} {other}">{line(ends, "faint", 1.4, "2 5")}</g>'
    if len(near) > _DISTANCES:
        return
    for one, other, distance in near:
        (x, y), (other_x, other_y) = (frame.point(hall.places[each]) for each in (one, other))
        if ((x - other_x) ** 2 + (y - other_y) ** 2) ** 0.5 > 2 * frame.radius + 44:
            middle, level = (x + other_x) / 2, (y + other_y) / 2 + 5
            yield _clear(middle, level, f"{distance:.1f} m".replace(".0 m", " m"), 15, "middle")


def _stands(frame: Frame, hall: HallDay, linked: bool) -> Iterator[str]:
    for number, (name, place) in enumerate(zip(hall.names, hall.places, strict=True)):
        x, y = frame.point(place)
        size = frame.radius * (1.0 if number < 99 else 0.8)
        mark = (
            f'<circle class="ring s-red" cx="{x:.1f}" cy="{y:.1f}" r="{frame.radius + 6:.1f}" '
            'stroke-width="3"/>'
            f'<circle class="spot s-ink" cx="{x:.1f}" cy="{y:.1f}" r="{frame.radius:.1f}" '
            'stroke-width="2"/>'
            f'<text class="f-ink" x="{x:.1f}" y="{y + size * 0.35:.1f}" font-size="{size:.1f}" '
            f'text-anchor="middle">{number + 1}</text>'
        )
        named = text_of(f"{number + 1} {name}").replace('"', "&quot;")
        if linked:
            yield (
                f'<a class="stand" data-stall="{number}" href="#stall-{number + 1}" '
                f'aria-label="{named}"><title>{named}</title>{mark}</a>'
            )
        else:
            yield f'<g class="stand">{mark}</g>'


@dataclass(frozen=True, slots=True)
class _Box:
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: _Box) -> bool:
        beside = self.right <= other.left or other.right <= self.left
        return not (beside or self.bottom <= other.top or other.bottom <= self.top)


def _names(frame: Frame, hall: HallDay) -> list[str]:
    """Each stall's name beside its mark; none at all where there is no room for every one."""
    spots = [frame.point(place) for place in hall.places]
    reach = frame.radius + 8
    taken = [_Box(x - reach, y - reach, x + reach, y + reach) for x, y in spots]
    found = []
    for name, (x, y) in zip(hall.names, spots, strict=True):
        shown = name if len(name) <= _NAMED else f"{name[: _NAMED - 1].rstrip()}…"
        wide = _LETTER * len(shown)
        for at_x, at_y, anchor in (
            (x, y + reach + 13, "middle"),
            (x, y - reach - 4, "middle"),
            (x + reach + 3, y + 5, "start"),
            (x - reach - 3, y + 5, "end"),
        ):
            left = at_x - {"middle": wide / 2, "start": 0.0, "end": wide}[anchor]
            room = _Box(left, at_y - 13, left + wide, at_y + 4)
            inside = room.left >= 2 and room.right <= WIDE - 2 and room.top >= 0
            if inside and not any(room.meets(other) for other in taken):
                taken.append(room)
                found.append(_clear(at_x, at_y, shown, 16, anchor))
                break
        else:
            return []
    return found


def _clear(x: float, y: float, said: str, size: float, anchor: str) -> str:
    """Words on a bit of bare paper, so that no line runs through them."""
    wide = _LETTER * size / 16 * len(said)
    left = x - {"middle": wide / 2, "start": 0.0, "end": wide}[anchor]
    ground = box(left, y - size * 0.8, wide, size * 1.05, "paper")
    return ground + words(x, y, said, size=size, anchor=anchor)


def _scale(frame: Frame) -> Iterator[str]:
    """A bar of a round length, and which of the drawing's ways is up in the settings."""
    metres = max((each for each in _SCALES if each * frame.px <= 300), default=_SCALES[0])
    y, right = frame.high - 28, 24 + metres * frame.px
    yield line([(24, y), (right, y)], "ink", 2)
    for share in (0.0, 0.5, 1.0):
        x = 24 + share * metres * frame.px
        yield line([(x, y - 7), (x, y + 7)], "ink", 2)
        yield words(x, y + 23, f"{share * metres:g}", size=15, ink="faint", anchor="middle")
    yield words(right + 14, y + 5, "metres", size=15, ink="faint")
    yield words(
        WIDE - 20, y + 5, "distances from middle to middle", size=15, ink="faint", anchor="end"
    )
