// The words of columns beside the vital signs: yes and no, methods, sources, ages.
// Used by read_delimited. Promises that a word it does not know is none, never a guess.
#pragma once

#include "read/age_unit.hpp"
#include <vitalproof/call.hpp>
#include <vitalproof/facts.hpp>
#include <vitalproof/reading.hpp>

#include <cstdint>
#include <optional>
#include <string_view>

namespace vitalproof::read {

/// yes, y, true, 1; no, n, false, 0.
std::optional<bool> read_yes_no(std::string_view text);

/// machine, automatic, nibp; ear, auscultated, manual; palpated, palp; doppler; arterial, a-line;
/// and as the national standard has it, in words or as a code. Unknown for a venous line, which is
/// no blood pressure.
std::optional<method> read_pressure_method(std::string_view text);

/// felt, palpated, manual; oximeter, pleth, pulse ox; ecg, monitor; and the standard's, of which
/// some say no more than unknown does.
std::optional<method> read_pulse_method(std::string_view text);

/// What one or more rhythms of the heart or the pulse, in words or as the standard's codes, say can
/// be true: that it is irregular, paced or without a pulse. Nothing for any other.
facts read_rhythm(std::string_view text);

/// Whether breathing was assisted; nothing where it was not, as it may still have been.
facts read_breathing_effort(std::string_view text);

/// captured, monitor: true; charted, manual: false.
std::optional<bool> read_captured(std::string_view text);

/// no patient, cancelled, standby; dead on scene, DOA; resuscitation ended; refused, AMA; released,
/// not transported; transported; transfer, interfacility.
std::optional<disposition> read_disposition(std::string_view text);

/// What the words of a complaint tell.
struct told_complaint {
    std::uint32_t complaints = 0;  ///< bits by complaint
    facts known{};                 ///< exposure, smoke or carbon monoxide, pregnancy
};
told_complaint read_complaint(std::string_view text);

/// years, yrs, y, y/o; months, mo; weeks, wk; days, d; hours, h; minutes, min; the standard's
/// codes.
std::optional<age_unit> read_age_unit(std::string_view text);

/// A number from 0 in the unit that stands behind it, else in `unit`; none where neither is known.
std::optional<age_in_years> read_age(std::string_view text, std::optional<age_unit> unit);

}  // namespace vitalproof::read
