// bench PROGRAM FOLDER: what the program and the catalogue reach on this machine, in one run and on
// one thread. Goals are printed beside the figures and never fail; a wrong answer does.
#include "column_bench.hpp"
#include "measure.hpp"
#include "text_bench.hpp"

#include <cstdio>
#include <exception>

int main(int count, char** words) try {
    if (count != 3) {
        std::fprintf(stderr, "usage: %s PROGRAM FOLDER\n", words[0]);
        return 2;
    }
    std::printf("One thread, medians of %zu runs in turns\n\n", bench::rounds);
    bench::run_text_bench(words[1], words[2]);
    std::fflush(stdout);
    bench::run_column_bench();
    return 0;
} catch (const std::exception& error) {
    std::fprintf(stderr, "bench: %s\n", error.what());
    return 1;
}
