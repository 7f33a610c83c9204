// Invented reports as files: comma-separated text, and the XML of the national EMS data standard.
// Used by bench_data. Promises the same bytes for the same seed, and an account of what they hold.
#pragma once

#include "invented.hpp"

#include <cstdint>
#include <cstdio>
#include <string>
#include <string_view>

namespace bench {

/// What was written, for a reader's answers to be held against.
struct written_account {
    std::uint64_t bytes = 0;
    std::uint64_t reports = 0;
    std::uint64_t sets = 0;
    std::array<std::uint64_t, vitalproof::sign_count> numbers{};  ///< cells that hold a number
    std::array<std::int64_t, vitalproof::sign_count> tenths{};    ///< their sum, in tenths
};

/// A file that is written piece by piece; throws std::runtime_error when it cannot be.
class text_output {
public:
    explicit text_output(std::FILE* into) : into_(into) {}

    std::string& text() { return text_; }
    std::uint64_t bytes() const { return flushed_ + text_.size(); }
    void flush_when_full() {
        if (text_.size() > (1U << 20)) {
            flush();
        }
    }
    void flush();

private:
    std::FILE* into_;
    std::string text_;
    std::uint64_t flushed_ = 0;
};

/// The text of a sign as it was charted; nothing where it was not.
void append_charted(std::string& text, const invented_set& set, vitalproof::sign_id sign);

/// Minutes from the start of an invented year as `2025-03-01T14:32:00`.
void append_time(std::string& text, unsigned minute);

/// Counts a set and the numbers it has been charted with.
void add_to(written_account& account, const invented_set& set);

/// Comma-separated text, a set a row, until so many bytes are written.
written_account write_csv(std::FILE* into, std::uint64_t bytes, std::uint64_t seed);

/// A document of the national standard. `frame` is a document with one report of one set, in which
/// words in braces stand for what changes from report to report and from set to set.
written_account write_xml(std::FILE* into, std::uint64_t bytes, std::uint64_t seed,
                          std::string_view frame);

}  // namespace bench
