// A button's edges -> short, long and double presses. The same algorithm as presses.py.
#ifndef SHOWTIME_PRESSES_HPP
#define SHOWTIME_PRESSES_HPP

#include <stdint.h>

namespace showtime {

typedef int64_t Micros;

namespace presses {

static const Micros DEBOUNCE = 20000;

enum Press { NONE, SHORT, LONG, DOUBLE };

inline const char* text(Press press) {
    switch (press) {
        case SHORT: return "short";
        case LONG: return "long";
        case DOUBLE: return "double";
        case NONE: break;
    }
    return "";
}

class Presses {
public:
    explicit Presses(Micros hold = 0, Micros second = 0, Micros debounce = DEBOUNCE,
                     bool held = false)
        : long_(hold), double_(second), debounce_(debounce), level_(held), down_(held),
          changed_(false), since_(0), counted_(true), first_of_two_(false) {}

    bool busy() const { return !counted_ || level_ != down_ || first_of_two_; }

    Press edge(Micros at, bool down) {
        const Press told = tick(at);
        level_ = down;
        const bool settled = !changed_ || at - since_ >= debounce_;
        const Press taken = settled ? take_over(at) : NONE;
        return taken == NONE ? told : taken;
    }

    Press tick(Micros now) {
        if (!changed_) return NONE;
        const Press told = now - since_ >= debounce_ ? take_over(since_ + debounce_) : NONE;
        const Press late = overdue(now - since_);
        return late == NONE ? told : late;
    }

private:
    Micros long_;
    Micros double_;
    Micros debounce_;
    bool level_;
    bool down_;
    bool changed_;
    Micros since_;
    bool counted_;
    bool first_of_two_;

    Press take_over(Micros at) {
        if (level_ == down_) return NONE;
        down_ = level_;
        changed_ = true;
        since_ = at;
        return down_ ? pressed() : let_go();
    }

    Press pressed() {
        const bool second = first_of_two_;
        first_of_two_ = false;
        counted_ = second || (long_ == 0 && double_ == 0);
        if (!counted_) return NONE;
        return second ? DOUBLE : SHORT;
    }

    Press let_go() {
        if (counted_) return NONE;
        counted_ = true;
        first_of_two_ = double_ > 0;
        return first_of_two_ ? NONE : SHORT;
    }

    Press overdue(Micros lasted) {
        if (first_of_two_ && lasted >= double_) {
            first_of_two_ = false;
            return SHORT;
        }
        if (long_ > 0 && !counted_ && lasted >= long_) {
            counted_ = true;
            return LONG;
        }
        return NONE;
    }
};

}  // namespace presses
}  // namespace showtime

#endif
