// Arrays of ours as Arrow's C data interface has them.
// Used by flags and findings. Promises that buffers stay where they are and live as long as the
// consumer holds them.
#pragma once

#include "arrow_abi.hpp"

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

namespace vitalproof::python {

/// A column or a table on its way out.
struct outgoing_field {
    std::string name{};
    std::string format{};
    std::vector<outgoing_field> children{};
};

struct outgoing_array {
    std::int64_t length = 0;
    std::vector<const void*> buffers{};
    std::vector<outgoing_array> children{};
};

void export_schema(const outgoing_field& field, ArrowSchema& to);

/// `owner` keeps the buffers.
void export_array(const outgoing_array& array, const std::shared_ptr<const void>& owner,
                  ArrowArray& to);

}  // namespace vitalproof::python
