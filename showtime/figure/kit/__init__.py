"""What a controller runs by itself: for MicroPython, and headers for C++11.

Owns the kit's files. The MicroPython decoders are the computer's own, read from where they lie, so
that there is one of each; the headers are the same algorithms, held to the same test vectors.
Always holds: the kit needs nothing on the controller but what MicroPython, or the compiler, brings.
"""

from importlib.resources import files

DECODERS = ("dial.py", "entry.py", "knobs.py", "presses.py")
HEADERS = (
    "showtime_decoders.hpp",
    "showtime_dial.hpp",
    "showtime_entry.hpp",
    "showtime_knobs.hpp",
    "showtime_presses.hpp",
)


def decoders() -> dict[str, str]:
    """The decoders for MicroPython: each file's name and text."""
    own = files("showtime") / "triggers"
    return {name: (own / name).read_text("utf-8") for name in DECODERS}


def headers() -> dict[str, str]:
    """The headers for C++11: each file's name and text."""
    own = files("showtime") / "figure" / "kit"
    return {name: (own / name).read_text("utf-8") for name in HEADERS}
