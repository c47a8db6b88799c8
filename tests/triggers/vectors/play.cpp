// Play a script from standard input to the headers' decoders; see play.py for its form.
#include "showtime_decoders.hpp"

#include <cstdlib>
#include <iostream>
#include <memory>
#include <sstream>
#include <string>

using showtime::Micros;

struct Player {
    virtual ~Player() {}
    virtual std::string happens(const std::string& what, std::istringstream& words) = 0;
    virtual bool busy() const = 0;
};

template <typename T>
T take(std::istringstream& words) {
    T value = T();
    words >> value;
    return value;
}

struct DialPlayer : Player {
    showtime::dial::Dial dial;

    DialPlayer(Micros began, bool wired) : dial(began, wired) {}
    bool busy() const { return dial.turning(); }

    std::string happens(const std::string& what, std::istringstream& words) {
        const Micros at = take<Micros>(words);
        const showtime::dial::Heard heard = what == "tick"      ? dial.tick(at)
                                            : what == "opens"   ? dial.edge(at, true)
                                            : what == "closes"  ? dial.edge(at, false)
                                            : dial.off_normal(at, what == "leaves");
        std::ostringstream told;
        if (heard.told && heard.digit < 0) told << "doubt " << heard.at << ' ' << text(heard.doubt);
        else if (heard.told) told << "digit " << heard.at << ' ' << heard.digit;
        return told.str();
    }
};

showtime::entry::Open hours(std::istringstream& words) {
    showtime::entry::Open day = {take<int>(words), take<int>(words), take<int>(words)};
    return day;
}

struct EntryPlayer : Player {
    showtime::entry::Entry entry;
    std::string why[64];  // what the entry points to must stay where it is
    int reasons;

    explicit EntryPlayer(const showtime::entry::Open& day) : entry(day), reasons(0) {}
    bool busy() const { return entry.state() != showtime::entry::EMPTY; }

    std::string happens(const std::string& what, std::istringstream& words) {
        if (what == "day") {
            entry.day = hours(words);
            return "";
        }
        const Micros at = take<Micros>(words);
        showtime::entry::Told told;
        if (what == "digit") told = entry.digit(at, take<int>(words));
        else if (what == "doubt") told = entry.doubt(at, reason(words));
        else if (what == "turned") {
            const int hour = take<int>(words);
            told = entry.turned(at, hour, take<int>(words));
        }
        else if (what == "withdraw") told = entry.withdraw(at);
        else if (what == "busy") told = entry.busy(at);
        else told = entry.tick(at);
        if (told.what == showtime::entry::NOTHING) return "";
        std::ostringstream line;
        line << text(told.what) << ' ' << told.minute;
        if (*told.why) line << ' ' << told.why;
        return line.str();
    }

    const char* reason(std::istringstream& words) {
        std::string& kept = why[reasons++ % 64];
        std::getline(words >> std::ws, kept);
        return kept.c_str();
    }
};

struct KnobsPlayer : Player {
    showtime::knobs::Knobs knobs;

    KnobsPlayer(int first, int last, int minute_first, int minute_last)
        : knobs(first, last, minute_first, minute_last) {}
    bool busy() const { return !knobs.still; }

    std::string happens(const std::string&, std::istringstream& words) {
        const Micros at = take<Micros>(words);
        const int hour = take<int>(words);
        const showtime::knobs::Turned turned = knobs.read(at, hour, take<int>(words));
        std::ostringstream line;
        if (turned.told) line << "turned " << turned.at << ' ' << turned.hour << ' ' << turned.minute;
        return line.str();
    }
};

struct ButtonPlayer : Player {
    showtime::presses::Presses presses;

    ButtonPlayer(Micros hold, Micros second, Micros debounce, bool held)
        : presses(hold, second, debounce, held) {}
    bool busy() const { return presses.busy(); }

    std::string happens(const std::string& what, std::istringstream& words) {
        const Micros at = take<Micros>(words);
        return text(what == "tick" ? presses.tick(at) : presses.edge(at, what == "down"));
    }
};

std::unique_ptr<Player> made(const std::string& what, std::istringstream& words) {
    std::unique_ptr<Player> player;
    if (what == "dial") {
        const Micros began = take<Micros>(words);
        player.reset(new DialPlayer(began, take<bool>(words)));
    } else if (what == "entry") {
        player.reset(new EntryPlayer(hours(words)));
    } else if (what == "knobs") {
        const int first = take<int>(words), last = take<int>(words), minute = take<int>(words);
        player.reset(new KnobsPlayer(first, last, minute, take<int>(words)));
    } else if (what == "presses") {
        const Micros hold = take<Micros>(words), second = take<Micros>(words);
        const Micros debounce = take<Micros>(words);
        player.reset(new ButtonPlayer(hold, second, debounce, take<bool>(words)));
    }
    return player;
}

int main() {
    std::ios::sync_with_stdio(false);
    std::unique_ptr<Player> player;
    std::string line;
    int number = 0, times_busy = 0;
    while (std::getline(std::cin, line)) {
        std::istringstream words(line);
        const std::string what = take<std::string>(words);
        std::unique_ptr<Player> next = made(what, words);
        if (next) {
            if (player) std::cout << "busy " << times_busy << '\n';
            player = std::move(next);
            number = times_busy = 0;
            continue;
        }
        const std::string told = player->happens(what, words);
        if (!told.empty()) std::cout << number << ' ' << told << '\n';
        ++number;
        times_busy += player->busy();
    }
    if (player) std::cout << "busy " << times_busy << '\n';
    return 0;
}
