// What an audit finds, into the files of its folder.
// Used by the command that audits. Promises that parts are put into words by whichever thread found
// them, and written in their order.
#pragma once

#include "audit/observer.hpp"
#include "write/findings.hpp"
#include "write/first_questions.hpp"
#include "write/output.hpp"
#include "write/page_data.hpp"
#include "write/unread.hpp"

#include <chrono>
#include <cstdint>
#include <memory>
#include <string_view>

namespace vitalproof::command {

/// Shows how far a long read is, on a terminal alone and a few times a second.
class progress_line {
public:
    explicit progress_line(bool shown) : shown_(shown) {}

    void show(std::string_view file, std::uint64_t bytes);
    void clear() const;

private:
    bool shown_;
    bool drawn_ = false;
    // From the start, so that a short run shows nothing.
    std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

class writing_observer final : public audit::observer {
public:
    writing_observer(const write::output_folder& folder, const limits& in_force, write::writing how,
                     bool show_progress);

    std::unique_ptr<audit::findings_part> new_part() const override;
    void take(audit::findings_part& filled) override;
    void found(const batch_finding& of_batch) override { findings_.add(of_batch); }
    void unread(const read::unread_row& row) override { unread_.add(row); }
    void progress(std::string_view file, std::uint64_t bytes) override {
        progress_.show(file, bytes);
    }

    void close();

    const write::first_questions& first() const { return first_; }
    write::page_data& page() { return page_; }

private:
    class part;

    const limits& in_force_;
    write::findings_writer findings_;
    write::unread_writer unread_;
    write::first_questions first_;
    write::page_data page_;
    bool has_page_;
    progress_line progress_;
};

}  // namespace vitalproof::command
