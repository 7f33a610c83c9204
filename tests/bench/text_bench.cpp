#include "text_bench.hpp"

#include "invented.hpp"
#include "measure.hpp"

#include <fcntl.h>
#include <nlohmann/json.hpp>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <vector>

extern char** environ;

namespace bench {

namespace {

constexpr std::uint64_t megabyte = 1'000'000;
constexpr std::uint64_t seed = 20260301;
constexpr double goal = 300;                // MB/s
constexpr double goal_holds_from = 10'000;  // MB/s of read() alone

struct csv_file {
    std::string path;
    std::uint64_t bytes = 0;
    std::uint64_t sets = 0;
};

/// One way of running the program on a file, and what it took.
struct audit_run {
    const csv_file& file;
    std::vector<std::string> options{};  // behind the usual ones
    std::vector<took> times{};
    long peak_kilobytes = 0;
    std::uint64_t findings = 0;
};

csv_file make_file(const std::string& folder, std::uint64_t megabytes) {
    csv_file made;
    made.path = folder + "/" + std::to_string(megabytes) + ".csv";
    made.sets = write_reports(made.path, megabytes * megabyte, seed);
    made.bytes = std::filesystem::file_size(made.path);
    return made;
}

void read_alone(const std::string& path) {
    static std::vector<char> piece(std::size_t{1} << 20);
    const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    ssize_t got = file < 0 ? -1 : 1;
    while (got > 0) {
        got = ::read(file, piece.data(), piece.size());
    }
    if (file < 0 || ::close(file) != 0 || got < 0) {
        throw std::runtime_error(path + " could not be read");
    }
}

double seconds_in(const timeval& time) {
    return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

// Runs the program to its end; returns what it used.
rusage run_program(std::vector<std::string> words) {
    std::vector<char*> arguments;
    arguments.reserve(words.size() + 1);
    for (std::string& word : words) {
        arguments.push_back(word.data());
    }
    arguments.push_back(nullptr);
    pid_t child = 0;
    int status = 0;
    rusage used{};
    if (::posix_spawn(&child, arguments[0], nullptr, nullptr, arguments.data(), environ) != 0 ||
        ::wait4(child, &status, 0, &used) != child || status != 0) {
        throw std::runtime_error(words[0] + " failed on " + words[2]);
    }
    return used;
}

// The findings of an audit that lost no row.
std::uint64_t findings_in(const std::string& into, const csv_file& file) {
    std::ifstream stream(into + "/audit.json");
    const auto account = nlohmann::json::parse(stream);
    if (account.at("rows_examined") != file.sets || account.at("rows_read") != file.sets) {
        throw std::runtime_error("the program lost a row of " + file.path);
    }
    const auto& found = account.at("findings");
    return found.at("reject").get<std::uint64_t>() + found.at("query").get<std::uint64_t>() +
           found.at("notice").get<std::uint64_t>();
}

void audit(const std::string& program, const std::string& into, audit_run& run) {
    std::vector<std::string> words{program, "audit", run.file.path, "--into", into, "--quiet"};
    words.insert(words.end(), run.options.begin(), run.options.end());
    rusage used{};
    took time = time_of([&] { used = run_program(words); });
    time.processor = seconds_in(used.ru_utime) + seconds_in(used.ru_stime);
    run.times.push_back(time);
    run.peak_kilobytes = used.ru_maxrss;
    run.findings = findings_in(into, run.file);
}

double megabytes(const csv_file& file) {
    return static_cast<double>(file.bytes) / static_cast<double>(megabyte);
}

void print_speed(const char* name, const audit_run& run) {
    const took speed = rate(megabytes(run.file), run.times);
    std::printf("  %-36s%8.0f%12.0f   %5.1f\n", name, speed.elapsed, speed.processor,
                100.0 * static_cast<double>(run.findings) / static_cast<double>(run.file.sets));
}

}  // namespace

void run_text_bench(const std::string& program, const std::string& folder) {
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);
    const std::string into = folder + "/audit";
    const csv_file small = make_file(folder, 20);
    const csv_file large = make_file(folder, 200);
    std::array<audit_run, 3> runs{{{large}, {large, {"--without", "clinical"}}, {small}}};
    std::vector<took> read_times;
    read_alone(large.path);  // into the page cache
    for (std::size_t round = 0; round < rounds; ++round) {
        read_times.push_back(time_of([&] { read_alone(large.path); }));
        for (audit_run& run : runs) {
            audit(program, into, run);
        }
    }
    const auto& [all_checks, without_clinical, all_checks_small] = runs;
    const took reading = rate(megabytes(large), read_times);
    std::printf("Text: %.0f MB, %llu sets, every finding written\n", megabytes(large),
                static_cast<unsigned long long>(large.sets));
    std::printf("  %-36s elapsed   processor   findings to 100 sets\n", "MB/s");
    print_speed("vitalproof audit", all_checks);
    print_speed("vitalproof audit --without clinical", without_clinical);
    std::printf("  %-36s%8.0f%12.0f\n", "read() alone", reading.elapsed, reading.processor);
    std::printf("  %-36s%8.0f   where read() alone gives %.0f or more\n", "goal", goal,
                goal_holds_from);
    std::printf("  %-36s%8.1f MB for 20 MB of text, %.1f MB for 200 MB\n", "peak memory",
                static_cast<double>(all_checks_small.peak_kilobytes) / 1024,
                static_cast<double>(all_checks.peak_kilobytes) / 1024);
    std::filesystem::remove_all(folder);
}

}  // namespace bench
