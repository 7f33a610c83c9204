#include "read/xml_splitter.hpp"

#include <algorithm>
#include <cstring>

namespace vitalproof::read {

namespace {

// A name in a tag, without its prefix.
std::string_view local_name(std::string_view tag) {
    std::string_view name = tag.substr(0, tag.find_first_of(" \t\r\n/>"));
    const std::size_t colon = name.find(':');
    return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

// The end of a tag, which an attribute's value may seem to hold; npos where it is not there yet.
std::size_t end_of_tag(std::string_view from) {
    const std::size_t end = from.find('>');
    if (end == std::string_view::npos || from.substr(0, end).find('=') == std::string_view::npos) {
        return end;
    }
    char quote = 0;
    for (std::size_t i = 0; i < from.size(); ++i) {
        const char c = from[i];
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

bool xml_splitter::refill() {
    if (at_end_) {
        return false;
    }
    const std::size_t keep = inside() ? start_ : at_;
    std::memmove(data_.data(), data_.data() + keep, end_ - keep);
    at_ -= keep;
    end_ -= keep;
    start_ = 0;
    if (data_.size() - end_ < bounds_.piece) {
        data_.resize(data_.size() + std::max(bounds_.piece, data_.size() / 2));
    }
    const std::ptrdiff_t got = source_.read(data_.data() + end_, bounds_.piece);
    if (got <= 0) {
        at_end_ = true;
        trouble_ = got < 0 ? source_.trouble() : std::string{};
        return false;
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
        terminator_ = "-->";
        pass(at_ + 4);
        return step::on;
    }
    if (markup.starts_with(cdata)) {
        terminator_ = "]]>";
        pass(at_ + cdata.size());
        return step::on;
    }
    if (markup.starts_with("<?")) {
        terminator_ = "?>";
        pass(at_ + 2);
        return step::on;
    }
    if (markup.starts_with("<!")) {
        has_document_type_ = true;
        return step::on;
    }
    const std::size_t end = end_of_tag(markup);
    if (end == std::string_view::npos) {
        if (!inside() && markup.size() > bounds_.longest) {
            pass(at_ + 1);  // no tag is as long
            return step::on;
        }
        return step::starved;
    }
    return take_tag(piece, end + 1);
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
    if (root_.empty() && !closes) {
        root_ = name;
    }
    if (!closes && name == element_) {
        return begin(piece, self_closing, length);
    }
    if (inside()) {
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
    }
    pass(at_ + length);
    return step::on;
}

xml_splitter::step xml_splitter::begin(xml_piece& piece, bool self_closing, std::size_t length) {
    if (inside()) {
        give(piece, xml_fault::begun_again, at_);  // this tag is met again, outside
        return step::given;
    }
    open_ = !self_closing;
    start_ = at_;
    start_line_ = line_;
    depth_ = 0;
    too_deep_ = false;
    pass(at_ + length);
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
