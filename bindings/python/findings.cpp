#include "findings.hpp"

#include "audit/column_findings.hpp"
#include "parallel.hpp"
#include <vitalproof/examine.hpp>
#include <vitalproof/explain/words.hpp>
#include <vitalproof/fingerprint.hpp>
#include <vitalproof/message.hpp>

#include <algorithm>
#include <deque>
#include <iterator>
#include <limits>
#include <span>
#include <string>

namespace vitalproof::python {

namespace {

/// Sets examined in one go by one thread.
constexpr std::size_t sets_a_piece = 4096;

/// The reading a finding points at, where it is a number.
const evidence_reading* own_number(const finding& f) {
    for (const evidence_reading& r : f.evidence.readings()) {
        if (r.sign == f.info().sign && r.where == evidence_place::here &&
            r.state == reading_state::number) {
            return &r;
        }
    }
    return nullptr;
}

/// Puts findings into columns. For one thread.
class finding_taker {
public:
    finding_taker(const message_writer& words, bool with_words)
        : words_(words), with_words_(with_words) {}

    void take(std::span<const finding> of_set) {
        for (const finding& f : of_set) {
            take(f);
        }
    }

    void take(const batch_finding& f) {
        begin(f.info(), describe(f.sign).name);
        columns_->add_number(finding_number::row, -1);
        columns_->add_number(finding_number::set, -1);
        for (const finding_text none :
             {finding_text::report, finding_text::crew, finding_text::taken_at,
              finding_text::part_of, finding_text::perhaps}) {
            columns_->add_text(none, "");
        }
        columns_->add_text(finding_text::unit, f.stated);
        add_words(message::charted(f), message::expected(f), message::question(f));
        columns_->add_text(finding_text::fingerprint, prints_.print(f));
        columns_->end_row(std::numeric_limits<double>::quiet_NaN());
    }

    finding_batches give() { return std::move(batches_); }

private:
    void take(const finding& f) {
        const evidence_reading* own = f.info().about.empty() ? own_number(f) : nullptr;
        begin(f.info(), subject_of(f.info()));
        columns_->add_number(finding_number::row, static_cast<std::int64_t>(f.line) - 1);
        columns_->add_number(finding_number::set, static_cast<std::int64_t>(f.set));
        columns_->add_text(finding_text::report, f.report);
        columns_->add_text(finding_text::crew, f.crew);
        text_.clear();
        if (f.taken_at) {
            message::append_time(text_, f.taken_at);
        }
        columns_->add_text(finding_text::taken_at, text_);
        columns_->add_text(finding_text::unit,
                           own == nullptr ? std::string_view() : describe(own->sign).unit);
        if (with_words_) {
            add_words(words_.charted(f), words_.expected(f), words_.question(f));
        } else {
            add_words("", "", "");
        }
        text_.clear();
        if (with_words_) {
            message::append_explanations(text_, f.perhaps);
        }
        columns_->add_text(finding_text::perhaps, text_);
        columns_->add_text(finding_text::part_of,
                           f.part_of == nullptr ? std::string_view() : prints_.print(*f.part_of));
        columns_->add_text(finding_text::fingerprint, prints_.print(f));
        columns_->end_row(own == nullptr ? std::numeric_limits<double>::quiet_NaN() : own->value);
    }

    template <class Info>
    void begin(const Info& info, std::string_view subject) {
        if (columns_ == nullptr || columns_->rows() == finding_columns::most_rows) {
            columns_ = std::make_shared<finding_columns>();
            batches_.push_back(columns_);
        }
        columns_->add_number(finding_number::priority, static_cast<std::int64_t>(info.priority));
        columns_->add_text(finding_text::check, info.code);
        columns_->add_text(finding_text::asks, name_of(info.asks));
        columns_->add_text(finding_text::kind, name_of(info.kind));
        columns_->add_text(finding_text::sign, subject);
        columns_->add_text(finding_text::source, info.source);
    }

    void add_words(std::string_view charted, std::string_view expected, std::string_view question) {
        columns_->add_text(finding_text::charted, charted);
        columns_->add_text(finding_text::expected, expected);
        columns_->add_text(finding_text::question, question);
    }

    const message_writer& words_;
    bool with_words_;
    fingerprinter prints_;
    std::string text_;
    std::shared_ptr<finding_columns> columns_;
    finding_batches batches_;
};

void append(finding_batches& to, finding_batches more) {
    to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

/// Examines some of a table's reports, and marks what a whole column explains.
finding_batches examine_piece(const table& from, const limits& in_force,
                              const message_writer& words, bool with_words, std::size_t begin,
                              std::size_t end) {
    std::deque<audit::batch_entry> entries;
    audit::column_findings whole("", from.columns(), in_force, entries);
    finding_taker taker(words, with_words);
    std::vector<finding> marked;
    const auto take = [&](std::span<const finding> of_set) {
        if (whole.concern(of_set)) {
            marked.assign(of_set.begin(), of_set.end());
            whole.mark(marked);
            of_set = marked;
        }
        taker.take(of_set);
    };
    examiner with(in_force);
    care_report report;
    for (std::size_t number = begin; number < end; ++number) {
        from.fill_report(report, number);
        with.add(report, take);
    }
    with.finish(take);
    return taker.give();
}

}  // namespace

finding_batches examine_table(const table& from, const limits& in_force, bool words,
                              std::size_t threads) {
    const message_writer writer(in_force);
    std::deque<audit::batch_entry> entries;
    const audit::column_findings whole("", from.columns(), in_force, entries);
    finding_taker of_columns(writer, words);
    for (const audit::batch_entry* entry : whole.found()) {
        of_columns.take(entry->about);
    }
    finding_batches all = of_columns.give();

    const std::size_t reports = from.report_count();
    const std::size_t sets_each =
        reports == 0 ? 1 : std::max<std::size_t>(1, from.rows() / reports);
    const std::size_t step = std::max<std::size_t>(1, sets_a_piece / sets_each);
    std::vector<finding_batches> pieces((reports + step - 1) / step);
    share_out(pieces.size(), threads, [&](std::size_t piece) {
        pieces[piece] = examine_piece(from, in_force, writer, words, piece * step,
                                      std::min(reports, (piece + 1) * step));
    });
    for (finding_batches& piece : pieces) {
        append(all, std::move(piece));
    }
    return all;
}

finding_batches examine_reports(std::vector<care_report> reports, const limits& in_force) {
    const message_writer writer(in_force);
    finding_taker taker(writer, true);
    const auto take = [&](std::span<const finding> of_set) { taker.take(of_set); };
    examiner with(in_force);
    for (care_report& report : reports) {
        with.add(report, take);
    }
    with.finish(take);
    return taker.give();
}

}  // namespace vitalproof::python
