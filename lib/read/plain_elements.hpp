// The elements of a piece of XML, where it is plain: tags that are known or can be taken apart by
// themselves, each ended by its own end tag, no processing instruction, no NUL.
// Used by the XML splitter as it goes, so that a plain piece need not be parsed again.
// Promises that a parser would find the same elements; what it is not sure of it does not walk
// over.
#pragma once

#include "read/angle_marks.hpp"
#include "read/xml_tags.hpp"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

/// An element within a piece; places are counted from the piece's first byte.
struct xml_element {
    std::uint32_t tag = 0;         ///< its place among the tags
    std::uint32_t text_begin = 0;  ///< behind its start tag
    std::uint32_t text_end = 0;    ///< at its end tag; comments and CDATA lie between as they stand
    std::uint32_t behind = 0;      ///< the next element that does not lie in it
};

class plain_elements {
public:
    /// So many bytes must be readable behind a text.
    static constexpr std::size_t readable = 2 * xml_tag::longest;

    /// Pieces are elements of one name; marked ones are noted. A piece with more elements or deeper
    /// ones is not walked to its end.
    plain_elements(std::string_view element, std::string_view marked, std::size_t deepest,
                   std::size_t most_elements);
    plain_elements(const plain_elements&) = delete;
    plain_elements& operator=(const plain_elements&) = delete;

    /// The name of the document's first element: one of that name is not walked over.
    void know_root(std::string_view name) { root_ = name; }

    /// A piece begins, with this start tag, behind which the walk will begin at `at`.
    void begin(std::string_view start_tag, std::size_t at);

    /// Walks over `text` from `at`, which it moves, to `end` at most; the piece began at `start`.
    /// Whether it came behind the piece's end; else it stands at what is not plain, or where the
    /// text does not show it yet.
    bool walk(const char* text, std::size_t start, std::size_t& at, std::size_t end);

    /// There is more of the text, or it lies elsewhere now.
    void forget_text();

    bool is_plain() const { return is_plain_; }
    void is_not_plain() { is_plain_ = false; }
    std::size_t depth() const { return depth_; }
    std::size_t count() const { return count_; }
    std::span<const xml_element> all() const { return {elements_.data(), count_}; }
    /// The tags of the elements: of the ones before, for as long as they are held.
    const std::shared_ptr<xml_tags>& tags() const { return tags_; }
    /// Where the marked elements begin that the last walk met.
    std::span<const std::uint32_t> marked() const { return marked_; }

private:
    struct walker;

    void mark_from(const char* text, std::size_t from, std::size_t end);
    void look_from(const char* text, std::size_t at, std::size_t end);
    bool pass_hidden(const char* text, std::size_t& at, std::size_t end);
    bool has_pair(const char* text, std::size_t& at, std::size_t end);
    bool note(const xml_tag& tag, std::uint32_t place);
    std::uint32_t add(std::string_view tag);

    std::string element_;
    std::string marked_name_;
    std::string root_{};
    std::shared_ptr<xml_tags> tags_ = std::make_shared<xml_tags>(0);

    bool is_plain_ = false;
    std::string end_tag_{};  // of the piece
    std::vector<xml_element> elements_{};
    xml_element* last_element_ = nullptr;  // there is no room for it
    std::size_t count_ = 0;
    std::vector<std::uint32_t> open_{};  // elements, each within the one before
    std::uint32_t* deepest_open_ = nullptr;
    std::size_t depth_ = 0;
    std::vector<std::uint32_t> marked_{};

    angle_marks marks_{};
    std::size_t next_ = 0;    // of the marks
    std::size_t window_ = 0;  // the marks are of the text from here
    std::size_t window_end_ = 0;
    std::size_t nul_until_ = 0;  // before here, some byte may be NUL
};

}  // namespace vitalproof::read
