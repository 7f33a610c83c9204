#include "touch.hpp"

#include <algorithm>

namespace bench {

void touch(const sign_columns& columns) {
    using vitalproof::block_rows;
    std::array<float, block_rows> lane{};
    const std::size_t rows = columns.front().size();
    for (std::size_t row = 0; row < rows; row += block_rows) {
        const std::size_t count = std::min(rows - row, block_rows);
        for (const auto& column : columns) {
            const double* from = column.data() + row;
            for (std::size_t i = 0; i < count; ++i) {
                lane[i] = static_cast<float>(from[i]);
            }
            asm volatile("" : : "r"(lane.data()) : "memory");  // or it would all be left out
        }
    }
}

}  // namespace bench
