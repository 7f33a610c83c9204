// One row of cells into one vital set, by the columns of its file.
// Used by read_delimited. Promises that a plain number costs no look at its sign or unit: all that
// can be decided once a file is decided here when the header is understood.
#pragma once

#include "read/cell.hpp"
#include "read/columns.hpp"
#include "read/time_zone.hpp"
#include "read/timestamp.hpp"
#include <vitalproof/vital_set.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace vitalproof::read {

/// Receives the cells beside the vital signs that could not be used.
class cell_complaints {
public:
    virtual ~cell_complaints() = default;
    /// A time that is not used, and what is known of it.
    virtual void time(std::uint64_t line, const column& where, std::string_view text,
                      time_kind kind) = 0;
    /// A time that stays without an offset: a change of clocks skips or repeats it.
    virtual void unplaced(std::uint64_t line, const column& where, std::string_view text) = 0;
    virtual void elapsed(std::uint64_t line) = 0;
    virtual void context(std::uint64_t line, const column& where, std::string_view text) = 0;
};

/// What a cell that tells how pressures were taken does to a set.
void set_pressure_method(vital_set& set, method how);

/// The same for the pulse: one counted by the ECG is an ECG rate, unless the set has one of its
/// own.
void set_pulse_method(vital_set& set, method how);

/// What a cell says of a set beside its vital signs. False where it holds something, and none of
/// the column's words.
bool take_context(vital_set& set, const column& context, std::string_view text);

class row_reader {
public:
    /// The understanding must outlive the reader, and so must the zone of times without an offset
    /// where one is given.
    row_reader(const understanding& columns, const co2_percent_basis& co2,
               cell_complaints& complaints, time_zone* zone = nullptr);

    /// A set in which signs without a column are not carried and all others blank.
    const vital_set& blank_set() const { return blank_; }

    /// Fills a copy of blank_set() from a row, as wide as the header, whose cells are followed by
    /// 8 readable bytes each. False when every vital-sign cell was empty: then nothing else is
    /// read and the set is of no use.
    bool fill(vital_set& set, std::span<const std::string_view> cells, std::uint64_t line) const;

    /// The line and time of a row, and what else it says of a set beside its vital signs.
    void fill_time(vital_set& set, std::span<const std::string_view> cells,
                   std::uint64_t line) const;
    void fill_context(vital_set& set, std::span<const std::string_view> cells,
                      std::uint64_t line) const;

private:
    struct sign_step {
        std::uint32_t index = 0;
        bool carried = false;
        bool plain = false;  // carried, and a number stands as it is: held unit, not a level
        method how = method::unknown;
    };

    template <VitalSign S>
    bool put(vital_set& set, std::span<const std::string_view> cells, bool& palpated) const;
    template <VitalSign S>
    bool put_no_plain(vital_set& set, std::span<const std::string_view> cells,
                      bool& palpated) const;
    template <VitalSign S>
    bool put_longer(vital_set& set, std::string_view text, bool& palpated) const;
    template <VitalSign S>
    bool put_other(vital_set& set, std::string_view text, bool& palpated) const;
    bool put_pressures(vital_set& set, std::string_view text, bool& palpated) const;

    void read_time(vital_set& set, std::span<const std::string_view> cells,
                   std::uint64_t line) const;
    void read_other_time(vital_set& set, timestamp time, std::span<const std::string_view> cells,
                         std::uint64_t line) const;
    void place(vital_set& set, std::span<const std::string_view> cells, std::uint64_t line) const;
    void read_contexts(vital_set& set, std::span<const std::string_view> cells,
                       std::uint64_t line) const;
    void read_context(vital_set& set, const column& context, std::string_view text,
                      std::uint64_t line) const;

    vital_set blank_{};
    std::array<sign_step, sign_count> signs_{};   // by sign_id
    std::array<cell_rules, sign_count> rules_{};  // apart, since few cells need them
    const column* pressures_;  // a whole blood pressure in one cell; null as a rule
    cell_rules pressure_rules_{};
    std::vector<const column*> context_;
    const column* time_;
    const column* date_;
    mutable remembered_day last_day_{};
    time_zone* zone_;
    cell_complaints& complaints_;
};

}  // namespace vitalproof::read
