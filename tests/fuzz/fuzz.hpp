// What the fuzz targets share: bytes taken one after another, a source that gives little at a
// time, and a reader's answer as one text.
// Used by each target, under libFuzzer and in the ordinary replay of the corpus. Promises that a
// broken promise ends the process, so that neither can overlook it.
#pragma once

#include "read/delimited.hpp"

#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <string_view>

namespace fuzzing {

using namespace vitalproof;

inline void require(bool holds, std::string_view promise) {
    if (!holds) {
        std::fprintf(stderr, "broken: %.*s\n", static_cast<int>(promise.size()), promise.data());
        std::abort();
    }
}

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}

/// Numbers off the front of an input; zeros once it is used up.
class bytes {
public:
    explicit bytes(std::string_view from) : rest_(from) {}

    template <class T>
    T take() {
        T value{};
        const std::size_t given = std::min(sizeof value, rest_.size());
        std::memcpy(&value, rest_.data(), given);
        rest_.remove_prefix(given);
        return value;
    }
    std::size_t below(std::size_t n) { return take<std::uint8_t>() % n; }
    bool empty() const { return rest_.empty(); }
    std::string_view rest() const { return rest_; }

private:
    std::string_view rest_;
};

/// Gives at most `step` bytes a call.
class dribbling_source final : public read::byte_source {
public:
    dribbling_source(std::string_view text, std::size_t step) : rest_(text), step_(step) {}

    std::ptrdiff_t read(char* into, std::size_t size) override {
        const std::size_t given = std::min({size, step_, rest_.size()});
        std::copy_n(rest_.data(), given, into);
        rest_.remove_prefix(given);
        return static_cast<std::ptrdiff_t>(given);
    }

private:
    std::string_view rest_;
    std::size_t step_;
};

/// Everything a reader said, in order.
class telling_sink final : public read::sink {
public:
    void report(care_report& r, std::uint64_t first_line) override {
        require(!r.sets.empty(), "a report that is handed on has a set");
        told += "report " + r.id + "|" + r.crew + "|" + std::to_string(first_line);
        told += "|" + (r.age ? std::to_string(r.age->count()) : "") + "\n";
        for (const vital_set& set : r.sets) {
            told += "  set " + std::to_string(set.line);
            told += set.taken_at ? " at " + std::to_string(seconds_of(*set.taken_at)) : "";
            for_each_sign(all_signs{}, [&]<VitalSign S>(S s) { tell(set[s], set.charted[s]); });
            told += "\n";
        }
        sets += r.sets.size();
    }
    void unread(const read::unread_row& row) override {
        require(!row.reason.empty() && !row.remedy.empty(), "an unread row has reason and remedy");
        told += "unread " + std::to_string(row.line) + "|" + row.text.display() + "|" +
                std::string(row.reason) + "\n";
        ++unread_rows;
    }

    std::string told{};
    std::uint64_t sets = 0;
    std::uint64_t unread_rows = 0;

private:
    template <VitalSign S>
    void tell(const reading<S>& r, const charted_text& charted) {
        require(r.is_number() == (r.raw() - r.raw() == 0), "a number is finite, all else is NaN");
        told += " " + std::to_string(static_cast<int>(r.state())) +
                (r.is_number()                            ? "=" + std::to_string(r.raw())
                 : r.state() == reading_state::unreadable ? "?" + charted.display()
                                                          : "");
    }
};

/// What a reader made of a source, as text; its account must add up.
template <class Read>
std::string told_by(read::byte_source& source, Read&& reader) {
    telling_sink sink;
    const read::delimited_outcome outcome = reader(source, sink);
    require(outcome.rows_read == outcome.rows_examined + outcome.rows_unread + outcome.rows_other,
            "read = examined + unread + other");
    require(sink.unread_rows >= outcome.rows_unread, "every unread row is told");
    require(!outcome.error || !outcome.error->remedy.empty(), "an error has a remedy");
    // How many bytes had been read when a source failed depends on the pieces they came in.
    std::string error = outcome.error ? outcome.error->what : "none";
    std::erase_if(error, [](char c) { return c >= '0' && c <= '9'; });
    return sink.told + "examined " + std::to_string(outcome.rows_examined) + " unread " +
           std::to_string(outcome.rows_unread) + " other " + std::to_string(outcome.rows_other) +
           " error " + error;
}

/// Reads a text whole and in small pieces: the answer must be one.
template <class Read>
std::string told_in_any_pieces(std::string_view text, std::size_t step, Read&& reader) {
    read::memory_source whole(text);
    dribbling_source in_pieces(text, step);
    std::string told = told_by(whole, reader);
    require(told == told_by(in_pieces, reader), "the size of a piece changes nothing");
    return told;
}

}  // namespace fuzzing
