// The audit of a file, piece by piece, by one thread or several.
// Used by the audit for one file after another. Promises what one thread alone would find and tell,
// in its order: whoever is free takes the next piece, the thread that reads as well when it is
// ahead of the others.
#pragma once

#include "audit/audit.hpp"
#include "audit/piece.hpp"
#include "audit/whole_batch.hpp"
#include "audit/work_ring.hpp"
#include "read/delimited.hpp"
#include "read/halved_reading.hpp"
#include <vitalproof/examine.hpp>

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace vitalproof::audit {

class file_audit final : public read::sink, public read::half_runner {
public:
    file_audit(const options& chosen, account& total, observer& to);

    /// What is read from here on is of that file.
    void begin(const std::string& file);

    // Called by whoever reads it.
    void understood(const read::understanding& columns) override;
    void report(care_report& report, std::uint64_t first_line) override;
    void unread(const read::unread_row& row) override;
    void run(read::halved_reading& reading) override;

    /// Waits until all of it is told.
    void finish();

    /// Behind the last file: what is asked of the batch.
    void finish_batch();

private:
    /// What each thread has of its own.
    struct worker {
        explicit worker(const limits& in_force) : with(in_force) {}

        examiner with;
        std::unique_ptr<read::second_half> reads{};
        std::vector<finding> marked{};
    };

    piece& filling() { return pieces_[ring_.filling()]; }
    void hand_over();
    void work_on(piece& now, worker& by, work_ring::turn in_order);
    void examine(piece& now, worker& by, work_ring::turn in_order);
    void take(std::span<const finding> of_set, const care_report& of_report, piece& now,
              worker& by);
    void end(piece& now);

    const options& chosen_;
    account& total_;
    observer& to_;
    whole_batch batch_;

    // The file at hand.
    std::string file_{};
    std::optional<column_findings> columns_{};
    read::halved_reading* halves_ = nullptr;

    std::vector<worker> workers_{};
    std::vector<piece> pieces_;
    work_ring ring_;  // last, so that its threads end first
};

}  // namespace vitalproof::audit
