// A mapping: what a user says the columns of a file are, in place of their names.
// Used by understand_header and the long form. Promises that a header the file does not have is an
// error with a suggestion.
#pragma once

#include "read/columns.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

/// What a mapping says of one column.
struct mapped_column {
    std::string header{};  ///< as it stands in the file, or as the program shows it
    column_role role = column_role::ignored;
    sign_id sign = sign_id::systolic;
    std::optional<charted_unit> unit{};
    fact known = fact::arrest;
    age_unit age_in = age_unit::years;
    std::optional<unsigned> set{};  ///< which of several sets a row it is of
};

/// What a mapping says of a name in the rows of the long form: a sign, or none.
struct mapped_sign {
    std::string name{};
    std::optional<sign_id> sign{};
    std::optional<charted_unit> unit{};
    bool pressures = false;  ///< a whole blood pressure a value, and `sign` its systolic
};

struct column_mapping {
    std::string file{};
    std::vector<mapped_column> columns{};
    std::vector<mapped_sign> signs{};
    std::optional<std::string> report{};  ///< the identifier of every row, where no column holds it

    /// What is said of a name, compared as it stands, else as headers are.
    const mapped_sign* find_sign(std::string_view name) const;
};

/// A header row beside a mapping.
struct mapped_header {
    std::vector<const mapped_column*> columns{};  ///< one a cell; null where nothing is said of it
    std::optional<file_error> error{};
};

/// Finds each column of the mapping in a header, as it stands, else by letters and digits alone.
mapped_header find_mapped(const column_mapping& mapping, std::span<const std::string_view> header);

}  // namespace vitalproof::read
