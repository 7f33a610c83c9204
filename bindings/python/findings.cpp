#include "findings.hpp"

#include "audit/column_findings.hpp"
#include "names.hpp"
#include "parallel.hpp"
#include <vitalproof/examine.hpp>
#include <vitalproof/fingerprint.hpp>
#include <vitalproof/message.hpp>

#include <cerrno>
#include <cmath>
#include <deque>
#include <iterator>

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
        for (const finding_text none : {finding_text::report, finding_text::crew,
                                        finding_text::taken_at, finding_text::part_of}) {
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

/// The sign that a worked-out number is of: `systolic_as_mmhg` names it, `as_celsius` is of the
/// reading the finding points at.
std::optional<sign_id> sign_offered(const finding& f, const evidence_number& n) {
    const std::size_t as = n.name.find("as_");
    if (as == std::string_view::npos) {
        return std::nullopt;
    }
    sign_id sign = f.info().sign;
    for (const sign_info& named : sign_table) {
        if (as != 0 && n.name.substr(0, as - 1) == named.name) {
            sign = named.id;
        }
    }
    return describe(sign).unit == n.unit ? std::optional(sign) : std::nullopt;
}

/// The number to the last digit: a check works with floats, and the conversion it means is the one
/// of the sign's that comes to what it says.
double to_the_digit(sign_id sign, double charted, double said) {
    double nearest = said;
    double least = std::abs(said) * 1e-5;
    for (std::size_t i = 0; i < read::charted_units; ++i) {
        const auto unit = static_cast<read::charted_unit>(i);
        if (!read::is_unit_of(sign, unit) || unit == read::held_unit(sign)) {
            continue;
        }
        for (const double converted :
             {read::to_held(sign, unit, charted), from_held(sign, unit, charted)}) {
            if (std::abs(converted - said) <= least) {
                nearest = converted;
                least = std::abs(converted - said);
            }
        }
    }
    return nearest;
}

void add_offered(const finding& f, std::vector<offered_value>& to) {
    for (const evidence_number& n : f.evidence.numbers()) {
        const auto sign = sign_offered(f, n);
        for (const evidence_reading& r : f.evidence.readings()) {
            if (sign && r.sign == *sign && r.where == evidence_place::here &&
                r.state == reading_state::number) {
                to.push_back({static_cast<std::size_t>(f.line) - 1, f.check, *sign,
                              to_the_digit(*sign, r.value, n.value)});
            }
        }
    }
}

struct finding_stream {
    finding_batches batches;
    std::size_t next = 0;
};

int give_schema(ArrowArrayStream* /*stream*/, ArrowSchema* out) {
    try {
        export_schema(finding_columns::field(), *out);
        return 0;
    } catch (const std::bad_alloc&) {
        return ENOMEM;
    }
}

int give_next(ArrowArrayStream* stream, ArrowArray* out) {
    auto& from = *static_cast<finding_stream*>(stream->private_data);
    if (from.next == from.batches.size()) {
        out->release = nullptr;
        return 0;
    }
    try {
        const auto& batch = from.batches[from.next];
        export_array(batch->array(), batch, *out);
        ++from.next;
        return 0;
    } catch (const std::bad_alloc&) {
        return ENOMEM;
    }
}

const char* give_error(ArrowArrayStream* /*stream*/) { return "not enough memory"; }

void release_stream(ArrowArrayStream* stream) {
    delete static_cast<finding_stream*>(stream->private_data);  // NOLINT: as handed over
    stream->release = nullptr;
}

}  // namespace

std::string_view finding_columns::text(finding_text which, std::size_t row) const {
    const text_values& column = texts_[static_cast<std::size_t>(which)];
    const auto begin = static_cast<std::size_t>(column.offsets[row]);
    const auto end = static_cast<std::size_t>(column.offsets[row + 1]);
    return std::string_view(column.characters).substr(begin, end - begin);
}

void finding_columns::validity::add(std::size_t row, bool valid) {
    if (row % 8 == 0) {
        bits.push_back(0);
    }
    bits.back() = static_cast<std::uint8_t>(bits.back() | (valid ? 1U << (row % 8) : 0U));
}

void finding_columns::add_number(finding_number which, std::int64_t number) {
    number_values& column = numbers_[static_cast<std::size_t>(which)];
    column.values.push_back(number);
    column.valid.add(rows_, number >= 0);
}

void finding_columns::add_text(finding_text which, std::string_view text) {
    text_values& column = texts_[static_cast<std::size_t>(which)];
    column.characters.append(text);
    column.offsets.push_back(static_cast<std::int32_t>(column.characters.size()));
    column.valid.add(rows_, !text.empty());
}

void finding_columns::end_row(double value) {
    values_.push_back(value);
    value_valid_.add(rows_, value == value);
    ++rows_;
}

outgoing_field finding_columns::field() {
    outgoing_field table{"", "+s", {}};
    for (const char* name : finding_number_names) {
        table.children.push_back({name, "l", {}});
    }
    for (const char* name : finding_text_names) {
        table.children.push_back({name, "u", {}});
    }
    table.children.push_back({"value", "g", {}});
    return table;
}

outgoing_array finding_columns::array() const {
    const auto length = static_cast<std::int64_t>(rows_);
    outgoing_array table{.length = length, .buffers = {nullptr}};
    for (const number_values& column : numbers_) {
        table.children.push_back(
            {.length = length, .buffers = {column.valid.bits.data(), column.values.data()}});
    }
    for (const text_values& column : texts_) {
        table.children.push_back({.length = length,
                                  .buffers = {column.valid.bits.data(), column.offsets.data(),
                                              column.characters.data()}});
    }
    table.children.push_back(
        {.length = length, .buffers = {value_valid_.bits.data(), values_.data()}});
    return table;
}

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

std::vector<offered_value> offered_values(const table& from, const limits& in_force) {
    std::vector<offered_value> offered;
    const auto take = [&](std::span<const finding> of_set) {
        for (const finding& f : of_set) {
            add_offered(f, offered);
        }
    };
    examiner with(in_force);
    care_report report;
    for (std::size_t number = 0; number < from.report_count(); ++number) {
        from.fill_report(report, number);
        with.add(report, take);
    }
    with.finish(take);
    return offered;
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

void export_findings(finding_batches batches, ArrowArrayStream& stream) {
    stream = {.get_schema = &give_schema,
              .get_next = &give_next,
              .get_last_error = &give_error,
              .release = &release_stream,
              .private_data = nullptr};
    stream.private_data = new finding_stream{std::move(batches)};  // NOLINT: released by the above
}

}  // namespace vitalproof::python
