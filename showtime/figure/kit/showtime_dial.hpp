// A telephone dial's contacts -> digits or doubts. The same algorithm as dial.py.
#ifndef SHOWTIME_DIAL_HPP
#define SHOWTIME_DIAL_HPP

#include <stdint.h>

namespace showtime {

typedef int64_t Micros;

namespace dial {

static const Micros SETTLE = 5500;
static const Micros CHATTER = 8000;
static const Micros SPARKS_APART = 150000;
static const Micros PAUSE = 400000;
static const Micros STUCK = 300000;
static const Micros HOMEWARD = 1500000;

enum Doubt {
    NONE,
    SHORT_BREAK,
    LONG_BREAK,
    SHORT_MAKE,
    LONG_MAKE,
    TOO_FAST,
    TOO_SLOW,
    SHARE,
    CHATTERS,
    UNSTEADY,
    TOO_MANY,
    IS_STUCK,
    AT_REST,
    NO_PULSE,
    NOT_HOME,
    UNRESTED,
    DISORDER
};

inline const char* text(Doubt doubt) {
    switch (doubt) {
        case SHORT_BREAK: return "a break is too short";
        case LONG_BREAK: return "a break is too long";
        case SHORT_MAKE: return "a make is too short";
        case LONG_MAKE: return "a make is too long";
        case TOO_FAST: return "the dial runs too fast";
        case TOO_SLOW: return "the dial runs too slowly";
        case SHARE: return "breaks and makes are out of proportion";
        case CHATTERS: return "the contact chatters";
        case UNSTEADY: return "the pulses are uneven";
        case TOO_MANY: return "more than ten pulses";
        case IS_STUCK: return "the contact stays open";
        case AT_REST: return "pulses came while the dial was at rest";
        case NO_PULSE: return "the dial turned without a pulse";
        case NOT_HOME: return "the dial did not come home";
        case UNRESTED: return "the dial was not at rest at the start";
        case DISORDER: return "times came out of order";
        case NONE: break;
    }
    return "";
}

// A digit 0 to 9, or -1 and the reason why it is in doubt; and when that was certain. `told` is
// false where nothing is to be told.
struct Heard {
    bool told;
    int digit;
    Doubt doubt;
    Micros at;
};

inline Heard nothing() {
    const Heard heard = {false, -1, NONE, 0};
    return heard;
}

// A contact without its bounces.
class Contact {
public:
    bool is_open;
    bool moving;
    bool chattered;
    Micros since;
    Micros last_edge;

    Contact()
        : is_open(false), moving(false), chattered(false), since(0), last_edge(0), began_(0),
          sparked_at_(-SPARKS_APART), level_(false) {}

    void edge(Micros at, bool open) {
        if (open == level_) return;
        level_ = open;
        if (!moving) {
            moving = true;
            began_ = at;
        }
        last_edge = at;
    }

    bool settle(Micros now) {
        chattered = false;
        if (!moving || now - last_edge < SETTLE) return false;
        moving = false;
        chattered = last_edge - began_ > CHATTER;
        if (level_ == is_open) {
            if (began_ - sparked_at_ < SPARKS_APART) chattered = true;
            sparked_at_ = began_;
            return false;
        }
        is_open = level_;
        since = began_;
        return true;
    }

private:
    Micros began_;
    Micros sparked_at_;
    bool level_;
};

// Lengths that should be alike.
class Lengths {
public:
    Micros total;

    Lengths() : total(0), count_(0), shortest_(0), longest_(0) {}

    void add(Micros length) {
        if (count_ == 0 || length < shortest_) shortest_ = length;
        if (length > longest_) longest_ = length;
        ++count_;
        total += length;
    }

    bool differ(int percent) const {
        return (longest_ - shortest_) * count_ * 100 > percent * total;
    }

private:
    Micros count_;
    Micros shortest_;
    Micros longest_;
};

// The pulses of one digit, each judged as it comes. The first fault that is found stays.
class Train {
public:
    Doubt doubt;
    bool told;
    int pulses;

    Train() : doubt(NONE), told(false), pulses(0), opened_(0), closed_(0), breaks_in_periods_(0) {}

    void spoil(Doubt why) {
        if (doubt == NONE) doubt = why;
    }

    void opened(Micros at) {
        if (pulses > 0) {
            within(at - closed_, 13000, 75000, SHORT_MAKE, LONG_MAKE);
            within(at - opened_, 75000, 155000, TOO_FAST, TOO_SLOW);
            periods_.add(at - opened_);
            breaks_in_periods_ = breaks_.total;
        }
        opened_ = at;
    }

