// Reports handed from the thread that reads them to one that takes them.
// Used by the audit where it may use two threads. Promises the calls that the reader makes, in
// their order among reports and among unread rows, bounded memory, and that what the other thread
// throws is thrown where the reports come from.
#pragma once

#include "read/delimited.hpp"
#include <vitalproof/care_report.hpp>

#include <array>
#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <exception>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

namespace vitalproof::audit {

class relay final : public read::sink {
public:
    /// `to` is called by the other thread from here on, understood() aside, until finish() returns.
    explicit relay(read::sink& to) : to_(to) {}
    ~relay() override;
    relay(const relay&) = delete;
    relay& operator=(const relay&) = delete;

    void understood(const read::understanding& columns) override { to_.understood(columns); }
    void report(care_report& report, std::uint64_t first_line) override;
    void unread(const read::unread_row& row) override;

    /// Waits until everything is taken; throws what the other thread threw.
    void finish();

private:
    static constexpr std::size_t sets_in_piece = 512;
    static constexpr std::size_t most_sets_waiting = 8192;
    static constexpr std::size_t pieces = 8;
    /// Who waits for room waits until so few pieces wait, not for the next that is taken: to sleep
    /// and wake for every piece costs more than to fill it.
    static constexpr std::size_t few_pieces = pieces / 2;

    struct taken_report {
        care_report report{};
        std::uint64_t first_line = 0;
    };
    /// An unread row that owns its texts.
    struct kept_row {
        std::string file;
        std::uint64_t line;
        std::string column;
        charted_text text;
        std::string reason;
        std::string remedy;
    };
    struct piece {
        std::vector<taken_report> reports{};  ///< buffers are used again
        std::size_t report_count = 0;
        std::size_t set_count = 0;
        std::vector<kept_row> unread{};
    };

    void hand_over();
    bool has_room() const;
    void take_pieces();
    void take(piece& next);
    void end();

    read::sink& to_;
    std::array<piece, pieces> ring_{};  // the one at `filled_` is being filled
    std::thread other_{};

    std::mutex mutex_{};
    std::condition_variable more_{};  // to be taken
    std::condition_variable room_{};  // to be filled
    std::uint64_t filled_ = 0;
    std::uint64_t taken_ = 0;
    std::size_t sets_waiting_ = 0;
    bool ended_ = false;
    bool abandoned_ = false;  // something was thrown: what is left is not taken any more
    std::exception_ptr thrown_{};
};

}  // namespace vitalproof::audit
