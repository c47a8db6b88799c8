// Dialled digits, or a time that was turned to -> a time that counts. The same algorithm as entry.py.
#ifndef SHOWTIME_ENTRY_HPP
#define SHOWTIME_ENTRY_HPP

#include <stdint.h>

namespace showtime {

typedef int64_t Micros;

namespace entry {

static const Micros PAUSE = 4000000;
static const Micros COMPLETE = 1500000;
static const Micros COUNTS = 5000000;

enum State { EMPTY, COLLECTING, SPOILT, UNDERSTOOD };
enum Event { DIGIT, DOUBT, TURNED, WITHDRAWN, IS_TIME, IS_NONE, IS_OVER };
enum What { NOTHING, SPEAK_BACK, COUNT, CANCEL, NOT_CAUGHT };

inline const char* text(What what) {
    switch (what) {
        case SPEAK_BACK: return "understood";
        case COUNT: return "counts";
        case CANCEL: return "cancelled";
        case NOT_CAUGHT: return "not caught";
        case NOTHING: break;
    }
    return "";
}

// The only ways from state to state; the columns are the events in their order.
inline State becomes(State state, Event event) {
    static const State table[4][7] = {
        {COLLECTING, SPOILT, UNDERSTOOD, EMPTY, EMPTY, EMPTY, EMPTY},
        {COLLECTING, SPOILT, UNDERSTOOD, EMPTY, UNDERSTOOD, EMPTY, COLLECTING},
        {SPOILT, SPOILT, UNDERSTOOD, EMPTY, SPOILT, EMPTY, SPOILT},
        {COLLECTING, SPOILT, UNDERSTOOD, EMPTY, UNDERSTOOD, UNDERSTOOD, EMPTY},
    };
    return table[state][event];
}

// The time in minutes of the day, or -1; and why it was not caught. A doubt's reason is kept as the
// pointer that was handed in.
struct Told {
    What what;
    int minute;
    const char* why;
};

inline Told told_of(What what, int minute, const char* why) {
    const Told told = {what, minute, why};
    return told;
}

// A day's open hours and the present, in minutes of the day. Hours that end after midnight close
// beyond 1440; `now` is -1 while the clock is not trusted.
struct Open {
    int opens;
    int closes;
    int now;
};

inline int ahead(int minute, int of) { return (minute - of + 2880) % 1440; }

// The minute of the day that is meant.
inline int resolved(int hour, int minute, const Open& day) {
    const int dialled = hour * 60 + minute;
    if (hour < 1 || hour > 12) return dialled;
    const int other = (dialled + 720) % 1440;
    const int opened = day.closes - day.opens;
    const bool dialled_is_open = ahead(dialled, day.opens) <= opened;
    const bool other_is_open = ahead(other, day.opens) <= opened;
    if (dialled_is_open && other_is_open) {
        const int reference = day.now < 0 ? day.opens : day.now;
        return ahead(other, reference) < ahead(dialled, reference) ? other : dialled;
    }
    return other_is_open ? other : dialled;
}

class Entry {
public:
    Open day;

    explicit Entry(const Open& hours)
        : day(hours), state_(EMPTY), quiet_since_(0), number_(0), digits_(0), doubt_(""),
          minute_(0), cancelling_(false) {}

    State state() const { return state_; }

    Told digit(Micros at, int digit) {
        const Told told = tick(at);
        return dialled(at, DIGIT, digit, "", told);
    }

    Told doubt(Micros at, const char* why) {
        const Told told = tick(at);
        return dialled(at, DOUBT, 0, why, told);
    }

    Told turned(Micros at, int hour, int minute) {
        step(TURNED);
        return understood(at, hour, minute);
    }

    Told withdraw(Micros at) {
        const Told told = tick(at);
        const bool was_understood = state_ == UNDERSTOOD;
        step(WITHDRAWN);
        return was_understood ? told_of(CANCEL, minute_, "") : told;
    }

    Told busy(Micros at) {
        const Told told = tick(at);
        if (at > quiet_since_) quiet_since_ = at;
        return told;
    }

    Told tick(Micros now) {
        if (state_ == EMPTY || now - quiet_since_ < patience()) return told_of(NOTHING, -1, "");
        if (state_ != UNDERSTOOD) return read(now);
        step(IS_OVER);
        return told_of(COUNT, minute_, "");
    }

private:
    State state_;
    Micros quiet_since_;
    int number_;
    int digits_;
    const char* doubt_;
    int minute_;
    bool cancelling_;

    void step(Event event) { state_ = becomes(state_, event); }

    Micros patience() const {
        if (state_ == UNDERSTOOD) return COUNTS;
        return digits_ < 4 ? PAUSE : COMPLETE;
    }

    Told dialled(Micros at, Event event, int digit, const char* why, const Told& before) {
        const bool cancelled = state_ == UNDERSTOOD;
        if (cancelled || state_ == EMPTY) {
            number_ = digits_ = 0;
            doubt_ = "";
            cancelling_ = cancelled;
        }
        step(event);
        quiet_since_ = at;
        if (digits_ < 5) ++digits_;
        if (digits_ <= 4) number_ = number_ * 10 + digit;
        if (!*doubt_) doubt_ = why;
        return cancelled ? told_of(CANCEL, minute_, "") : before;
    }

    const char* nonsense() const {
        if (*doubt_) return doubt_;
        if (digits_ < 3) return "too few digits for a time";
        if (digits_ > 4) return "too many digits for a time";
        return number_ / 100 > 23 || number_ % 100 > 59 ? "no such time of day" : "";
    }

    Told read(Micros now) {
        const char* why = nonsense();
        if (*why) {
            step(IS_NONE);
            if (cancelling_ && digits_ == 1) return told_of(NOTHING, -1, "");
            return told_of(NOT_CAUGHT, -1, why);
        }
        step(IS_TIME);
        return understood(now, number_ / 100, number_ % 100);
    }

    Told understood(Micros at, int hour, int minute) {
        quiet_since_ = at;
        minute_ = resolved(hour, minute, day);
        return told_of(SPEAK_BACK, minute_, "");
    }
};

}  // namespace entry
}  // namespace showtime

#endif
