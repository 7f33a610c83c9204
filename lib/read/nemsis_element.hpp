// Elements of the national EMS data standard as the reader meets them.
// Used by the parts of the standard's reader. Promises that a prefix never counts, that blanks and
// line ends around a value are none of it, and the same elements however they were found.
#pragma once

#include "read/angle_marks.hpp"
#include "read/nemsis_names.hpp"
#include "read/xml_splitter.hpp"
#include <vitalproof/reading.hpp>

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

namespace vitalproof::read::nemsis {

/// A name without its prefix.
inline std::string_view without_prefix(std::string_view name) {
    const std::size_t colon = name.find(':');
    return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

/// Without the blanks and line ends of XML at either end.
constexpr std::string_view stripped(std::string_view text) {
    const auto is_space = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
    while (!text.empty() && is_space(text.front())) {
        text.remove_prefix(1);
    }
    while (!text.empty() && is_space(text.back())) {
        text.remove_suffix(1);
    }
    return text;
}

/// What a start tag says. Views into the text of the tag.
struct tag_meaning {
    std::string_view name{};
    name_id id = other_name;
    bool is_group = false;         ///< its elements stand for themselves
    absence why = absence::blank;  ///< there is no value, as far as the tag says
    std::string_view not_value{};  ///< NV: not applicable, not recorded, not reporting
    std::string_view negative{};   ///< PN: refused, unable to complete and their like
    std::string_view unit_type{};  ///< ETCO2Type

    void take_name(std::string_view qualified);
    void take_attribute(std::string_view qualified, std::string_view value);
    /// When its name and all attributes are taken.
    void settle();
};

/// What an element says: a value, or why there is none.
struct element {
    std::string_view text{};
    const tag_meaning* tag = nullptr;

    bool is_answer() const {
        return !text.empty() || !tag->negative.empty() || !tag->not_value.empty();
    }
};

/// The elements of one report, in the order in which they begin. Views into its piece and to who
/// found them.
struct report_elements {
    std::span<const xml_element> all{};
    std::span<const tag_meaning> tags{};
    const char* piece = nullptr;
    /// The texts of all, where they are not as they stand in the piece.
    std::span<const std::string_view> texts{};
    /// Set where a text is asked for that is not as it stands: the piece must be parsed.
    mutable bool must_be_parsed = false;

    std::string_view text_of(std::uint32_t place) const {
        if (!texts.empty()) {
            return stripped(texts[place]);
        }
        const xml_element& e = all[place];
        const std::string_view text = stripped({piece + e.text_begin, e.text_end - e.text_begin});
        // What elements, comments and CDATA within leave of the text is for the parser to say.
        must_be_parsed = must_be_parsed || e.behind != place + 1 || holds(text, '&', '\r', '<');
        return text;
    }
};

/// One of them, in which others may lie.
class node {
public:
    node(const report_elements& of, std::uint32_t place) : of_(&of), place_(place) {}

    const tag_meaning& tag() const { return of_->tags[of_->all[place_].tag]; }
    name_id id() const { return tag().id; }
    /// Without the blanks and line ends around it. A text parted by a comment, CDATA or processing
    /// instruction is whole; an element within shows as `<>`, so that it is never taken for a
    /// value.
    std::string_view text() const { return of_->text_of(place_); }
    element content() const { return {text(), &tag()}; }

    node within() const { return {*of_, place_ + 1}; }
    node behind() const { return {*of_, of_->all[place_].behind}; }
    friend bool operator==(const node&, const node&) = default;

private:
    const report_elements* of_;
    std::uint32_t place_;
};

/// Elements next to each other.
class nodes {
public:
    struct iterator {
        node at;

        const node& operator*() const { return at; }
        iterator& operator++() {
            at = at.behind();
            return *this;
        }
        friend bool operator==(const iterator&, const iterator&) = default;
    };

    nodes(node first, node end) : first_(first), end_(end) {}
    iterator begin() const { return {first_}; }
    iterator end() const { return {end_}; }

private:
    node first_;
    node end_;
};

/// Those right in another, and those right in the report.
inline nodes children(const node& parent) { return {parent.within(), parent.behind()}; }
inline nodes sections(const report_elements& report) {
    return {{report, 0}, {report, static_cast<std::uint32_t>(report.all.size())}};
}

/// Calls `f(node)` for the elements of a section, those in its groups included.
template <class F>
void for_each_element(const node& section, F&& f) {
    for (node at = section.within(); at != section.behind();) {
        if (at.tag().is_group) {
            at = at.within();
            continue;
        }
        f(at);
        at = at.behind();
    }
}

/// Gives a plain piece's tags a meaning.
class plain_report {
public:
    /// Of a plain piece. Valid until the next call, and as long as the piece is.
    report_elements elements_of(const xml_piece& piece);

private:
    std::vector<tag_meaning> meanings_{};  // by the piece's tags
    std::uint64_t generation_ = 0;
};

}  // namespace vitalproof::read::nemsis
