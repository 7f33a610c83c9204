// Where bytes come from: a file, memory, standard input, an unpacker.
// Used by the tokenizer, which reads pieces into a buffer of its own.
// Promises that a failure is told apart from the end and never throws.
#pragma once

#include <atomic>
#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

namespace vitalproof::read {

class byte_source {
public:
    virtual ~byte_source() = default;

    /// Reads up to `size` bytes. Returns how many, 0 at the end, -1 when reading failed; fewer
    /// than asked does not mean the end.
    virtual std::ptrdiff_t read(char* into, std::size_t size) = 0;

    /// Why the last read failed, in words; empty when it did not.
    virtual std::string trouble() const { return {}; }
};

/// Text held in memory, which must outlive the source.
class memory_source final : public byte_source {
public:
    explicit memory_source(std::string_view text) : rest_(text) {}
    std::ptrdiff_t read(char* into, std::size_t size) override;

private:
    std::string_view rest_;
};

/// What opening a file gave: a source or, where it could not be opened, why and what to do.
struct opened_file {
    std::unique_ptr<byte_source> source;
    std::string error;
    std::string remedy;
};

/// The path that means standard input.
inline constexpr std::string_view standard_input = "-";

/// The trouble of a source that was told to stop.
inline constexpr std::string_view stopped_on_request = "stopped on request";

/// What messages and outputs call a path: standard input by its name, all else as it is.
std::string shown_name(const std::string& path);

/// Opens a regular file, a device, a named pipe or, by `-`, standard input; a directory is refused.
///
/// Once `stop`, where given, is set, reading fails, and so does a wait for a pipe or a terminal.
/// Of a regular file those bytes are read that it had when it was opened; one that is longer,
/// shorter or newer by then fails at its end, since its last row may be half a row.
opened_file open_file(const std::string& path, const std::atomic<bool>* stop = nullptr);

}  // namespace vitalproof::read
