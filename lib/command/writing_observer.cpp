#include "command/writing_observer.hpp"

#include "command/terminal.hpp"
#include "write/page.hpp"
#include "write/summary.hpp"
#include "write/worded.hpp"

#include <fmt/format.h>

namespace vitalproof::command {

void progress_line::show(std::string_view file, std::uint64_t bytes) {
    const auto now = std::chrono::steady_clock::now();
    if (!shown_ || now - last_ < std::chrono::milliseconds(200)) {
        return;
    }
    last_ = now;
    print_error(fmt::format("\r\x1b[K{}: {} MB read", file, write::grouped(bytes / 1'000'000)));
    drawn_ = true;
}

void progress_line::clear() const {
    if (drawn_) {
        print_error("\r\x1b[K");
    }
}

class writing_observer::part final : public audit::findings_part {
public:
    explicit part(const writing_observer& of)
        : words_(of.in_force_),
          findings_(of.findings_.new_text()),
          first_(of.first_.bound()),
          page_(of.page_.new_part()),
          has_page_(of.has_page_) {}

    void found(std::string_view file, std::span<const finding> of_set,
               const care_report& of_report) override {
        words_.start_set(of_set.front());
        findings_.start_set(file, of_set.front(), words_);
        for (const finding& f : of_set) {
            words_.take(f);
            findings_.add(f, words_);
            if (has_page_) {
                page_.add(file, f, words_, of_report);
            }
        }
        first_.add(of_set);
    }

    std::size_t bytes() const override {
        return findings_.rows().size() + findings_.lines().size() + page_.bytes();
    }

    void give_to(writing_observer& of) {
        of.findings_.add(findings_);
        of.page_.take(page_);
        of.first_.add(first_);
        findings_.clear();
        page_.clear();
        first_.clear();
    }

private:
    write::worded words_;
    write::findings_text findings_;
    write::first_questions first_;
    write::page_part page_;
    bool has_page_;
};

writing_observer::writing_observer(const write::output_folder& folder, const limits& in_force,
                                   write::writing how, bool show_progress)
    : in_force_(in_force),
      findings_(folder, how),
      unread_(folder),
      has_page_(write::has_page()),
      progress_(show_progress) {}

std::unique_ptr<audit::findings_part> writing_observer::new_part() const {
    return std::make_unique<part>(*this);
}

void writing_observer::take(audit::findings_part& filled) {
    static_cast<part&>(filled).give_to(*this);
}

void writing_observer::close() {
    progress_.clear();
    findings_.close();
    unread_.close();
}

}  // namespace vitalproof::command
