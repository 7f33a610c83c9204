// The words of columns beside the vital signs: yes and no, methods, sources, ages.
// Used by read_delimited. Promises that a word it does not know is none, never a guess.
#pragma once

#include "read/columns.hpp"
#include <vitalproof/call.hpp>
#include <vitalproof/facts.hpp>
#include <vitalproof/reading.hpp>

#include <cstdint>
#include <optional>
#include <string_view>

namespace vitalproof::read {

/// yes, y, true, 1; no, n, false, 0.
std::optional<bool> read_yes_no(std::string_view text);

/// machine, automatic, nibp; ear, auscultated, manual; palpated, palp; doppler; arterial, a-line.
std::optional<method> read_pressure_method(std::string_view text);

/// felt, palpated, manual; oximeter, pleth, pulse ox; ecg, monitor.
std::optional<method> read_pulse_method(std::string_view text);

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

/// A number from 0, in the column's unit.
std::optional<age_in_years> read_age(std::string_view text, age_unit unit);

}  // namespace vitalproof::read
