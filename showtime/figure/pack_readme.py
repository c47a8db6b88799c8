"""What stands in a pack's README.TXT: for whoever builds the controller, in plain words."""

from __future__ import annotations

from showtime.figure.pack_making import Contents

_TEXT = """\
{stall}: {figure}, {day}
{rule}

Everything in this folder lets the figure's own controller do this one day alone, with no computer
on the stall: what plays when, and what is said to whoever asks for the next performance.
Copy the whole folder to the controller's card. Check it first: showtime pack --verify FOLDER


BE CAREFUL

* Low voltage only: nothing here may switch or touch the mains. Leave mains work to a qualified
  person, and follow the rules of the place and of the country.
* Every supply is fused, close to the battery. A battery needs a charger that suits it.
* Moving parts pinch and motors get hot: put guards before them.
* There is an emergency stop that cuts the motors' current by itself, without this program.
* After power-on nothing moves until the keeper holds the button down. The figure stays where it
  is when the power comes back, too.
* A controller knows neither heat nor the neighbours: the plan is within your limits as it stands,
  and no other. Loudness is an estimate; measure it.


ON THE DAY

The controller wakes and does not know what time it is; if asked, it says so. Dial the time: 1005
for five past ten. The figure says what it understood, and a few seconds later that it counts; any
digit meanwhile cancels it. Two knobs, for the hour and for the minute, do the same.
Press the button: the figure tells when the next performance is.
Hold the button: it is released, and plays what the plan says. Hold it again: everything stops.


THE FILES

All are text (UTF-8) of lines that end in CR LF, the first naming the columns; what is between
commas is a number or one word, up to the last column. No number has a sign but times that are none
(-1) and silences. Times are seconds from midnight as a clock on the wall counts them; past the next
midnight they go on beyond 86400.

PACK.CSV       name,value: format, day, rate (samples a second), opens, closes, and so on.
PLAN.CSV       start,begins,latest,lasts,piece: a line for each performance. One that was held up
               may still begin until "latest"; later it would break a rule, and is left out.
PIECES.CSV     piece,lasts,answers,name: what is performed; "answers": while it plays a question is
               answered softly, or not at all (silent).
QUIET.CSV      from,until,hush_from,hush_until,answers,why: between from and until answers are given
               softly, or not at all. Between hush_from and hush_until nothing is said unasked.
CALLS.CSV      before: so many seconds before each performance a crowd is called.
ANSWERS.CSV    list,kind,start,at,from,until,sentences: what to say. Take the line of your kind and
               start (0: of no start) with from <= now < until; "at" is the time that it tells.
WORDS/Lnnnn.CSV  clips: list nnnn, a sentence a line: clips to play one after the other. A number
               below zero is a silence of so many milliseconds.
WORDS/Hnn.CSV  minute,clips: what to say when a time in hour nn was dialled, before it counts.
WORDS/Cnn.CSV  minute,clips: what to say when the clock has been set to it.
CLIPS.CSV      clip,milliseconds,language,voice,text: what each clip says.
CLIPS/nn/nnnn.WAV  the clips: RIFF WAV, 16 bits, one channel, a header of 44 bytes. nn is the
               number without its last two digits.
MANIFEST.CSV   file,bytes,crc32: every other file; the CRC is that of ZIP files, in hexadecimal. The
               last line is END, the number of files, and the CRC of all lines before it.
KIT            the program for MicroPython boards; in KIT/CPP headers for C++11: DAY.HPP for this
               folder's tables and the day, DECODERS.HPP for button, dial and knobs.


THE KINDS OF ANSWERS

next           the start is more than three minutes away
soon           the start is three minutes away or less
playing        start is the one that plays; "at" is the one after it
changed        a start that was told was missed; this is the next one. Once, to whoever asks next
called_off     the same, when no start is left
late           the figure is held
not_open       the stall is not open yet
tomorrow       the last start is over; "at" is the first one of the next fair day
none_left      the last start is over, and there is no further day
call           said unasked, before the start
clock_unset    the time is not known
not_caught     what was dialled is no time


A MICROPYTHON BOARD

1. Copy KIT/*.py to the board (not the folder CPP), and this folder to its card or flash.
2. Open pins.py: the numbers at its top say which pin is which. Change what you wired otherwise.
3. Restart the board.
A board needs a loudspeaker: an I2S amplifier, or a PWM pin with a small amplifier behind a filter.


IN NUMBERS

Performances {performances}
Answers      {lists} for {sentences} sentences, in: {languages}
Clips        {clips}, at {rate} samples a second
"""


def readme(contents: Contents, rate: int) -> bytes:
    signboard, day = contents.plan.day.signboard, contents.plan.day.date
    title = f"{signboard.stall}: {signboard.figure}, {day:%Y-%m-%d}"
    text = _TEXT.format(
        stall=signboard.stall,
        figure=signboard.figure,
        day=f"{day:%Y-%m-%d}",
        rule="=" * len(title),
        performances=len(contents.plan.performances),
        lists=len(contents.answers),
        sentences=sum(len(each.rows) for each in contents.answers),
        languages=", ".join(contents.languages),
        clips=len(contents.numbers),
        rate=rate,
    )
    return text.replace("\n", "\r\n").encode()
