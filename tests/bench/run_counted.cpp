// bench_run PROGRAM WORD...: runs a program to its end; prints the seconds that took and its peak
// of resident memory as JSON. A program of its own, since the system counts what its starter holds
// as held by a program that is about to begin: this one holds next to nothing.
#include "measure.hpp"

#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>

extern char** environ;

int main(int count, char** words) {
    if (count < 2) {
        std::fprintf(stderr, "usage: %s PROGRAM WORD...\n", words[0]);
        return 2;
    }
    int status = 1;
    rusage used{};
    const double seconds = bench::seconds_of([&] {
        pid_t child = 0;
        if (::posix_spawn(&child, words[1], nullptr, nullptr, words + 1, environ) == 0) {
            ::wait4(child, &status, 0, &used);
        }
    });
    if (status != 0) {
        std::fprintf(stderr, "bench_run: %s failed\n", words[1]);
        return 1;
    }
    std::printf("{\"seconds\": %.9f, \"peak_bytes\": %ld}\n", seconds, used.ru_maxrss * 1024);
    return 0;
}
