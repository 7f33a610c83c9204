// The columns of a header weighed against each other: which of several has a role, which sets of a
// row they are of.
// Used by understand_header. Promises that two columns which could both be one vital sign, or that
// are equally good for a role that matters, are an error that names both.
#pragma once

#include "read/column_meaning.hpp"
#include "read/columns.hpp"

#include <optional>
#include <string_view>
#include <vector>

namespace vitalproof::read {

struct settlement {
    std::vector<unsigned> groups{};  ///< the numbers of the sets a row; empty where it is one
    std::optional<file_error> error{};
};

/// Settles roles, groups and remarks. Columns that lose their role are ignored, and say why.
settlement settle_columns(std::vector<understood>& columns);

/// Two columns that cannot both have a role.
file_error both_could_be(const column& one, const column& other, std::string_view what);

/// Leaves a column out in favour of another, and says so.
void ignore(column& c, const column& instead);

}  // namespace vitalproof::read
