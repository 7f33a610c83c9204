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
    : element_(element), marked_name_(marked) {
    elements_.resize(std::min(most_elements, most) + 1);
    last_element_ = elements_.data() + elements_.size() - 1;
    open_.resize(std::min(deepest, most) + 1);
    deepest_open_ = open_.data() + open_.size() - 1;
}

void plain_elements::begin(std::string_view start_tag, std::size_t at) {
    const plain_tag tag = take_apart(start_tag, [](std::string_view, std::string_view) {});
    is_plain_ = !tag.name.empty() && !tag.self_closing && at >= nul_until_;
    end_tag_.assign("</").append(tag.name).append(">");
    count_ = 0;
    depth_ = 0;
    if (tags_->is_nearly_full()) {
        tags_ = std::make_shared<xml_tags>(tags_->generation() + 1);
    }
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

// The next mark is the first at `at` or behind it.
void plain_elements::look_from(const char* text, std::size_t at, std::size_t end) {
    if (at >= window_end_) {
        mark_from(text, at, end);
    }
    while (next_ < marks_.count && window_ + marks_.places[next_] < at) {
        ++next_;
    }
}

// A comment or CDATA that ends, in which brackets are none. Of a text with one in it the reader of
// the elements asks a parser.
bool plain_elements::pass_hidden(const char* text, std::size_t& at, std::size_t end) {
    constexpr std::string_view comment = "<!--";
    constexpr std::string_view cdata = "<![CDATA[";
    const std::string_view rest(text + at, end - at);
    const std::size_t last = rest.starts_with(comment) ? rest.find("-->", comment.size())
                             : rest.starts_with(cdata) ? rest.find("]]>", cdata.size())
                                                       : std::string_view::npos;
    if (last == std::string_view::npos ||
        rest.substr(0, last).find('\0') != std::string_view::npos) {
        return false;
    }
    at += last + 3;
    look_from(text, at, end);
    return true;
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

// What a walk changes at every tag. A local of walk(), so that its members stay in registers.
struct plain_elements::walker {
    plain_elements& of;
    xml_tags& tags;
    const char* piece;
    const char* window;
    const std::uint16_t* mark;  // the next
    const std::uint16_t* marks_end;
    xml_element* element;  // where the next element goes
    std::uint32_t* open;   // and its number, where others may lie in it
    std::uint32_t last_tag = 0;

    void see(const char* text) {
        window = text + of.window_;
        mark = of.marks_.places.data() + of.next_;
        marks_end = of.marks_.places.data() + of.marks_.count;
    }
    void leave() {
        of.next_ = static_cast<std::size_t>(mark - of.marks_.places.data());
        of.count_ = static_cast<std::size_t>(element - of.elements_.data());
        of.depth_ = static_cast<std::size_t>(open - of.open_.data());
    }
    bool take_end(const char* tag, std::size_t length);
    bool take_start(const char* tag, std::size_t length);
};

[[gnu::always_inline]] inline bool plain_elements::walker::take_end(const char* tag,
                                                                    std::size_t length) {
    if (open == of.open_.data()) {
        return false;
    }
    xml_element* const elements = of.elements_.data();
    xml_element& ended = elements[open[-1]];
    const xml_tag& begun = tags[ended.tag];
    if (length != begun.name_length + std::size_t{3} ||
        !are_same(tag + 2, begun.bytes.data() + 1, begun.name_length)) {
        return false;
    }
    ended.text_end = static_cast<std::uint32_t>(tag - piece);
    ended.behind = static_cast<std::uint32_t>(element - elements);
    --open;
    return true;
}

[[gnu::always_inline]] inline bool plain_elements::walker::take_start(const char* tag,
                                                                      std::size_t length) {
    std::uint32_t known = tags.find_behind(last_tag, tag, length);
    if (known == xml_tags::none) {
        known = of.add({tag, length});
        if (known == xml_tags::none) {
            return false;
        }
    }
    last_tag = known;
    const xml_tag& met = tags[known];
    const auto begin = static_cast<std::uint32_t>(tag - piece);
    const std::ptrdiff_t opens = met.self_closing ? 0 : 1;
    if (open + opens > of.deepest_open_ || element == of.last_element_ ||
        (met.is_watched && !of.note(met, begin))) {
        return false;
    }
    const auto number = static_cast<std::uint32_t>(element - of.elements_.data());
    const std::uint32_t text = begin + static_cast<std::uint32_t>(length);
    *element++ = {.tag = known, .text_begin = text, .text_end = text, .behind = number + 1};
    *open = number;
    open += opens;
    return true;
}

bool plain_elements::walk(const char* text, std::size_t start, std::size_t& at, std::size_t end) {
    marked_.clear();
    look_from(text, at, end);
    walker on{.of = *this,
              .tags = *tags_,
              .piece = text + start,
              .window = nullptr,
              .mark = nullptr,
              .marks_end = nullptr,
              .element = elements_.data() + count_,
              .open = open_.data() + depth_};
    on.see(text);
    while (is_plain_) {
        if (on.marks_end - on.mark < 2) {
            on.leave();
            if (!has_pair(text, at, end)) {
                return false;
            }
            on.see(text);
        }
        const char* const tag = on.window + on.mark[0];
        const char* const last = on.window + on.mark[1];
        if (*tag == '>') {
            ++on.mark;  // of a text
            continue;
        }
        const std::size_t length = static_cast<std::size_t>(last - tag) + 1;
        if (*last != '>' ||
            !(tag[1] == '/' ? on.take_end(tag, length) : on.take_start(tag, length))) {
            on.leave();
            at = static_cast<std::size_t>(tag - text);
            if (pass_hidden(text, at, end)) {
                on.see(text);
                continue;
            }
            const bool ends = depth_ == 0 && end_tag_ == std::string_view(tag, length);
            at += ends ? length : 0;
            return ends;
        }
        on.mark += 2;
    }
    return false;
}

std::uint32_t plain_elements::add(std::string_view tag) {
    const std::uint32_t place = tags_->add(tag);
    if (place != xml_tags::none) {
        const std::string_view name = local_name((*tags_)[place].qualified_name());
        (*tags_)[place].is_watched = name == element_ || name == marked_name_ || name == root_;
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
