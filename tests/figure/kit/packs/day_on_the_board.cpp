// A whole day by the pack's header, in lines: day FOLDER/ < SCRIPT. The same as day_on_the_board.py.
#include <stdio.h>
#include <string.h>

#include "DAY.HPP"

using namespace showtime::pack;

struct Files {
    const char* folder;
    FILE* file;

    bool open(const char* name) {
        char path[1024];
        snprintf(path, sizeof path, "%s%s", folder, name);
        file = fopen(path, "rb");
        return file != 0;
    }
    bool line(char* to, int size) {
        int length = 0, letter = 0;
        while ((letter = fgetc(file)) != EOF && letter != '\n')
            if (letter != '\r' && length < size - 1) to[length++] = static_cast<char>(letter);
        to[length] = 0;
        return length > 0 || letter != EOF;
    }
    void close() {
        if (file) fclose(file);
        file = 0;
    }
};

struct Played {
    Files& files;
    Day<Files> day;
    Turns turns;
    uint32_t luck;

    explicit Played(Files& of) : files(of), day(of), luck(1) {}

    void says(int32_t now, const Asked& answer) {
        const Found found = find(files, answer.kind, answer.start, now < 0 ? 0 : now);
        if (!found.list) {
            printf("%d says %s nothing\n", static_cast<int>(now), answer.kind);
            return;
        }
        luck = luck * 1664525u + 1013904223u;
        int row[64];
        const int place = turns.next(found.list, found.sentences, luck >> 8);
        if (clips(files, found.list, place, row, 64) == 0) printf("no clips\n");
        printf("%d says %s %d\n", static_cast<int>(now), answer.kind, static_cast<int>(found.at));
    }

    void ask(int32_t now) {
        char how[8];
        day.manner(now, how);
        const Asked answer = day.asked(now);
        if (strcmp(how, "silent") == 0)
            printf("%d silent\n", static_cast<int>(now));
        else
            says(now, answer);
    }

    void step(int32_t now) {
        for (Due due = day.step(now); due.deed != NOTHING; due = day.step(now)) {
            const Asked call = {"call", due.start};
            if (due.deed == CALL) says(now, call);
            else printf("%d moves %d\n", static_cast<int>(now), due.deed == START ? day.piece(due.start) : 0);
        }
    }

    void act(const char* what, int32_t now) {
        if (strcmp(what, "ask") == 0) ask(now);
        else if (strcmp(what, "hold") == 0) day.hold();
        else day.release();
    }
};

int main(int count, char** words) {
    Files files = {count > 1 ? words[1] : "", 0};
    Played played(files);
    played.ask(UNKNOWN);
    int row[64];
    int32_t now = 9 * 3600 + 30 * 60;
    if (clips_of_the_minute(files, 'H', 570, 0, row, 64) == 0) printf("no clips\n");
    if (clips_of_the_minute(files, 'C', 570, 0, row, 64) == 0) printf("no clips\n");
    played.day.clock_set(UNKNOWN, now);
    int second = 0;
    char what[16];
    while (scanf("%d %15s", &second, what) == 2) {
        for (; now < second; played.step(now)) ++now;
        played.act(what, now);
    }
    return 0;
}
