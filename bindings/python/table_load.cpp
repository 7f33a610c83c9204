// What a table's columns hold, each by its role.
#include "read/number.hpp"
#include "read/text.hpp"
#include "read/unit_columns.hpp"
#include "table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>
#include <stdexcept>

namespace vitalproof::python {

namespace {

/// Rows from which is judged whether a column is in another unit, as many as a file's look.
constexpr std::size_t rows_looked_at = std::size_t{1} << 16;

[[noreturn]] void refuse(const read::column& as, const std::string& why) {
    throw std::invalid_argument("column \"" + as.header + "\" " + why);
}

bool is_clock(value_kind kind) {
    return kind == value_kind::instants || kind == value_kind::days ||
           kind == value_kind::times_of_day || kind == value_kind::elapsed;
}

}  // namespace

void table::load() {
    for (read::column& as : columns_.columns) {
        const auto found = held_.find(as.index);
        if (as.role == read::column_role::ignored || found == held_.end()) {
            continue;
        }
        const source_column& from = found->second;
        if (from.rows() != rows_) {
            refuse(as, fmt::format("has {} rows, the others {}", from.rows(), rows_));
        }
        switch (as.role) {
            case read::column_role::sign:
                load_sign(as, from);
                settle_unit(as);
                break;
            case read::column_role::pressures:
                if (from.kind() != value_kind::texts) {
                    refuse(as, "is to hold whole pressures such as \"120/80\", and holds none");
                }
                pressures_ = from.texts();
                pressure_rules_ = {.unit = as.unit, .unit_stated = as.unit_stated};
                blank_.systolic = reading<sign::systolic>::absent(absence::blank);
                blank_.diastolic = reading<sign::diastolic>::absent(absence::blank);
                break;
            case read::column_role::time:
                time_ = time_from(as, from);
                break;
            case read::column_role::date:
                date_ = time_from(as, from);
                day_of_call_ = false;
                break;
            case read::column_role::call_date:
                if (!date_) {
                    date_ = time_from(as, from);
                    day_of_call_ = true;
                }
                break;
            case read::column_role::unit_notified:
            case read::column_role::en_route:
            case read::column_role::on_scene:
            case read::column_role::at_patient:
            case read::column_role::left_scene:
            case read::column_role::at_destination:
            case read::column_role::transfer_of_care:
            case read::column_role::back_in_service:
                call_times_.push_back({read::call_time_of(as.role), time_from(as, from)});
                break;
            case read::column_role::known_fact:
            case read::column_role::source:
            case read::column_role::pressure_method:
            case read::column_role::pulse_method:
            case read::column_role::rhythm:
            case read::column_role::breathing_effort:
                if (is_clock(from.kind())) {
                    refuse(as, "holds times, and no yes or no or other word");
                }
                context_.push_back({&as, from.texts()});
                break;
            default:
                if (is_clock(from.kind())) {
                    refuse(as, "holds times, and no names or numbers");
                }
                of_report_.push_back({&as, from.texts()});
                break;
        }
    }
    for (const context_input& column : of_report_) {
        const context_input** const places[] = {&report_, &crew_,     &age_,       &age_unit_,
                                                &device_, &incident_, &complaint_, &disposition_};
        constexpr read::column_role roles[] = {
            read::column_role::report,    read::column_role::crew,
            read::column_role::age,       read::column_role::age_unit,
            read::column_role::device,    read::column_role::incident,
            read::column_role::complaint, read::column_role::disposition};
        for (std::size_t i = 0; i < std::size(roles); ++i) {
            if (column.as->role == roles[i]) {
                *places[i] = &column;
            }
        }
    }
}

void table::load_sign(const read::column& as, const source_column& from) {
    sign_input& into = signs_[index_of(as.sign)];
    into.carried = true;
    into.how = as.how;
    into.rules = {.sign = as.sign, .unit = as.unit, .unit_stated = as.unit_stated};
    if (from.kind() == value_kind::texts) {
        into.texts = from.texts();
    } else if (from.kind() != value_kind::numbers) {
        refuse(as, "holds times, and no " + std::string(describe(as.sign).label));
    } else if (as.sign == sign_id::responsiveness) {
        refuse(as,
               "holds numbers: give A, V, P, U or the words, since scales of responsiveness run "
               "both ways");
    } else {
        into.numbers = from.numbers();
    }
    for_each_sign(all_signs{}, [&]<VitalSign S>(S sign) {
        if (S::info.id == as.sign) {
            blank_[sign] = reading<S>::absent(absence::blank);
        }
    });
}

/// As a file's column is settled, by the numbers of its first rows.
void table::settle_unit(read::column& as) {
    const auto other = read::other_unit_of(as.sign, as.unit);
    const sign_input& input = signs_[index_of(as.sign)];
    if (!other || !options_.judge_units) {
        return;
    }
    const auto number_at = [&](std::size_t row) {
        constexpr double none = std::numeric_limits<double>::quiet_NaN();
        return input.numbers
                   ? (*input.numbers)[row]
                   : read::parse_number(read::trimmed((*input.texts)[row])).value_or(none);
    };
    checks::unit_column::counts counts;
    const std::size_t rows = std::min(rows_, rows_looked_at);
    constexpr std::size_t stretch = 64;
    std::array<double, stretch> numbers{};
    for (std::size_t row = 0; row < rows; row += stretch) {
        if (!checks::unit_column::may_fire(counts, rows - row)) {
            return;  // long before the end, of a column that is in its unit
        }
        // Put together first: of a sign charted now and then nobody guesses in which rows it is.
        std::size_t count = 0;
        for (std::size_t at = row; at < std::min(row + stretch, rows); ++at) {
            const double number = number_at(at);
            numbers[count] = number;
            count += std::isfinite(number) ? 1 : 0;
        }
        for (const double number : std::span(numbers.data(), count)) {
            const double held = read::to_held(as.sign, as.unit, number);
            counts.add(other->fits(as.sign, as.unit, to_real(held)));
        }
    }
    if (checks::unit_column::fires(counts)) {
        read::settle_unit(as, other->unit, counts);
        signs_[index_of(as.sign)].rules.unit = as.unit;
    }
}

table::time_input table::time_from(const read::column& as, const source_column& from) const {
    time_input into;
    into.kind = from.kind();
    if (into.kind == value_kind::texts) {
        into.texts = from.texts();
        return into;
    }
    if (into.kind == value_kind::numbers) {
        refuse(as,
               "holds numbers, and their unit and start are not known: give times "
               "(datetime64, timestamp) or stretches of time (timedelta64, duration)");
    }
    into.seconds = from.seconds();
    into.has_zone = !from.zone().empty();
    if (into.has_zone) {
        into.zone = read::find_time_zone(from.zone()).zone;
    }
    return into;
}

}  // namespace vitalproof::python
