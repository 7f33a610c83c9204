// The reviewer's page, audit.html: one file that needs no other.
// Used by the program. Promises that no text of an input can become markup or code in it, and crews
// by number unless asked for their names.
#pragma once

#include "audit/audit.hpp"
#include "read/decisions_file.hpp"
#include "write/output.hpp"
#include "write/page_data.hpp"

#include <string>

namespace vitalproof::write {

struct page_options {
    limits in_force{};
    std::string as_of{};
    read::decision_list decisions{};  ///< of earlier audits, to be carried on
    bool show_crews = false;
};

/// Whether the page was built into the program.
bool has_page();

/// Writes audit.html into the folder; throws output_error.
void write_page(const output_folder& folder, const audit::account& account, page_data& data,
                const page_options& options);

}  // namespace vitalproof::write
