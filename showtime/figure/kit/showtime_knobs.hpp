// Two potentiometers -> an hour of twelve and a minute in steps of five. The same algorithm as
// knobs.py.
#ifndef SHOWTIME_KNOBS_HPP
#define SHOWTIME_KNOBS_HPP

#include <stdint.h>

namespace showtime {

typedef int64_t Micros;

namespace knobs {

static const int32_t MARKS = 12;
static const int32_t TRAVEL = 10000;
static const int32_t DEAD = 300;
static const int32_t HYSTERESIS = 200;
static const int32_t MOVING = 150;
static const int32_t SMOOTHING = 8;
static const int32_t JUMP = 500;
static const Micros STILL = 1000000;

// One knob, wired either way round. Its ends must differ.
class Knob {
public:
    int32_t mark;

    Knob(int32_t first, int32_t last)
        : mark(0), first_(first), last_(last), sum_(-1), strange_(false), anchor_(0) {}

    // Take a reading in. True if the knob is being moved.
    bool read(int32_t reading) {
        const int32_t place = placed(reading);
        if (sum_ < 0) {
            sum_ = place * SMOOTHING;
            anchor_ = place;
            mark = nearest(place);
            return true;
        }
        const bool far = distance(place, sum_ / SMOOTHING) > JUMP;
        if (far && !strange_) {
            strange_ = true;
            return false;
        }
        strange_ = false;
        sum_ = far ? place * SMOOTHING : sum_ + place - sum_ / SMOOTHING;
        return follow(sum_ / SMOOTHING);
    }

    // It has come to rest: where it stands now is where it must be moved from.
    void rest() { stand(sum_ / SMOOTHING); }

private:
    int32_t first_;
    int32_t last_;
    int32_t sum_;
    bool strange_;
    int32_t anchor_;

    bool follow(int32_t place) {
        if (distance(place, anchor_) <= MOVING) return false;
        stand(place);
        return true;
    }

    void stand(int32_t place) {
        anchor_ = place;
        const int32_t strayed = distance(place * (MARKS - 1), mark * TRAVEL);
        if (strayed > TRAVEL / 2 + HYSTERESIS * (MARKS - 1)) mark = nearest(place);
    }

    static int32_t distance(int32_t a, int32_t b) { return a < b ? b - a : a - b; }

    static int32_t nearest(int32_t place) { return (place * (MARKS - 1) + TRAVEL / 2) / TRAVEL; }

    int32_t placed(int32_t reading) const {
        const int32_t low = first_ < last_ ? first_ : last_;
        const int32_t high = first_ < last_ ? last_ : first_;
        const int32_t inside = reading < low ? low : reading > high ? high : reading;
        const int32_t along = first_ < last_ ? inside - low : high - inside;
        const int32_t place = along * TRAVEL / (high - low);
        const int32_t alive = place < DEAD ? 0 : (place - DEAD) * TRAVEL / (TRAVEL - 2 * DEAD);
        return alive > TRAVEL ? TRAVEL : alive;
    }
};

// An hour 1 to 12 and a minute 0, 5 to 55; `told` is false where nothing is to be told.
struct Turned {
    bool told;
    int hour;
    int minute;
    Micros at;
};

class Knobs {
public:
    bool still;

    Knobs(int32_t hour_first, int32_t hour_last, int32_t minute_first, int32_t minute_last)
        : still(false), hour_(hour_first, hour_last), minute_(minute_first, minute_last),
          moved_(0), rested_at_(-1), told_(false), left_(false) {}

    int stands_at_hour() const { return hour_.mark + 1; }
    int stands_at_minute() const { return minute_.mark * 5; }

    Turned read(Micros at, int32_t hour, int32_t minute) {
        const bool hour_moves = hour_.read(hour);
        const bool minute_moves = minute_.read(minute);
        if (told_ && stands_at() != rested_at_) left_ = true;
        if (hour_moves || minute_moves) {
            moved_ = at;
            still = false;
        }
        const bool rests = !still && at - moved_ >= STILL;
        const bool told = rests && rest();
        const Turned turned = {told, stands_at_hour(), stands_at_minute(), at};
        return turned;
    }

private:
    Knob hour_;
    Knob minute_;
    Micros moved_;
    int rested_at_;  // below 0: not yet
    bool told_;
    bool left_;

    int stands_at() const { return stands_at_hour() * 60 + stands_at_minute(); }

    // Both have come to rest. True if the time is to be told.
    bool rest() {
        hour_.rest();
        minute_.rest();
        still = true;
        const int before = rested_at_;
        rested_at_ = stands_at();
        if (before < 0 || (before == rested_at_ && !left_)) return false;
        told_ = true;
        left_ = false;
        return true;
    }
};

}  // namespace knobs
}  // namespace showtime

#endif