    void closed(Micros at) {
        ++pulses;
        within(at - opened_, 38000, 118000, SHORT_BREAK, LONG_BREAK);
        breaks_.add(at - opened_);
        closed_ = at;
    }

    Heard heard(Micros at) {
        if (pulses == 0) spoil(NO_PULSE);
        if (pulses > 10) spoil(TOO_MANY);
        if (breaks_.differ(30) || periods_.differ(20)) spoil(UNSTEADY);
        const Micros percent = breaks_in_periods_ * 100;
        if (percent < 47 * periods_.total || percent > 83 * periods_.total) spoil(SHARE);
        const Heard heard = {true, doubt == NONE ? pulses % 10 : -1, doubt, at};
        return heard;
    }

private:
    Micros opened_;
    Micros closed_;
    Lengths breaks_;
    Lengths periods_;
    Micros breaks_in_periods_;

    void within(Micros length, Micros least, Micros most, Doubt below, Doubt above) {
        if (length < least) spoil(below);
        else if (length > most) spoil(above);
    }
};

// Tells each digit once, when it is certain.
class Dial {
public:
    explicit Dial(Micros began, bool off_normal = false)
        : began_(began), now_(began), disturbed_(began), wired_(off_normal), running_(false) {}

    bool turning() const { return running_ || pulsing_.moving || away_.moving; }

    Heard edge(Micros at, bool is_open) {
        const Heard heard = tick(at);
        pulsing_.edge(now_, is_open);
        return heard;
    }

    Heard off_normal(Micros at, bool is_away) {
        const Heard heard = tick(at);
        away_.edge(now_, is_away);
        return heard;
    }

    Heard tick(Micros now) {
        if (now >= now_) now_ = now;
        else if (turning()) disturb(DISORDER, now_);
        const bool turned_first = away_.last_edge < pulsing_.last_edge;
        if (!turned_first) pulsed();
        const Heard heard = turned();
        if (turned_first) pulsed();
        return heard.told ? heard : overdue();
    }

private:
    Micros began_;
    Micros now_;
    Micros disturbed_;
    bool wired_;
    bool running_;
    Contact pulsing_;
    Contact away_;
    Train train_;

    void under_way(Micros at) {
        if (running_) return;
        running_ = true;
        train_ = Train();
        if (at - began_ < PAUSE) train_.spoil(UNRESTED);
    }

    void disturb(Doubt doubt, Micros at) {
        under_way(at);
        train_.spoil(doubt);
        disturbed_ = at;
    }

    void pulsed() {
        const bool changed = pulsing_.settle(now_);
        if (pulsing_.chattered) disturb(CHATTERS, pulsing_.last_edge);
        if (!changed) return;
        under_way(pulsing_.since);
        if (wired_ && !away_.is_open) train_.spoil(AT_REST);
        if (pulsing_.is_open) train_.opened(pulsing_.since);
        else train_.closed(pulsing_.since);
    }

    Heard turned() {
        if (!away_.settle(now_)) return nothing();
        if (away_.is_open) {
            under_way(away_.since);
            return nothing();
        }
        return pulsing_.is_open ? tell(IS_STUCK, away_.since) : end(away_.since);
    }

    Heard overdue() {
        Micros since = pulsing_.since;
        if (!running_ || pulsing_.moving || away_.moving) return nothing();
        if (pulsing_.is_open)
            return now_ - since >= STUCK ? tell(IS_STUCK, since + STUCK) : nothing();
        if (since < disturbed_) since = disturbed_;
        if (!away_.is_open)
            return now_ - since >= PAUSE ? end(since + PAUSE) : nothing();
        const bool late = train_.pulses > 0 && now_ - since >= HOMEWARD;
        return late ? tell(NOT_HOME, since + HOMEWARD) : nothing();
    }

    Heard tell(Doubt doubt, Micros at) {
        if (!running_ || train_.told) return nothing();
        train_.spoil(doubt);
        train_.told = true;
        const Heard heard = {true, -1, train_.doubt, at};
        return heard;
    }

    Heard end(Micros at) {
        if (!running_) return nothing();
        running_ = false;
        return train_.told ? nothing() : train_.heard(at);
    }
};

}  // namespace dial
}  // namespace showtime

#endif
