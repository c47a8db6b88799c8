// The decoders of Showtime's kit for microcontrollers that are programmed in C++11 or later: a
// telephone dial, the entry of a time, two potentiometers, a button. Header only; no allocation, no
// exceptions, no library but <cstdint>.
//
// They are the algorithms of dial.py, entry.py, knobs.py and presses.py, where the reasons stand, and
// give the same results on the same test vectors. Times are microseconds in 64 bits on any axis that
// only grows; a 32-bit counter such as micros() wraps after 71 minutes and must be widened:
//
//   static uint32_t last;
//   static showtime::Micros now;
//   const uint32_t counted = micros();
//   now += static_cast<uint32_t>(counted - last);  // at least once every 71 minutes
//   last = counted;
#ifndef SHOWTIME_DECODERS_HPP
#define SHOWTIME_DECODERS_HPP

#include "showtime_dial.hpp"
#include "showtime_entry.hpp"
#include "showtime_knobs.hpp"
#include "showtime_presses.hpp"

#endif
