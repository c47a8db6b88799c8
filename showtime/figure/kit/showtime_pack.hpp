// A pack's tables, read line by line, and the day that goes by them. The same algorithm as day.py
// and answers.py. Header only; no allocation, no exceptions; C++11.
//
// `Files` is yours: it opens a table of the pack and hands over its lines.
//
//   struct Files {
//       bool open(const char* name);          // "PLAN.CSV"; false: there is none
//       bool line(char* to, int size);        // the next line without its end; false: no more.
//                                             // What is longer than size - 1 is left out.
//       void close();
//   };
//
// Times are seconds from midnight. After power-on the day is held, and nothing moves before it is
// released.
#ifndef SHOWTIME_PACK_HPP
#define SHOWTIME_PACK_HPP

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

namespace showtime {
namespace pack {

static const int LINE = 512;
static const int MOST_STARTS = 256;
static const int MOST_CALLS = 8;
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

// A list of sentences, the time that they tell (-1: none), and how many there are; list 0: none.
struct Found {
    int list;
    int32_t at;
    int sentences;
};

// One line of a table, cut at its commas.
template <class Files>
class Table {
public:
    Table(Files& files, const char* name) : files_(files), open_(files.open(name)) {
        if (open_) open_ = files_.line(line_, LINE);  // the head
    }
    ~Table() { files_.close(); }

    bool next() {
        if (!open_ || !files_.line(line_, LINE)) return false;
        count_ = 0;
        for (char* at = line_; at && count_ < COLUMNS; ++count_) {
            fields_[count_] = at;
            at = strchr(at, ',');
            if (at) *at++ = 0;
        }
        return true;
    }

    const char* text(int column) const { return column < count_ ? fields_[column] : ""; }
    int32_t number(int column) const { return static_cast<int32_t>(strtol(text(column), 0, 10)); }

private:
    static const int COLUMNS = 8;
    Files& files_;
    bool open_;
    char line_[LINE];
    char* fields_[COLUMNS];
    int count_;

    Table(const Table&);
    Table& operator=(const Table&);
};

// What PACK.CSV says of that name, a number; `otherwise` where it does not.
template <class Files>
int32_t value(Files& files, const char* name, int32_t otherwise) {
    Table<Files> table(files, "PACK.CSV");
    while (table.next())
        if (strcmp(table.text(0), name) == 0) return table.number(1);
    return otherwise;
}

// The list for a kind and a start at `now`.
template <class Files>
Found find(Files& files, const char* kind, int start, int32_t now) {
    Table<Files> table(files, "ANSWERS.CSV");
    while (table.next()) {
        if (strcmp(table.text(1), kind) != 0 || table.number(2) != start) continue;
        if (table.number(4) > now || now >= table.number(5)) continue;
        const Found found = {static_cast<int>(table.number(0)), table.number(3),
                             static_cast<int>(table.number(6))};
        return found;
    }
    const Found none = {0, -1, 0};
    return none;
}

// "WORDS/L0012.CSV" and its like. `to` holds 20.
inline void list_name(char* to, char letter, int number, int digits) {
    memcpy(to, "WORDS/", 6);
    to[6] = letter;
    for (int place = digits; place > 0; --place, number /= 10)
        to[6 + place] = static_cast<char>('0' + number % 10);
    memcpy(to + 7 + digits, ".CSV", 5);
}

// Clips, and silences below zero, from a text of numbers; how many, `most` at most.
inline int tokens(const char* text, int* to, int most) {
    int count = 0;
    while (count < most) {
        char* end = 0;
        const long token = strtol(text, &end, 10);
        if (end == text) break;
        to[count++] = static_cast<int>(token);
        text = end;
    }
    return count;
}

// The clips of the sentence at a place of a list, from 0; how many.
template <class Files>
int clips(Files& files, int list, int place, int* to, int most) {
    char name[20];
    list_name(name, 'L', list, 4);
    Table<Files> table(files, name);
    while (table.next())
        if (place-- == 0) return tokens(table.text(0), to, most);
    return 0;
}

// The same for a minute of the day: letter 'H' when it was dialled, 'C' when the clock was set.
template <class Files>
int clips_of_the_minute(Files& files, char letter, int minute, int place, int* to, int most) {
    char name[20];
    list_name(name, letter, minute / 60, 2);
    Table<Files> table(files, name);
    while (table.next())
        if (table.number(0) == minute % 60 && place-- == 0)
            return tokens(table.text(1), to, most);
    return 0;
}

// Draws sentences of a list so that none comes again before all have come. One for each list, or
// one for whatever was asked last: it starts anew when the list is another.
class Turns {
public:
    Turns() : list_(0), said_(0), last_(-1) {}

    // `luck` is any whole number, drawn anew each time; up to 64 sentences of a list are used.
    int next(int list, int count, uint32_t luck) {
        if (count > 64) count = 64;
        if (list != list_) said_ = 0, last_ = -1, list_ = list;
        int left = 0;
        for (int place = 0; place < count; ++place) left += fits(place);
        if (left == 0) {
            said_ = count > 1 && last_ >= 0 ? bit(last_) : 0;
            left = count > 1 && last_ >= 0 ? count - 1 : count;
        }
        int wanted = left ? static_cast<int>(luck % static_cast<uint32_t>(left)) : 0;
        for (int place = 0; place < count; ++place) {
            if (!fits(place) || wanted-- > 0) continue;
            said_ |= bit(place);
            return last_ = place;
        }
        return 0;
    }

private:
    int list_;
    uint64_t said_;
    int last_;

    static uint64_t bit(int place) { return static_cast<uint64_t>(1) << place; }
    bool fits(int place) const { return !(said_ & bit(place)); }
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
