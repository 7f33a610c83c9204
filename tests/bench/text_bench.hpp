#pragma once

#include <string>

namespace bench {

/// The program on generated files, findings written, beside read() of the same file; prints MB/s
/// and peak memory. Works in `folder`, which it empties again. Throws std::runtime_error when the
/// program fails or loses a row.
void run_text_bench(const std::string& program, const std::string& folder);

}  // namespace bench
