#include "read/xml_splitter.hpp"

#include "read/angle_marks.hpp"

#include <algorithm>
#include <cstring>

namespace vitalproof::read {

namespace {

constexpr bool ends_name(char c) {
    return c == '>' || c == '/' || c == ' ' || c == '\n' || c == '\t' || c == '\r' || c == '<';
}

}  // namespace

// In one pass: half the work of splitting is here.
xml_splitter::tag xml_splitter::read_tag(std::string_view from) {
    tag read;
    read.closes = from.size() > 1 && from[1] == '/';
    std::size_t i = read.closes ? 2 : 1;
    std::size_t begin = i;
    for (; i < from.size() && !ends_name(from[i]); ++i) {
        begin = from[i] == ':' ? i + 1 : begin;
    }
    read.name = from.substr(begin, i - begin);
    char quote = 0;
    for (; i < from.size() && from[i] != '<'; ++i) {
        const char c = from[i];
        if (quote != 0) {
            quote = c == quote ? char{0} : quote;
        } else if (c == '>') {
            read.self_closing = from[i - 1] == '/';
            read.length = i + 1;
            return read;
        } else if (c == '"' || c == '\'') {
            quote = c;
        }
    }
    read.is_none = i < from.size();
    return read;
}

xml_splitter::xml_splitter(byte_source& source, std::string_view element, std::string_view marked,
                           const xml_bounds& bounds)
    : source_(source),
      element_(element),
      marked_(marked),
      bounds_(bounds),
      plain_(element, marked, bounds.deepest, bounds.most_elements) {
    data_.resize(2 * bounds.piece + plain_elements::readable);
}

bool xml_splitter::next(xml_piece& piece) {
    for (;;) {
        switch (next_in_text(piece)) {
            case step::given:
                return true;
            case step::ended:
                return false;
            default:
                read_on();
        }
    }
}

xml_splitter::step xml_splitter::next_in_text(xml_piece& piece) {
    if (is_used_up_) {
        return step::ended;
    }
    if (!open_) {
        marked_lines_.clear();  // the last one was given
    }
    step taken = step::on;
    while (taken == step::on && !has_document_type_) {
        taken = scan(piece);
    }
    if (taken == step::given) {
        return taken;
    }
    if (open_ && !has_document_type_ && end_ - start_ > bounds_.longest) {
        give(piece, xml_fault::too_long, at_);
        return step::given;
    }
    if (!has_document_type_ && !at_end_) {
        return step::starved;
    }
    if (!open_) {
        is_used_up_ = true;
        return step::ended;
    }
    give(piece, xml_fault::broken_off, has_document_type_ ? at_ : end_);
    return step::given;
}

// Lines are counted only where one is asked for; no place lies before the last that was.
std::uint64_t xml_splitter::line_at(std::size_t place) {
    line_ += count_line_ends(data_.data() + counted_, data_.data() + place);
    counted_ = place;
    return line_;
}

void xml_splitter::read_on() {
    if (const std::size_t used = open_ ? start_ : at_; used != 0) {
        line_at(at_);
        std::memmove(data_.data(), data_.data() + used, end_ - used);
        drop(used);
    }
    read_behind();
}

void xml_splitter::read_on(std::vector<char>& text) {
    const std::size_t used = open_ ? start_ : at_;
    line_at(at_);
    text.resize(std::max(text.size(), end_ - used + bounds_.piece + plain_elements::readable));
    std::memcpy(text.data(), data_.data() + used, end_ - used);
    data_.swap(text);
    drop(used);
    read_behind();
}

// What is used up stands before the text no more.
void xml_splitter::drop(std::size_t bytes) {
    counted_ -= bytes;
    at_ -= bytes;
    end_ -= bytes;
    start_ = 0;
}

void xml_splitter::read_behind() {
    plain_.forget_text();
    if (data_.size() - end_ < bounds_.piece + plain_elements::readable) {
        data_.resize(data_.size() + std::max(bounds_.piece, data_.size() / 2));
    }
    const std::ptrdiff_t got = source_.read(data_.data() + end_, bounds_.piece);
    if (got <= 0) {
        at_end_ = true;  // what is left is looked at once more, as the last there is
        trouble_ = got < 0 ? source_.trouble() : std::string{};
        return;
    }
    end_ += static_cast<std::size_t>(got);
}

xml_splitter::step xml_splitter::scan(xml_piece& piece) {
    if (!terminator_.empty()) {
        return skip_to_terminator();
    }
    if (open_ && plain_.is_plain() && take_plain(piece) == step::given) {
        return step::given;
    }
    const std::size_t open = left().find('<');
    if (open == std::string_view::npos) {
        at_ = end_;
        return step::starved;
    }
    at_ += open;
    return take_markup(piece);
}

// As far as all is plain; the rest is for take_markup().
xml_splitter::step xml_splitter::take_plain(xml_piece& piece) {
    const bool ended = plain_.walk(data_.data(), start_, at_, end_);
    for (const std::size_t place : plain_.marked()) {
        marked_lines_.push_back(line_at(start_ + place));
    }
    depth_ = plain_.depth();
    elements_ = plain_.count();
    if (!ended) {
        return step::on;
    }
    open_roots_ -= element_ == root_ ? 1 : 0;
    give(piece, xml_fault::none, at_);
    piece.is_plain = true;
    piece.elements = plain_.all();
    piece.tags = plain_.tags().get();
    piece.tag_count = plain_.tags()->count();
    return step::given;
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
    const tag read = read_tag(markup);
    if (read.length != 0) {
        return take_tag(piece, read);
    }
    if (!read.is_none && markup.size() <= bounds_.longest_tag && !at_end_) {
        return step::starved;
    }
    plain_.is_not_plain();
    ++at_;
    return step::on;
}

xml_splitter::step xml_splitter::pass_to_terminator(std::string_view opening,
                                                    std::string_view terminator) {
    terminator_ = terminator;
    unended_line_ = line_at(at_);
    plain_.is_not_plain();
    at_ += opening.size();
    return step::on;
}

xml_splitter::step xml_splitter::skip_to_terminator() {
    const std::size_t found = left().find(terminator_);
    if (found == std::string_view::npos) {
        // Its first characters may be the last of what was read.
        at_ = end_ - std::min(end_ - at_, terminator_.size() - 1);
        return step::starved;
    }
    at_ += found + terminator_.size();
    terminator_ = {};
    return step::on;
}

xml_splitter::step xml_splitter::take_tag(xml_piece& piece, const tag& read) {
    const bool begins = !read.closes && read.name == element_;
    if (begins && open_) {
        give(piece, xml_fault::begun_again, at_);  // this tag is met again, outside
        return step::given;
    }
    if (root_.empty() && !read.closes) {
        root_ = read.name;
        plain_.know_root(root_);
    }
    if (!read.self_closing && read.name == root_) {
        open_roots_ += read.closes ? -1 : 1;
    }
    if (begins) {
        return begin(piece, read);
    }
    if (open_) {
        return take_inside(piece, read);
    }
    const bool is_stray = !read.closes && read.name == marked_;
    if (is_stray) {
        start_ = at_;
        start_line_ = line_at(at_);
        marked_lines_.push_back(start_line_);
    }
    at_ += read.length;
    if (is_stray) {
        give(piece, xml_fault::stray, at_);
    }
    return is_stray ? step::given : step::on;
}

xml_splitter::step xml_splitter::take_inside(xml_piece& piece, const tag& read) {
    plain_.is_not_plain();
    if (read.closes && read.name == element_) {
        at_ += read.length;
        give(piece, fault_, at_);
        return step::given;
    }
    if (!read.closes && read.name == marked_) {
        marked_lines_.push_back(line_at(at_));
    }
    depth_ += !read.closes && !read.self_closing ? 1 : 0;
    depth_ -= read.closes && depth_ > 0 ? 1 : 0;
    elements_ += read.closes ? 0 : 1;
    if (depth_ > bounds_.deepest) {
        fault_ = xml_fault::too_deep;
    } else if (elements_ > bounds_.most_elements) {
        fault_ = xml_fault::too_many;
    }
    at_ += read.length;
    return step::on;
}

xml_splitter::step xml_splitter::begin(xml_piece& piece, const tag& read) {
    open_ = true;
    start_ = at_;
    start_line_ = line_at(at_);
    depth_ = 0;
    elements_ = 0;
    fault_ = xml_fault::none;
    at_ += read.length;
    plain_.begin({data_.data() + start_, read.length}, at_);
    if (read.self_closing) {
        give(piece, xml_fault::none, at_);
        return step::given;
    }
    return step::on;
}

void xml_splitter::give(xml_piece& piece, xml_fault fault, std::size_t end) {
    line_at(at_);  // while the text is as it was read
    piece.text = {data_.data() + start_, end - start_};
    piece.line = start_line_;
    piece.fault = fault;
    piece.marked_lines = marked_lines_;
    piece.is_plain = false;
    piece.elements = {};
    open_ = false;
}

}  // namespace vitalproof::read
