"""What may come next in a stall's settings: examples that count once their "# " is taken away."""

from __future__ import annotations

EXAMPLES = """\
gap: GAP                      # at least, from the end of one performance to the start of the next

# How much the fair and the neighbours can bear; the first is only a beginning. A level at a
# neighbour needs that neighbour below, and of each piece its `level:`, measured at 1 m.
caps:
  - {why: peace on the row, performances: OFTEN, in_any: 60 min}
#   - {why: fair rule, sounding: 15 min, in_any: 60 min}
#   - {why: agreed with the neighbour, level: 60 dBA, at: The Lantern Cart, in_any: 60 min}
#   - {performances: 20, in_any: day}
# neighbours:
#   - {name: The Lantern Cart, distance: 3 m}

# What the figure itself can bear: `heat:` of a piece is how far above ambient its motors would warm
# if it never ended, `current:` what it draws. Estimates; motors burn, batteries need a fuse.
# body:
#   heat: {time_constant: 25 min, ambient: 21 °C, hold: 8 K, limit: 45 °C}
#   battery: {capacity: 10 Ah, keep: 20 %, idle: 0.4 A}

# What you would like, as far as the limits allow.
# wishes:
#   performances: 18              # no more than this a day; left out: as many as allowed
#   start_on: 5 min               # starts fall on this grid
#   prefer_minutes: [0, 30, 15, 45]
#   busy: [{from: BUSY, until: CLOSES, worth: 2}]

# Unasked: gathers a crowd before a performance, never in a quiet interval.
# calls:
#   - {before: 5 min}
#   - {before: 1 min}

# How it speaks; "showtime voice voices" and "showtime voice devices" list what there is.
# voice:
#   rate: 170 words/min
#   chime: rising                 # or falling, none

# Printed for the neighbours by "showtime notice --kind neighbours".
# keeper: {phone: 01632 960 017}

# What there is to press and turn; "showtime inputs --find" listens to all that is plugged in and
# prints the line. Low voltage only: nothing here may touch the mains.
# inputs:
#   - {clicker: Presenter, press: ask, long: hold}
#   - {pin: 17, pull: up, active: low, press: ask}
#   - dial: {pin: 23, off_normal: 24, sets: next}

# The figure's own controller, once it is wired up; without it nothing moves but the words.
# controller:
#   serial: /dev/ttyACM0
"""
"""GAP, OFTEN, BUSY and CLOSES are in place of what depends on the stall."""
