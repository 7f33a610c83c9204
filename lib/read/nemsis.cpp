#include "read/nemsis.hpp"

#include "read/digesting_source.hpp"
#include "read/form_checking_source.hpp"
#include "read/nemsis_parsed.hpp"
#include "read/nemsis_report.hpp"
#include "read/text_source.hpp"
#include "read/xml_block.hpp"

#include <memory>

namespace vitalproof::read {

namespace {

class nemsis_reader final : public halved_reading {
public:
    nemsis_reader(byte_source& source, std::string_view file_name, const delimited_options& options,
                  sink& into, const xml_bounds& bounds)
        : options_(options),
          file_name_(file_name),
          into_(&into),
          bounds_(bounds),
          bytes_(source),
          text_(bytes_, options.most_unpacked),
          form_(options.strict_xml ? std::optional<form_checking_source>(std::in_place, text_)
                                   : std::nullopt),
          splitter_(form_ ? static_cast<byte_source&>(*form_) : text_, "PatientCareReport",
                    "eVitals.VitalGroup", bounds) {}

    delimited_outcome run(half_runner* halves) {
        outcome_.error = text_.open();
        if (!outcome_.error) {
            if (halves != nullptr) {
                halves->run(*this);
            } else {
                read_all();
            }
            outcome_.error = what_stopped();
            say_what_was_read();
        }
        outcome_.rows_read = outcome_.rows_examined + outcome_.rows_unread + outcome_.rows_other;
        outcome_.bytes = bytes_.bytes();
        outcome_.digest = bytes_.digest();
        return std::move(outcome_);
    }

    std::unique_ptr<text_block> new_block() const override { return std::make_unique<xml_block>(); }
    bool part(text_block& into) override { return static_cast<xml_block&>(into).fill(splitter_); }
    void read(text_block& block, sink& into) override {
        into_ = &into;
        xml_block& pieces = static_cast<xml_block&>(block);
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            take(pieces.piece(i));
        }
    }

private:
    void read_all() {
        for (xml_piece piece; splitter_.next(piece);) {
            take(piece);
        }
    }
    void take(const xml_piece& piece);
    bool take_plain(const xml_piece& piece);
    nemsis::report_outcome read_one(const xml_piece& piece, const nemsis::report_elements& elements,
                                    nemsis::group_lines& parted);
    void account_for(const xml_piece& piece, const nemsis::report_outcome& read,
                     std::span<const std::uint64_t> astray);
    void refuse(const xml_piece& piece, std::string reason, std::string_view remedy);
    void refuse_groups(std::span<const std::uint64_t> lines, std::string_view reason,
                       std::string_view remedy);
    void refuse_fault(const xml_piece& piece);
    std::optional<file_error> what_stopped() const;
    void say_what_was_read();

