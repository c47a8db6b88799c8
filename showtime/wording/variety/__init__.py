"""The maker's yardsticks: how varied a bank is, how long its sentences last, what sounds alike,
what is never said, and which words a voice may say wrong. Nothing here is needed to speak."""

from showtime.wording.variety.auditing import Audit, Moody, Share, Varied, audit
from showtime.wording.variety.lasting import seconds_of

__all__ = ["Audit", "Moody", "Share", "Varied", "audit", "seconds_of"]
