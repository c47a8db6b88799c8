"""The hall's drawing: where each stall stands, in units of the size that a stall is drawn. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from showtime.faces.organiser.sight import Floor, Row, Spot
from showtime.fair.hall import Place, Together

_EDGE = 1.8
"""Around the outermost stalls."""

_FAR = 48.0
"""Half widths: neighbours are drawn apart, but a hall is never drawn wider than this for it."""

_NEIGHBOURS = 3.2
"""Half widths from one stall's middle to the nearest other's, so that their halos do not touch."""


def floor(rows: Sequence[Row], places: Sequence[Place], together: Sequence[Together]) -> Floor:
    """The drawing of these stalls. y goes up in the hall, and down on a screen."""
    if not rows:
        return Floor((), (), 1, 1)
    left, top = min(p.x_m for p in places), max(p.y_m for p in places)
    wide, high = max(p.x_m for p in places) - left, top - min(p.y_m for p in places)
    unit = _unit(places, max(wide, high))

    def drawn(place: Place) -> tuple[float, float]:
        x, y = (place.x_m - left) / unit, (top - place.y_m) / unit
        return round(_EDGE + x, 2), round(_EDGE + y, 2)

    spots = tuple(
        Spot(row.number, row.name, row.mark, row.word, *drawn(place))
        for row, place in zip(rows, places, strict=True)
    )
    ties = tuple((*drawn(one), *drawn(other)) for one, other in _tied(places, together))
    across, down = 2 * _EDGE + wide / unit, 2 * _EDGE + high / unit
    return Floor(spots, ties, round(across, 2), round(down, 2))


def _unit(places: Sequence[Place], across: float) -> float:
    """Metres that a stall's half width is drawn as."""
    apart = [one.distance_m(other) for one, other in combinations(places, 2)]
    nearest = min((metres for metres in apart if metres > 0), default=1.0)
    return max(nearest / _NEIGHBOURS, across / _FAR, 1e-3)


def _tied(places: Sequence[Place], together: Sequence[Together]) -> list[tuple[Place, Place]]:
    """Pairs that a rule binds; one for the whole hall binds all, and is not drawn."""
    near = [rule for rule in together if rule.within_m is not None]
    return [pair for pair in combinations(places, 2) if any(rule.binds(*pair) for rule in near)]
