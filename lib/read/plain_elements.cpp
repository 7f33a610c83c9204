#include "read/plain_elements.hpp"

#include "read/plain_tag.hpp"

#include <algorithm>

namespace vitalproof::read {

namespace {

constexpr std::size_t most = std::size_t{1} << 16;  // elements, so that memory is bounded

std::string_view local_name(std::string_view name) { return name.substr(name.rfind(':') + 1); }

}  // namespace

plain_elements::plain_elements(std::string_view element, std::string_view marked,
                               std::size_t deepest, std::size_t most_elements)
    : element_(element),
      marked_name_(marked),
      deepest_(std::min(deepest, most)),
      most_elements_(std::min(most_elements, most)) {
    elements_.resize(1024);
    open_.resize(deepest_ + 1);
}

void plain_elements::begin(std::string_view start_tag, std::size_t at) {
    const plain_tag tag = take_apart(start_tag, [](std::string_view, std::string_view) {});
    is_plain_ = !tag.name.empty() && !tag.self_closing && at >= nul_until_;
    end_tag_.assign("</").append(tag.name).append(">");
    count_ = 0;
    depth_ = 0;
    tags_.make_room();
}

void plain_elements::forget_text() {
    marks_.count = 0;
    next_ = 0;
    window_end_ = 0;
    nul_until_ = 0;
}

void plain_elements::mark_from(const char* text, std::size_t from, std::size_t end) {
    window_ = from;
    window_end_ = std::min(end, from + angle_marks::window);
    next_ = 0;
    mark_angles(text + window_, window_end_ - window_, marks_);
    if (marks_.any_nul) {
        nul_until_ = window_end_;
        is_plain_ = false;
    }
}

// Whether two brackets are there to be looked at; else `at` is put where no tag was missed.
bool plain_elements::has_pair(const char* text, std::size_t& at, std::size_t end) {
    while (is_plain_ && next_ + 1 >= marks_.count) {
        at = next_ < marks_.count ? window_ + marks_.places[next_] : window_end_;
        if (at == window_ || window_end_ == end) {
            return false;
        }
        mark_from(text, at, end);
    }
    return is_plain_;
}

bool plain_elements::walk(const char* text, std::size_t start, std::size_t& at, std::size_t end) {
    marked_.clear();
    if (at >= window_end_) {
        mark_from(text, at, end);
        if (!is_plain_) {
            return false;
        }
    }
    while (next_ < marks_.count && window_ + marks_.places[next_] < at) {
        ++next_;
    }
    while (next_ + 1 < marks_.count || has_pair(text, at, end)) {
        const char* const tag = text + window_ + marks_.places[next_];
        const char* const last = text + window_ + marks_.places[next_ + 1];
        if (*tag == '>') {
            ++next_;  // of a text
            continue;
        }
        at = static_cast<std::size_t>(tag - text);
        const std::size_t length = static_cast<std::size_t>(last - tag) + 1;
        const auto place = static_cast<std::uint32_t>(at - start);
        if (*last != '>') {
            return false;
        }
        if (tag[1] != '/') {
            if (!take_start(tag, length, place)) {
                return false;
            }
        } else if (depth_ == 0) {
            const bool ends = end_tag_ == std::string_view(tag, length);
            at += ends ? length : 0;
            return ends;
        } else if (!take_end(tag, length, place)) {
            return false;
        }
        next_ += 2;
    }
    return false;
}

bool plain_elements::take_end(const char* tag, std::size_t length, std::uint32_t place) {
    xml_element& ended = elements_[open_[depth_ - 1]];
    const xml_tag& begun = tags_[ended.tag];
    if (length != begun.name_length + std::size_t{3} ||
        !are_same(tag + 2, begun.bytes.data() + 1, begun.name_length)) {
        return false;
    }
    ended.text_end = place;
    ended.behind = static_cast<std::uint32_t>(count_);
    --depth_;
    return true;
}

bool plain_elements::take_start(const char* tag, std::size_t length, std::uint32_t place) {
    std::uint32_t known = tags_.find(tag, length);
    if (known == xml_tags::none) {
        known = add({tag, length});
        if (known == xml_tags::none) {
            return false;
        }
    }
    const xml_tag& met = tags_[known];
    const std::size_t depth = depth_ + (met.self_closing ? 0 : 1);
    if (depth > deepest_ || count_ == most_elements_ || (met.is_watched && !note(met, place))) {
        return false;
    }
    if (count_ == elements_.size()) {
        elements_.resize(2 * count_);
    }
    const auto text = place + static_cast<std::uint32_t>(length);
    const auto number = static_cast<std::uint32_t>(count_++);
    elements_[number] = {.tag = known, .text_begin = text, .text_end = text, .behind = number + 1};
    open_[depth_] = number;
    depth_ = depth;
    return true;
}

std::uint32_t plain_elements::add(std::string_view tag) {
    const std::uint32_t place = tags_.add(tag);
    if (place != xml_tags::none) {
        const std::string_view name = local_name(tags_[place].qualified_name());
        tags_[place].is_watched = name == element_ || name == marked_name_ || name == root_;
    }
    return place;
}

// Whether a watched tag may stand within a piece.
bool plain_elements::note(const xml_tag& tag, std::uint32_t place) {
    const std::string_view name = local_name(tag.qualified_name());
    if (name == element_ || name == root_) {
        return false;
    }
    marked_.push_back(place);
    return true;
}

}  // namespace vitalproof::read
