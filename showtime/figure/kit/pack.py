"""The pack's tables, read line by line: never more than one line is in memory.

This file runs on CPython and MicroPython alike, as do answers.py, day.py, figure.py and player.py;
only pins.py and main.py touch the board.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:  # boards have no typing; a checker reads this as true
    from collections.abc import Iterator


class Pack:
    """The folder of a pack; `folder` ends with a stroke, or is empty."""

    def __init__(self, folder: str) -> None:
        self._folder = folder

    def rows(self, name: str, columns: int) -> "Iterator[list[str]]":
        """The first columns of each line of a table but its head."""
        with open(self._folder + name) as table:
            table.readline()
            for line in table:
                yield line.rstrip().split(",", columns)[:columns]

    def numbers(self, name: str, columns: int) -> "list[tuple[int, ...]]":
        """A whole table of numbers: only for one that is short."""
        return [tuple(int(field) for field in row) for row in self.rows(name, columns)]

    def value(self, name: str) -> str:
        """What PACK.CSV says of that name."""
        for known, value in self.rows("PACK.CSV", 2):
            if known == name:
                return str(value)
        raise KeyError(name)

    def clip(self, number: int) -> str:
        """The file of a clip."""
        return f"{self._folder}CLIPS/{number // 100:02}/{number:04}.WAV"
