// Reports handed from the thread that reads them to one that takes them.
// Used by the audit where it may use two threads. Promises the calls that the reader makes, in
// their order among reports and among unread rows, bounded memory, and that what the other thread
// throws is thrown where the reports come from.
#pragma once

#include "audit/piece_ring.hpp"
#include "read/delimited.hpp"
#include <vitalproof/care_report.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace vitalproof::audit {

class relay final : public read::sink {
public:
    /// `to` is called by the other thread from here on, understood() aside, until finish() returns.
    explicit relay(read::sink& to) : to_(to) {}

    void understood(const read::understanding& columns) override { to_.understood(columns); }
    void report(care_report& report, std::uint64_t first_line) override;
    void unread(const read::unread_row& row) override;

    /// Waits until everything is taken; throws what the other thread threw.
    void finish();

private:
    static constexpr std::size_t sets_in_piece = 512;
    static constexpr std::size_t most_sets_waiting = 8192;
    static constexpr std::size_t pieces = 8;

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

    piece& filling() { return pieces_[ring_.filling()]; }
    void hand_over();
    void take(piece& next);

    read::sink& to_;
    std::array<piece, pieces> pieces_{};
    piece_ring ring_{pieces, most_sets_waiting, [this](std::size_t next) { take(pieces_[next]); }};
};

}  // namespace vitalproof::audit
