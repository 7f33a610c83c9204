#include "read/nemsis_maker.hpp"

#include <string>
#include <utility>

namespace vitalproof::read::nemsis {

void made_of_pieces::add(const made_of_pieces& later) {
    reports_met += later.reports_met;
    reports += later.reports;
    examined += later.examined;
    unread += later.unread;
    other += later.other;
    unreadable_times.add(later.unreadable_times);
    unreadable_ages.add(later.unreadable_ages);
}

void report_maker::take(const xml_piece& piece, sink& into, made_of_pieces& made) {
    into_ = &into;
    made_ = &made;
    made.reports_met += piece.fault == xml_fault::stray ? 0U : 1U;
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
    group_lines parted;
    const auto outcome = read_one(piece, parsed_.elements(), parted);
    account_for(piece, outcome, parted.astray);
}

// Whether all that is read of it is plain.
bool report_maker::take_plain(const xml_piece& piece) {
    const report_elements elements = plain_.elements_of(piece);
    group_lines parted;
    const auto outcome = read_one(piece, elements, parted);
    if (!elements.must_be_parsed) {
        account_for(piece, outcome, parted.astray);
    }
    return !elements.must_be_parsed;
}

report_outcome report_maker::read_one(const xml_piece& piece, const report_elements& elements,
                                      group_lines& parted) {
    report_.id.clear();
    report_.crew.clear();
    report_.incident.clear();
    report_.age.reset();
    report_.known = {};
    report_.sets.clear();
    std::span<const std::uint64_t> lines = piece.marked_lines;
    if (!are_all_in_place(elements, lines)) {
        parted = part_lines(elements, lines);
        lines = parted.in_place;
    }
    return read_report(elements, options_.co2, lines, report_);
}

void report_maker::account_for(const xml_piece& piece, const report_outcome& read,
                               std::span<const std::uint64_t> astray) {
    if (!read.has_identifier) {
        refuse(piece, "the report has no record number (eRecord.01)",
               "give it the number by which its agency knows it");
        return;
    }
    made_->examined += read.examined;
    made_->other += read.other;
    refuse_groups(astray, "these vital signs do not stand in a section eVitals of their own",
                  "export the report again");
    const auto say = [&](tally_of_lines& tally, std::uint64_t count) {
        for (std::uint64_t i = 0; i < count; ++i) {
            tally.add(piece.line);
        }
    };
    say(made_->unreadable_times, read.unreadable_times);
    say(made_->unreadable_ages, read.unreadable_ages);
    if (!report_.sets.empty()) {
        ++made_->reports;
        into_->report(report_, piece.line);
    }
}

// A row for each of its groups, so that all are accounted for; one where it has none.
void report_maker::refuse(const xml_piece& piece, std::string reason, std::string_view remedy) {
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

void report_maker::refuse_groups(std::span<const std::uint64_t> lines, std::string_view reason,
                                 std::string_view remedy) {
    for (const std::uint64_t line : lines) {
        ++made_->unread;
        into_->unread({.file = file_name_,
                       .line = line,
                       .column = "PatientCareReport",
                       .reason = reason,
                       .remedy = remedy});
    }
}

void report_maker::refuse_fault(const xml_piece& piece) {
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

}  // namespace vitalproof::read::nemsis