    const delimited_options& options_;
    std::string_view file_name_;
    sink* into_;
    xml_bounds bounds_;
    digesting_source bytes_;
    text_source text_;
    std::optional<form_checking_source> form_;
    xml_splitter splitter_;
    delimited_outcome outcome_{};
    nemsis::plain_report plain_{};
    nemsis::parsed_report parsed_{};
    care_report report_{};
    std::uint64_t reports_met_ = 0;
};

void nemsis_reader::take(const xml_piece& piece) {
    reports_met_ += piece.fault == xml_fault::stray ? 0U : 1U;
    if (piece.fault != xml_fault::none) {
        refuse_fault(piece);
        return;
    }
    if (piece.is_plain && take_plain(piece)) {
        return;
    }
    if (const std::string wrong = parsed_.parse(piece.text); !wrong.empty()) {
        refuse(piece, "the report is not well-formed XML: " + wrong, "export the report again");
        return;
    }
    nemsis::group_lines parted;
    const auto outcome = read_one(piece, parsed_.elements(), parted);
    account_for(piece, outcome, parted.astray);
}

// Whether all that is read of it is plain.
bool nemsis_reader::take_plain(const xml_piece& piece) {
    const nemsis::report_elements elements = plain_.elements_of(piece);
    nemsis::group_lines parted;
    const auto outcome = read_one(piece, elements, parted);
    if (!elements.must_be_parsed) {
        account_for(piece, outcome, parted.astray);
    }
    return !elements.must_be_parsed;
}

nemsis::report_outcome nemsis_reader::read_one(const xml_piece& piece,
                                               const nemsis::report_elements& elements,
                                               nemsis::group_lines& parted) {
    report_.id.clear();
    report_.crew.clear();
    report_.incident.clear();
    report_.age.reset();
    report_.known = {};
    report_.sets.clear();
    std::span<const std::uint64_t> lines = piece.marked_lines;
    if (!nemsis::are_all_in_place(elements, lines)) {
        parted = nemsis::part_lines(elements, lines);
        lines = parted.in_place;
    }
    return nemsis::read_report(elements, options_.co2, lines, report_);
}

void nemsis_reader::account_for(const xml_piece& piece, const nemsis::report_outcome& read,
                                std::span<const std::uint64_t> astray) {
    if (!read.has_identifier) {
        refuse(piece, "the report has no record number (eRecord.01)",
               "give it the number by which its agency knows it");
        return;
    }
    outcome_.rows_examined += read.examined;
    outcome_.rows_other += read.other;
    refuse_groups(astray, "these vital signs do not stand in a section eVitals of their own",
                  "export the report again");
    const auto say = [&](tally_of_lines& tally, std::uint64_t count) {
        for (std::uint64_t i = 0; i < count; ++i) {
            tally.add(piece.line);
        }
    };
    say(outcome_.unreadable_times, read.unreadable_times);
    say(outcome_.unreadable_ages, read.unreadable_ages);
    if (!report_.sets.empty()) {
        ++outcome_.reports;
        into_->report(report_, piece.line);
    }
}

// A row for each of its groups, so that all are accounted for; one where it has none.
void nemsis_reader::refuse(const xml_piece& piece, std::string reason, std::string_view remedy) {
    if (piece.marked_lines.empty()) {
        into_->unread({.file = file_name_,
                       .line = piece.line,
                       .column = "PatientCareReport",
                       .reason = reason + "; it holds no vital signs",
                       .remedy = remedy});
        return;
    }
    const std::string begun = piece.fault == xml_fault::stray
                                  ? std::string{}
                                  : " (it begins on line " + std::to_string(piece.line) + ")";
    refuse_groups(piece.marked_lines, reason + begun, remedy);
}

void nemsis_reader::refuse_groups(std::span<const std::uint64_t> lines, std::string_view reason,
                                  std::string_view remedy) {
    for (const std::uint64_t line : lines) {
        ++outcome_.rows_unread;
        into_->unread({.file = file_name_,
                       .line = line,
                       .column = "PatientCareReport",
                       .reason = reason,
                       .remedy = remedy});
    }
}

void nemsis_reader::refuse_fault(const xml_piece& piece) {
    switch (piece.fault) {
        case xml_fault::none:
            break;
        case xml_fault::too_long:
            refuse(piece, "the report is longer than " + std::to_string(bounds_.longest) + " bytes",
                   "leave out what is attached to it");
            break;
        case xml_fault::too_deep:
            refuse(piece, "its elements lie more than " + std::to_string(bounds_.deepest) + " deep",
                   "check what wrote it: the standard needs no more than ten");
            break;
        case xml_fault::too_many:
            refuse(
                piece,
                "the report has more than " + std::to_string(bounds_.most_elements) + " elements",
                "check what wrote it: a report has a few thousand at most");
            break;
        case xml_fault::begun_again:
            refuse(piece, "the report does not end before the next one begins",
                   "export the report again");
            break;
        case xml_fault::broken_off:
            refuse(piece, "the file ends in this report", "check that its export finished");
            break;
        case xml_fault::stray:
            refuse(piece, "these vital signs stand in no report", "export the reports again");
            break;
    }
}

// Why the document did not come to its end, or is none of ours.
std::optional<file_error> nemsis_reader::what_stopped() const {
    if (!splitter_.trouble().empty()) {
        return file_error{"reading broke off after " + std::to_string(bytes_.bytes()) +
                              " bytes: " + splitter_.trouble(),
                          "check the disk, connection or archive and read it again; reports before "
                          "this were read"};
    }
    if (splitter_.has_document_type()) {
        return file_error{
            "it declares a document type, which could define entities and is not read",
            "take the <!DOCTYPE ...> out; the standard needs none"};
    }
    if (form_ && form_->fault()) {
        return file_error{
            "on line " + std::to_string(form_->fault()->line) +
                " it is not well-formed XML: " + std::string(form_->fault()->what),
            "export it again, or leave out --strict-xml; what could be read was read"};
    }
    if (reports_met_ == 0) {
        const std::string& root = splitter_.root();
        return root == "EMSDataSet"
                   ? file_error{"it holds no PatientCareReport", "check that its export finished"}
                   : file_error{"this XML is no EMSDataSet of the national EMS data standard",
                                "export the care reports as NEMSIS v3.5, CSV or FHIR"};
    }
    if (const std::uint64_t line = splitter_.unended_line(); line != 0) {
        return file_error{"what begins on line " + std::to_string(line) +
                              " as a comment, CDATA or processing instruction does not end",
                          "end it; reports before it were read"};
    }
    if (!splitter_.is_whole()) {
        return file_error{"it ends before its first element does",
                          "check that its export finished; what it holds was read"};
    }
    return std::nullopt;
}

void nemsis_reader::say_what_was_read() {
    outcome_.columns.assumptions.emplace_back(
        "Read as the national EMS data standard (NEMSIS v3.5): a row is a group of vital signs");
    if (text_.as() != encoding::utf_8) {
        outcome_.columns.assumptions.push_back("Characters read as " +
                                               std::string(name_of(text_.as())));
    }
}

}  // namespace

delimited_outcome read_nemsis(byte_source& source, std::string_view file_name,
                              const delimited_options& options, sink& into,
                              const xml_bounds& bounds, half_runner* halves) {
    return nemsis_reader(source, file_name, options, into, bounds).run(halves);
}

}  // namespace vitalproof::read
