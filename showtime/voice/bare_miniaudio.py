"""miniaudio without numpy.

It imports numpy wherever that is installed, only to take its arrays beside plain bytes. Bytes are
all that we hand it, and numpy would cost a live day 15 MB and each spoken answer at the desk 60 ms.
The planner imports numpy for itself, when it plans.
"""

from __future__ import annotations

import sys
from typing import Any

_ARRAYS = "numpy"
_modules: dict[str, Any] = sys.modules

if _ARRAYS in _modules:
    import miniaudio
else:
    _modules[_ARRAYS] = None  # an import of it now fails, and miniaudio does without
    try:
        import miniaudio
    finally:
        del _modules[_ARRAYS]

__all__ = ["miniaudio"]
