// The summary a person reads at the end of an audit, and how a file's columns were understood.
// Used by the program. Promises plain words and numbers that are those of audit.json.
#pragma once

#include "audit/audit.hpp"
#include "write/first_questions.hpp"

#include <string>

namespace vitalproof::write {

/// Colour, only where the output is a terminal.
struct look {
    bool colour = false;
};

/// How each column was understood, a line each, and what the file does not carry.
std::string columns_text(const std::string& file, const read::understanding& columns);

/// The same in short, for the head of a summary: what was assumed, and what was not used.
std::string assumptions_text(const std::string& file, const read::understanding& columns);

/// What stopped a file and what to do about it, as sentences.
std::string error_text(const read::file_error& error);

/// What could not be read or used in the files, each with its remedy; empty when nothing.
std::string troubles_text(const audit::account& account);

/// Rows, reports, sets, readings, what raises no question, and the first questions.
std::string summary_text(const audit::account& account, const first_questions& first,
                         const message_writer& words, look as);

/// A whole number with its thousands apart: 10,107.
std::string grouped(std::uint64_t number);

}  // namespace vitalproof::write
