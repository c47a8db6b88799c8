"""What a day came to, by its journal alone.

Owns the account of a day: asks, waits, starts, promises, what went wrong. Refuses to write to the
journal that it reads, or to hide that a part of it is lost. Always holds: the same journal gives
the same account, whether the day has ended, still runs or never began.
"""

from showtime.live.account.account import Account, account_of
from showtime.live.account.finding import account_in
from showtime.live.account.happenings import Happening
from showtime.live.account.reading import Read, read_journal
from showtime.live.account.whose import day_of_journal

__all__ = [
    "Account",
    "Happening",
    "Read",
    "account_in",
    "account_of",
    "day_of_journal",
    "read_journal",
]
