// A stream of JSON objects, and of Bundles of them, into one resource at a time.
// Used by read_fhir. Promises bounded memory whatever the stream holds, that what stands in strings
// is never taken for structure, and that a broken resource costs itself: the next one is found.
#pragma once

#include "read/byte_source.hpp"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

namespace vitalproof::read {

struct json_bounds {
    std::size_t longest = std::size_t{1} << 24;  ///< bytes of a resource
    std::size_t deepest = 64;                    ///< objects and arrays within each other
};

enum class json_fault : std::uint8_t {
    none,
    malformed,   ///< its brackets, commas, colons and strings do not fit together
    too_long,    ///< more bytes than the bounds allow
    too_deep,    ///< more nesting than the bounds allow
    broken_off,  ///< the stream ends inside
};

/// One object of the stream, or of a Bundle's entries. Views are good until the next call.
struct json_piece {
    std::string_view text{};  ///< the whole object, readable a little beyond; empty with a fault
    std::string_view type{};  ///< its resourceType, where it was met; at most 64 bytes
    std::string_view full_url{};  ///< what its entry calls it; at most 64 bytes, or empty
    bool container = false;       ///< it has an array "entry", whose resources were given before
    json_fault fault = json_fault::none;
};

/// The objects of a text one behind another, on lines of their own or not. An object with an array
/// "entry" is given without its text, behind the value of "resource" of each of its entries.
///
/// Behind a fault reading goes on at the next line, where each object has one; in a Bundle at the
/// next "resource"; else at the next line that begins with a brace.
class json_splitter {
public:
    /// The source must outlive the splitter.
    explicit json_splitter(byte_source& from, const json_bounds& bounds = {});

    bool next(json_piece& piece);

    /// Whether the stream ended before its last object did.
    bool ended_inside() const { return ended_inside_; }

private:
    enum class state : std::uint8_t { between, structure, text, scalar, lost };
    enum class expected : std::uint8_t {
        key_or_end,
        key,
        colon,
        value_or_end,
        value,
        comma_or_end
    };

    bool more();
    void look_for_lines();
    bool step();
    bool step_between();
    bool step_structure();
    bool step_space(char c);
    bool step_separator(char c);
    bool step_text();
    bool step_scalar();
    bool step_lost();
    bool open(char bracket);
    bool close(char bracket);
    void begin_text();
    void end_text();
    void begin_piece();
    void keep_captured();
    void stop_capture(json_fault why);
    bool give_piece();
    bool give_container();
    bool give_fault(json_fault why);
    bool is_entry() const;
    bool find_resource(char c);

    byte_source& from_;
    json_bounds bounds_;
    std::unique_ptr<char[]> window_;
    const char* at_ = nullptr;
    const char* end_ = nullptr;
    bool first_window_ = true;

    state state_ = state::between;
    expected expected_ = expected::value;
    std::string open_{};    // the brackets that are open, outermost first
    bool is_key_ = false;   // of the text being read
    bool escaped_ = false;  // its last character was a backslash
    bool after_quote_ = false;
    bool keep_text_ = false;  // it may be a key or type that matters
    std::string text_{};
    std::string key_{};

    bool by_line_ = false;      // every object has a line of its own
    bool any_newline_ = false;  // in the outermost object
    bool any_object_ = false;
    bool first_on_a_line_ = false;  // the first object had no newline in it, and no other came yet
    bool container_ = false;        // the outermost object has an array "entry"
    bool in_entries_ = false;
    std::string container_type_{};
    std::string full_url_{};

    bool in_piece_ = false;
    std::size_t outside_ = 0;  // brackets that are open around the piece
    std::string type_{};
    json_fault fault_ = json_fault::none;  // of the piece, which is not kept then
    const char* from_here_ = nullptr;      // what is not yet in captured_
    std::string captured_{};

    std::size_t matched_ = 0;  // characters of what is looked for when lost
    bool line_begins_ = false;
    bool ended_inside_ = false;
    json_piece piece_{};
};

}  // namespace vitalproof::read
