// A pack's tables, read line by line, and sentences that take turns. The same as pack.py and
// answers.py. Header only; no allocation, no exceptions; C++11.
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
// One table is open at a time. Times are seconds from midnight.
#ifndef SHOWTIME_PACK_HPP
#define SHOWTIME_PACK_HPP

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

namespace showtime {
namespace pack {

static const int LINE = 512;

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

}  // namespace pack
}  // namespace showtime

#endif
