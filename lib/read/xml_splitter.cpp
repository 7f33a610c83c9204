#include "read/xml_splitter.hpp"

#include <algorithm>
#include <cstring>

namespace vitalproof::read {

namespace {

// A name in a tag, without its prefix.
std::string_view local_name(std::string_view tag) {
    std::size_t begin = 0;
    for (std::size_t i = 0; i < tag.size(); ++i) {
        const char c = tag[i];
        if (c == ':') {
            begin = i + 1;
        } else if (c == '>' || c == '/' || c == ' ' || c == '\n' || c == '\t' || c == '\r') {
            return tag.substr(begin, i - begin);
        }
    }
    return tag.substr(begin);
}

// The end of a tag, past any that an attribute's value holds; npos where it has none.
std::size_t end_of_tag(std::string_view tag) {
    const std::size_t end = tag.find('>');
    if (end == std::string_view::npos || tag.substr(0, end).find('=') == std::string_view::npos) {
        return end;
    }
    char quote = 0;
    for (std::size_t i = 0; i < tag.size(); ++i) {
        const char c = tag[i];
        if (quote != 0) {
            quote = c == quote ? char{0} : quote;
        } else if (c == '"' || c == '\'') {
            quote = c;
        } else if (c == '>') {
            return i;
        }
    }
    return std::string_view::npos;
}

}  // namespace

xml_splitter::xml_splitter(byte_source& source, std::string_view element, std::string_view marked,
                           const xml_bounds& bounds)
    : source_(source), element_(element), marked_(marked), bounds_(bounds) {
    data_.resize(2 * bounds.piece);
}

bool xml_splitter::next(xml_piece& piece) {
    marked_lines_.clear();  // no element is open: the last one was given
    for (;;) {
        if (has_document_type_) {
            if (inside()) {
                give(piece, xml_fault::broken_off, at_);
                return true;
            }
            return false;
        }
        switch (scan(piece)) {
            case step::given:
                return true;
            case step::on:
                break;
            case step::starved:
                if (inside() && end_ - start_ > bounds_.longest) {
                    give(piece, xml_fault::too_long, at_);
                    return true;
                }
                if (!refill()) {
                    if (!inside()) {
                        return false;
                    }
                    give(piece, xml_fault::broken_off, end_);
                    return true;
                }
                break;
        }
    }
}

// Counts the lines passed.
void xml_splitter::pass(std::size_t to) {
    const auto from = data_.begin() + static_cast<std::ptrdiff_t>(at_);
    line_ += static_cast<std::uint64_t>(
        std::count(from, data_.begin() + static_cast<std::ptrdiff_t>(to), '\n'));
    at_ = to;
}

// False where all was looked at.
bool xml_splitter::refill() {
    if (at_end_) {
        return false;
    }
    if (const std::size_t keep = inside() ? start_ : at_; keep != 0) {
        std::memmove(data_.data(), data_.data() + keep, end_ - keep);
        at_ -= keep;
        end_ -= keep;
    }
    start_ = 0;
    if (data_.size() - end_ < bounds_.piece) {
        data_.resize(data_.size() + std::max(bounds_.piece, data_.size() / 2));
    }
    const std::ptrdiff_t got = source_.read(data_.data() + end_, bounds_.piece);
    if (got <= 0) {
        at_end_ = true;
        trouble_ = got < 0 ? source_.trouble() : std::string{};
        return true;  // what is left is looked at once more, as the last there is
    }
    end_ += static_cast<std::size_t>(got);
    return true;
}

xml_splitter::step xml_splitter::scan(xml_piece& piece) {
    if (!terminator_.empty()) {
        return skip_to_terminator();
    }
    const std::size_t open = left().find('<');
    if (open == std::string_view::npos) {
        pass(end_);
        return step::starved;
    }
    pass(at_ + open);
    return take_markup(piece);
}

xml_splitter::step xml_splitter::take_markup(xml_piece& piece) {
    constexpr std::string_view cdata = "<![CDATA[";
    const std::string_view markup = left();
    if (markup.size() < cdata.size() && !at_end_) {
        return step::starved;
    }
    if (markup.starts_with("<!--")) {
        return pass_to_terminator("<!--", "-->");
    }
    if (markup.starts_with(cdata)) {
        return pass_to_terminator(cdata, "]]>");
    }
    if (markup.starts_with("<?")) {
        return pass_to_terminator("<?", "?>");
    }
    if (markup.starts_with("<!")) {
        has_document_type_ = true;
        return step::on;
    }
    // No tag holds another '<', not even in an attribute's value.
    const std::size_t next = markup.find('<', 1);
    const std::size_t end = end_of_tag(markup.substr(0, next));
    if (end != std::string_view::npos) {
        return take_tag(piece, end + 1);
    }
    if (next == std::string_view::npos && markup.size() <= bounds_.longest_tag && !at_end_) {
        return step::starved;
    }
    pass(at_ + 1);
    return step::on;
}

xml_splitter::step xml_splitter::pass_to_terminator(std::string_view opening,
                                                    std::string_view terminator) {
    terminator_ = terminator;
    unended_line_ = line_;
    pass(at_ + opening.size());
    return step::on;
}

xml_splitter::step xml_splitter::skip_to_terminator() {
    const std::size_t found = left().find(terminator_);
    if (found == std::string_view::npos) {
        // Its first characters may be the last of what was read.
        pass(std::max(at_, end_ - std::min(end_ - at_, terminator_.size() - 1)));
        return step::starved;
    }
    pass(at_ + found + terminator_.size());
    terminator_ = {};
    return step::on;
}

xml_splitter::step xml_splitter::take_tag(xml_piece& piece, std::size_t length) {
    const std::string_view tag = left().substr(0, length);
    const bool closes = tag.starts_with("</");
    const bool self_closing = tag.ends_with("/>");
    const std::string_view name = local_name(tag.substr(closes ? 2 : 1));
    const bool begins = !closes && name == element_;
    if (begins && inside()) {
        give(piece, xml_fault::begun_again, at_);  // this tag is met again, outside
        return step::given;
    }
    if (root_.empty() && !closes) {
        root_ = name;
    }
    if (!self_closing && name == root_) {
        open_roots_ += closes ? -1 : 1;
    }
    if (begins) {
        return begin(piece, self_closing, length);
    }
    if (inside()) {
        return take_inside(piece, name, length, closes, self_closing);
    }
    const bool is_stray = !closes && name == marked_;
    if (is_stray) {
        start_ = at_;
        start_line_ = line_;
        marked_lines_.push_back(line_);
    }
    pass(at_ + length);
    if (is_stray) {
        give(piece, xml_fault::stray, at_);
    }
    return is_stray ? step::given : step::on;
}

xml_splitter::step xml_splitter::take_inside(xml_piece& piece, std::string_view name,
                                             std::size_t length, bool closes, bool self_closing) {
    if (closes && name == element_) {
        pass(at_ + length);
        give(piece, too_deep_ ? xml_fault::too_deep : xml_fault::none, at_);
        return step::given;
    }
    if (!closes && name == marked_) {
        marked_lines_.push_back(line_);
    }
    depth_ += !closes && !self_closing ? 1 : 0;
    depth_ -= closes && depth_ > 0 ? 1 : 0;
    too_deep_ = too_deep_ || depth_ > bounds_.deepest;
    pass(at_ + length);
    return step::on;
}

xml_splitter::step xml_splitter::begin(xml_piece& piece, bool self_closing, std::size_t length) {
    open_ = true;
    start_ = at_;
    start_line_ = line_;
    depth_ = 0;
    too_deep_ = false;
    pass(at_ + length);
    if (self_closing) {
        give(piece, xml_fault::none, at_);
        return step::given;
    }
    return step::on;
}

void xml_splitter::give(xml_piece& piece, xml_fault fault, std::size_t end) {
    piece.text = {data_.data() + start_, end - start_};
    piece.line = start_line_;
    piece.fault = fault;
    piece.marked_lines = marked_lines_;
    open_ = false;
}

}  // namespace vitalproof::read
