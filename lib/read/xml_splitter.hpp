// A stream of XML into the elements of one name, each by itself.
// Used by the reader of the national EMS data standard, whose files hold many reports. Promises
// bounded memory whatever the file's size, that comments, CDATA and processing instructions never
// pass for elements, that a broken element costs no other, that every marked element is met inside
// a piece or as a stray, and that no document type, and so no entity of a file's own, is ever read.
#pragma once

#include "read/byte_source.hpp"
#include "read/plain_elements.hpp"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

struct xml_bounds {
    std::size_t longest = std::size_t{64} << 20;       ///< bytes of one element
    std::size_t deepest = 64;                          ///< elements inside each other, within it
    std::size_t most_elements = std::size_t{1} << 20;  ///< within it
    std::size_t longest_tag = std::size_t{1} << 20;
    std::size_t piece = std::size_t{256} << 10;  ///< read at a time
};

enum class xml_fault : std::uint8_t {
    none,
    too_long,
    too_deep,
    too_many,     ///< elements
    begun_again,  ///< another of its name begins before it ends
    broken_off,   ///< the stream ends inside it
    stray,        ///< a marked element, by its start tag, that stands in none of its name
};

/// One element. Views are valid until the next call to next().
struct xml_piece {
    std::span<char> text{};  ///< from its start tag to its end tag; may be written to
    std::uint64_t line = 0;  ///< on which it begins, from 1
    xml_fault fault = xml_fault::none;
    /// Of the marked elements within it, the lines on which they begin.
    std::span<const std::uint64_t> marked_lines{};
    /// Whether what lies within it is plain; else it must be parsed.
    bool is_plain = false;
    std::span<const xml_element> elements{};  ///< where it is plain
    const xml_tags* tags = nullptr;           ///< of the elements
    std::size_t tag_count = 0;
};

class xml_splitter {
public:
    /// Elements by their names without a prefix. The source must outlive the splitter.
    xml_splitter(byte_source& source, std::string_view element, std::string_view marked,
                 const xml_bounds& bounds = {});

    /// The next element; false at the end, or where the document is refused.
    bool next(xml_piece& piece);

    /// The same in steps: `starved` where what was read is used up.
    enum class step : std::uint8_t { on, starved, given, ended };
    step next_in_text(xml_piece& piece);
    /// Behind `starved`: reads on.
    void read_on();
    /// The same; the text of all elements given so far is left in `text`, whose memory is used
    /// again.
    void read_on(std::vector<char>& text);
    /// The same at the end, where nothing is read on.
    void leave_text(std::vector<char>& text) { data_.swap(text); }
    const char* text() const { return data_.data(); }
    const std::shared_ptr<xml_tags>& tags() const { return plain_.tags(); }

    /// The name of the document's first element, without a prefix; empty before it is met.
    const std::string& root() const { return root_; }
    /// Whether the document has a document type: it is not read on.
    bool has_document_type() const { return has_document_type_; }
    /// Whether the first element ended too; at the end of the stream.
    bool is_whole() const { return open_roots_ == 0 && terminator_.empty(); }
    /// Where a comment, CDATA or processing instruction begins that did not end; 0 where none.
    std::uint64_t unended_line() const { return terminator_.empty() ? 0 : unended_line_; }
    /// Why the source failed; empty when it did not.
    const std::string& trouble() const { return trouble_; }

private:
    struct tag {
        std::string_view name{};  // without its prefix
        std::size_t length = 0;   // 0 where it has no end, or none yet
        bool closes = false;
        bool self_closing = false;
        bool is_none = false;  // a '<' comes first, which no tag holds, not even in a value
    };

    static tag read_tag(std::string_view from);
    step scan(xml_piece& piece);
    step take_plain(xml_piece& piece);
    step take_markup(xml_piece& piece);
    step skip_to_terminator();
    step pass_to_terminator(std::string_view opening, std::string_view terminator);
    step take_tag(xml_piece& piece, const tag& read);
    step take_inside(xml_piece& piece, const tag& read);
    step begin(xml_piece& piece, const tag& read);
    void give(xml_piece& piece, xml_fault fault, std::size_t end);
    void drop(std::size_t bytes);
    void read_behind();
    std::uint64_t line_at(std::size_t place);
    std::string_view left() const { return {data_.data() + at_, end_ - at_}; }

    byte_source& source_;
    std::string element_;
    std::string marked_;
    xml_bounds bounds_;

    std::vector<char> data_;
    std::size_t start_ = 0;  // of the element inside which we are
    std::size_t at_ = 0;     // what is before has been looked at
    std::size_t end_ = 0;
    bool at_end_ = false;
    bool is_used_up_ = false;

    bool open_ = false;
    std::size_t depth_ = 0;
    std::size_t elements_ = 0;
    xml_fault fault_ = xml_fault::none;
    plain_elements plain_;
    std::uint64_t line_ = 1;  // at counted_
    std::size_t counted_ = 0;
    std::uint64_t start_line_ = 1;  // of the element
    std::vector<std::uint64_t> marked_lines_;
    std::string_view terminator_{};  // of a comment and its like that did not end yet
    std::uint64_t unended_line_ = 0;
    std::string root_;
    std::int64_t open_roots_ = 0;
    bool has_document_type_ = false;
    std::string trouble_;
};

}  // namespace vitalproof::read
