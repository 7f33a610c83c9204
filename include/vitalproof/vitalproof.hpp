// All of vitalproof: units, signs, reports, the catalogue of checks and both ways to run it.
// Used by programs that do not care which header holds what. Promises to add nothing of its own.
#pragma once

#include <vitalproof/care_report.hpp>
#include <vitalproof/catalogue.hpp>
#include <vitalproof/columns.hpp>
#include <vitalproof/examine.hpp>
#include <vitalproof/explain/words.hpp>
#include <vitalproof/fingerprint.hpp>
#include <vitalproof/limit_entries.hpp>
#include <vitalproof/message.hpp>
