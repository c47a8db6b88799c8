"""The judge of clock idioms: duckling, a general-purpose parser of times in text (open source, in
Haskell), through pyduckling-native-phihos 0.3.0, which runs it in this process."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import duckling
import pytest

MIDNIGHT = datetime(2027, 2, 13, tzinfo=UTC)
Parsed = Callable[[str, str], list[dict[str, Any]]]


@pytest.fixture(scope="session")
def duckling_in() -> Callable[..., Parsed]:
    """What duckling finds in a text of a language, such as "DE", at midnight before the fair, in
    one dimension. With `latent` also what needs a context, where it finds nothing else."""

    def opened(language: str, *, latent: bool) -> Parsed:
        zones = duckling.load_time_zones("/usr/share/zoneinfo")
        now = duckling.parse_ref_time(zones, "UTC", int(MIDNIGHT.timestamp()))
        locale = duckling.default_locale_lang(duckling.parse_lang(language))
        context = duckling.Context(now, locale)

        def found(text: str, dimension: str) -> list[dict[str, Any]]:
            wanted = duckling.parse_dimensions([dimension])
            every = list(duckling.parse(text, context, wanted, with_latent=latent))
            return [each for each in every if not each["latent"]] or every

        return found

    return opened
