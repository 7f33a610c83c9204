#include "written.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <stdexcept>
#include <vector>

namespace bench {

namespace {

using vitalproof::sign_id;

constexpr std::string_view report_begins = "<PatientCareReport";
constexpr std::string_view report_ends = "</PatientCareReport>\n";
constexpr std::string_view set_begins = "<eVitals.VitalGroup>\n";
constexpr std::string_view set_ends = "</eVitals.VitalGroup>\n";
constexpr unsigned one_day = 1440;  // so that what came before the first set lies in the year too

/// A line of the frame: text, and at most one word in braces.
struct frame_line {
    std::string_view before{};
    std::string_view word{};
    std::string_view behind{};
    std::optional<sign_id> sign{};
    int minutes = 0;  ///< after what the word names
};

std::optional<sign_id> sign_called(std::string_view name) {
    const auto found =
        std::ranges::find(vitalproof::sign_table, name, &vitalproof::sign_info::name);
    return found == vitalproof::sign_table.end() ? std::nullopt : std::optional(found->id);
}

// `{first-20}`: twenty minutes before the first set.
void take_minutes(frame_line& line) {
    const std::size_t sign = line.word.find_first_of("+-");
    if (sign != std::string_view::npos) {
        const char* from = line.word.data() + sign + (line.word[sign] == '+' ? 1 : 0);
        std::from_chars(from, line.word.data() + line.word.size(), line.minutes);
        line.word = line.word.substr(0, sign);
    }
}

frame_line parse_line(std::string_view text) {
    frame_line line{text};
    const std::size_t open = text.find('{');
    if (open != std::string_view::npos) {
        const std::size_t close = text.find('}', open);
        line.before = text.substr(0, open);
        line.word = text.substr(open + 1, close - open - 1);
        line.behind = text.substr(close + 1);
        line.sign = sign_called(line.word);
        take_minutes(line);
    }
    return line;
}

std::vector<frame_line> parse_lines(std::string_view text) {
    std::vector<frame_line> lines;
    while (!text.empty()) {
        const std::size_t end = text.find('\n') + 1;
        lines.push_back(parse_line(text.substr(0, end)));
        text.remove_prefix(end);
    }
    return lines;
}

/// The frame in the order in which it is written.
struct parted_frame {
    std::string_view head;
    std::vector<frame_line> report_head;
    std::vector<frame_line> set;
    std::vector<frame_line> report_foot;
    std::string_view foot;
};

parted_frame part(std::string_view frame) {
    const std::size_t report = frame.find(report_begins);
    const std::size_t set = frame.find(set_begins);
    const std::size_t behind_set = frame.find(set_ends) + set_ends.size();
    const std::size_t behind_report = frame.find(report_ends) + report_ends.size();
    if (!(report < set && set < behind_set && behind_set < behind_report &&
          behind_report <= frame.size())) {
        throw std::runtime_error("the frame is no document with one report of one set");
    }
    return {frame.substr(0, report), parse_lines(frame.substr(report, set - report)),
            parse_lines(frame.substr(set, behind_set - set)),
            parse_lines(frame.substr(behind_set, behind_report - behind_set)),
            frame.substr(behind_report)};
}

void append_level(std::string& text, const invented_set& set) {
    const auto level = static_cast<int>(
        set.values[vitalproof::index_of(sign_id::responsiveness)]);  // from alert, which is 1
    text += "332600" + std::to_string(2 * level - 1);
}

// As the standard has it where nothing was recorded.
void append_nothing(std::string& text, std::string_view opening) {
    text.append(opening.substr(0, opening.find_first_of(" >")));
    text += " xsi:nil=\"true\" NV=\"7701003\"/>\n";
}

void append_sign(std::string& text, const frame_line& line, const invented_set& set) {
    if (!is_charted(set, *line.sign)) {
        append_nothing(text, line.before);
        return;
    }
    text.append(line.before);
    if (*line.sign == sign_id::responsiveness) {
        append_level(text, set);
    } else {
        append_charted(text, set, *line.sign);
    }
    text.append(line.behind);
}

void append_moment(std::string& text, const frame_line& line, unsigned minute) {
    append_time(text, one_day + minute + static_cast<unsigned>(line.minutes));
    text += "-06:00";
}

void append_lines(std::string& text, const std::vector<frame_line>& lines,
                  const std::vector<invented_set>& sets, const invented_set& set) {
    for (const frame_line& line : lines) {
        if (line.sign) {
            append_sign(text, line, set);
            continue;
        }
        text.append(line.before);
        if (line.word == "report") {
            text += "PCR-" + std::to_string(set.report);
        } else if (line.word == "number") {
            const std::string number = std::to_string(set.report);
            text.append(12 - std::min<std::size_t>(12, number.size()), '0').append(number);
        } else if (line.word == "crew") {
            text += "M" + std::to_string(set.crew);
        } else if (line.word == "first") {
            append_moment(text, line, sets.front().minute);
        } else if (line.word == "time") {
            append_moment(text, line, set.minute);
        } else if (line.word == "last") {
            append_moment(text, line, sets.back().minute);
        } else if (!line.word.empty()) {
            throw std::runtime_error("unknown in a frame: " + std::string(line.word));
        }
        text.append(line.behind);
    }
}

void append_report(std::string& text, const parted_frame& frame,
                   const std::vector<invented_set>& sets) {
    append_lines(text, frame.report_head, sets, sets.front());
    for (const invented_set& set : sets) {
        append_lines(text, frame.set, sets, set);
    }
    append_lines(text, frame.report_foot, sets, sets.front());
}

}  // namespace

written_account write_xml(std::FILE* into, std::uint64_t bytes, std::uint64_t seed,
                          std::string_view frame) {
    const parted_frame parts = part(frame);
    written_account account;
    text_output output(into);
    output.text().append(parts.head);
    invented_reports reports(seed);
    std::vector<invented_set> sets{reports.next()};
    while (output.bytes() < bytes) {
        invented_set next = reports.next();
        for (; !next.first_of_report; next = reports.next()) {
            sets.push_back(next);
        }
        append_report(output.text(), parts, sets);
        for (const invented_set& set : sets) {
            add_to(account, set);
        }
        output.flush_when_full();
        sets.assign(1, next);
    }
    output.text().append(parts.foot);
    output.flush();
    account.bytes = output.bytes();
    return account;
}

}  // namespace bench
