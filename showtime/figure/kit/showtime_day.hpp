// The day as it goes, by a pack's tables: what is due, and what to answer. The same algorithm as
// day.py. Header only; no allocation, no exceptions; C++11.
//
// Times are seconds from midnight. After power-on the day is held, and nothing moves before it is
// released.
#ifndef SHOWTIME_DAY_HPP
#define SHOWTIME_DAY_HPP

#include "showtime_pack.hpp"

namespace showtime {
namespace pack {

static const int MOST_STARTS = 256;
static const int32_t SOON = 180;
static const int32_t STILL_THERE = 600;
static const int32_t CALLED_ENOUGH = 60;
static const int32_t CALL_LATE = 30;
static const int32_t PUNCTUAL = 2;
static const int32_t DAY = 86400;
static const int32_t UNKNOWN = -1;  // the time, while nobody has said it

enum Deed { NOTHING, START, FINISH, CALL };

// What is due, and the number of its start.
struct Due {
    Deed deed;
    int start;
};

// A kind of answer, and the number of the start that it is about (0: none).
struct Asked {
    const char* kind;
    int start;
};

struct Bits {
    uint8_t bits[MOST_STARTS / 8 + 1];
    Bits() { memset(bits, 0, sizeof bits); }
    bool has(int start) const { return (bits[start / 8] >> start % 8 & 1) != 0; }
    void put(int start) { bits[start / 8] = static_cast<uint8_t>(bits[start / 8] | 1 << start % 8); }
};

template <class Files>
class Day {
public:
    bool held;
    int playing;
    int coming;

    explicit Day(Files& files)
        : held(true), playing(0), coming(0), files_(files), count_(0), ends_(0),
          sorry_until_(-1), looked_(-1), answered_(-CALLED_ENOUGH),
          opens_(value(files, "opens", 0)), tomorrow_(value(files, "tomorrow", -1)), row_() {
        Table<Files> plan(files_, "PLAN.CSV");
        while (plan.next() && count_ < MOST_STARTS - 1) ++count_;
        coming = count_ ? 1 : 0;
    }

    // The piece of a start, by its number in PIECES.CSV.
    int piece(int start) { return row(start).piece; }
    void hold() { held = true, playing = 0; }
    void release() { held = false; }

    // The clock was set, from `was` (UNKNOWN: from nothing) to `now`.
    void clock_set(int32_t was, int32_t now) {
        if (playing && was != UNKNOWN) ends_ += now - was;
        looked_ = now;
        answered_ = -CALLED_ENOUGH;
        coming = 0;
        for (int start = count_; start >= 1; --start)
            if (row(start).latest >= now && !done_.has(start)) coming = start;
    }

    // What is due. Ask until it is nothing.
    Due step(int32_t now) {
        const Due due = due_at(now);
        if (due.deed == NOTHING) looked_ = now;
        return due;
    }

    // What to answer now; what is told is a promise from now on.
    Asked asked(int32_t now) {
        const Asked answer = situation(now);
        const bool late = strcmp(answer.kind, "late") == 0;
        if (strcmp(answer.kind, "changed") == 0 || strcmp(answer.kind, "called_off") == 0)
            sorry_until_ = -1;
        const int told = playing ? coming : answer.start;
        if (told && !late && now != UNKNOWN) told_.put(told);
        if (now != UNKNOWN) answered_ = now;
        return answer;
    }

    // How loudly: "aloud", "softly" or "silent". `to` holds 8.
    void manner(int32_t now, char* to) {
        strcpy(to, "aloud");
        if (now == UNKNOWN) return;
        if (quiet_at(now, 0, to) || !playing) return;
        const int wanted = row(playing).piece;
        Table<Files> pieces(files_, "PIECES.CSV");
        while (pieces.next())
            if (pieces.number(0) == wanted) strncpy(to, pieces.text(2), 7);
    }

private:
    struct Row {
        int start;
        int32_t begins, latest, lasts;
        int piece;
    };

    Files& files_;
    int count_;
    int32_t ends_;
    Bits done_, told_;
    int32_t sorry_until_, looked_, answered_, opens_, tomorrow_;
    Row row_;  // the one looked at last

    Day(const Day&);
    Day& operator=(const Day&);

    static Due due_of(Deed deed, int start) {
        const Due due = {deed, start};
        return due;
    }
    static Asked answer_of(const char* kind, int start) {
        const Asked answer = {kind, start};
        return answer;
    }

    const Row& row(int start) {
        if (row_.start == start) return row_;
        Table<Files> plan(files_, "PLAN.CSV");
        while (plan.next()) {
            if (plan.number(0) != start) continue;
            const Row found = {start, plan.number(1), plan.number(2), plan.number(3),
                               static_cast<int>(plan.number(4))};
            row_ = found;
            break;
        }
        return row_;
    }

    void advance() { coming = coming < count_ ? coming + 1 : 0; }

    Due due_at(int32_t now) {
        if (playing && now >= ends_) {
            const int finished = playing;
            playing = 0;
            return due_of(FINISH, finished);
        }
        while (coming && now > row(coming).latest && now > row(coming).begins + PUNCTUAL) {
            if (told_.has(coming)) sorry_until_ = row(coming).begins + STILL_THERE;
            advance();
        }
        const int start = coming;
        if (!start || held || playing) return due_of(NOTHING, 0);
        if (now >= row(start).begins) {
            playing = start;
            ends_ = now + row(start).lasts;
            done_.put(start);
            advance();
            return due_of(START, start);
        }
        if (!calls_now(start, now)) return due_of(NOTHING, 0);
        looked_ = answered_ = now;
        told_.put(start);
        return due_of(CALL, start);
    }

    bool calls_now(int start, int32_t now) {
        const int32_t begins = row(start).begins;
        bool due = false;
        {
            Table<Files> calls(files_, "CALLS.CSV");
            while (calls.next()) {
                const int32_t moment = begins - calls.number(0);
                due = due || (looked_ < moment && moment <= now && now < moment + CALL_LATE);
            }
        }
        char how[8];
        return due && now - answered_ >= CALLED_ENOUGH && !quiet_at(now, 2, how);
    }

    // True in a quiet interval: of its columns `first` and the next; and how it wants its answers.
    bool quiet_at(int32_t now, int first, char* to) {
        Table<Files> quiet(files_, "QUIET.CSV");
        while (quiet.next()) {
            if (quiet.number(first) > now || now >= quiet.number(first + 1)) continue;
            to[0] = 0;
            strncat(to, quiet.text(4), 7);
            return true;
        }
        return false;
    }

    Asked situation(int32_t now) {
        if (now == UNKNOWN || now >= 2 * DAY) return answer_of("clock_unset", 0);
        if (playing) return answer_of("playing", playing);
        if (held && coming) return answer_of("late", 0);
        const bool sorry = now < sorry_until_;
        if (!coming) return answer_of(sorry ? "called_off" : nothing_left(now), 0);
        if (sorry) return answer_of("changed", coming);
        if (now < opens_) return answer_of("not_open", coming);
        return answer_of(row(coming).begins - now <= SOON ? "soon" : "next", coming);
    }

    const char* nothing_left(int32_t now) const {
        if (tomorrow_ < 0) return "none_left";
        return tomorrow_ / DAY > now / DAY ? "tomorrow" : "not_open";
    }
};

}  // namespace pack
}  // namespace showtime

#endif
