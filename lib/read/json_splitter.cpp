#include "read/json_splitter.hpp"

#include "read/text.hpp"

#include <algorithm>

namespace vitalproof::read {

namespace {

constexpr std::size_t window_size = std::size_t{1} << 18;
constexpr std::size_t longest_text = 64;   // of a key or type that matters
constexpr std::size_t most_open = 4096;    // beyond it brackets are not even counted
constexpr std::size_t bytes_beyond = 64;   // as many as simdjson may read
constexpr std::size_t depth_of_entry = 3;  // Bundle, its array, the entry
constexpr std::string_view sought = "\"resource\"";

constexpr bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

std::string_view after_spaces(std::string_view text) {
    const std::size_t at = text.find_first_not_of(" \t\r\n");
    return at == std::string_view::npos ? std::string_view() : text.substr(at);
}

}  // namespace

json_splitter::json_splitter(byte_source& from, const json_bounds& bounds)
    : from_(from), bounds_(bounds), window_(std::make_unique_for_overwrite<char[]>(window_size)) {}

bool json_splitter::next(json_piece& piece) {
    while (more()) {
        if (step()) {
            piece = piece_;
            return true;
        }
    }
    ended_inside_ = ended_inside_ || (!open_.empty() && state_ != state::lost);
    open_.clear();
    if (!ended_inside_ || !in_piece_) {
        return false;
    }
    give_fault(json_fault::broken_off);
    piece = piece_;
    return true;
}

bool json_splitter::more() {
    if (at_ != end_) {
        return true;
    }
    keep_captured();
    at_ = end_ = from_here_ = window_.get();
    std::ptrdiff_t got = 0;
    do {
        got = from_.read(window_.get() + (end_ - at_),
                         window_size - static_cast<std::size_t>(end_ - at_));
        end_ += std::max<std::ptrdiff_t>(got, 0);
    } while (first_window_ && got > 0 && end_ != at_ + window_size);  // a look needs all of it
    if (first_window_ && at_ != end_) {
        look_for_lines();
    }
    first_window_ = false;
    return at_ != end_;
}

// The first look: past a byte order mark, and at whether the second line begins a resource. Files
// of one resource a line may have a broken one first.
void json_splitter::look_for_lines() {
    constexpr std::string_view mark = "\xEF\xBB\xBF";
    std::string_view text(at_, static_cast<std::size_t>(end_ - at_));
    at_ += text.starts_with(mark) ? mark.size() : 0;
    const std::size_t end = text.find('\n');
    if (end == std::string_view::npos || end + 1 == text.size() || text[end + 1] != '{') {
        return;
    }
    text = after_spaces(text.substr(end + 2));
    by_line_ = text.starts_with("\"resourceType\"");
}

bool json_splitter::step() {
    switch (state_) {
        case state::between:
            return step_between();
        case state::structure: {
            const bool given = step_structure();
            after_quote_ = false;
            return given;
        }
        case state::text:
            return step_text();
        case state::scalar:
            return step_scalar();
        case state::lost:
            break;
    }
    return step_lost();
}

bool json_splitter::step_between() {
    const char c = *at_;
    if (is_space(c)) {
        by_line_ = by_line_ || (c == '\n' && first_on_a_line_);
        ++at_;
        return false;
    }
    first_on_a_line_ = false;
    if (c != '{') {
        return give_fault(json_fault::malformed);
    }
    any_newline_ = container_ = in_entries_ = false;
    container_type_.clear();
    full_url_.clear();
    begin_piece();
    return open(c);
}

bool json_splitter::step_structure() {
    const char c = *at_;
    if (is_space(c)) {
        return step_space(c);
    }
    const bool may_be_value = expected_ == expected::value || expected_ == expected::value_or_end;
    const bool may_be_key = expected_ == expected::key || expected_ == expected::key_or_end;
    switch (c) {
        case '}':
        case ']':
            return close(c);
        case ':':
        case ',':
            return step_separator(c);
        case '"':
            is_key_ = may_be_key;
            if (may_be_key || may_be_value) {
                begin_text();
                return false;
            }
            break;
        case '{':
        case '[':
            if (may_be_value) {
                return open(c);
            }
            break;
        default:
            if (may_be_value) {
                state_ = state::scalar;
                return false;
            }
            break;
    }
    return give_fault(json_fault::malformed);
}

bool json_splitter::step_space(char c) {
    if (c == '\n' && by_line_) {
        return give_fault(json_fault::malformed);
    }
    any_newline_ = any_newline_ || c == '\n';
    ++at_;
    return false;
}

bool json_splitter::step_separator(char c) {
    if (expected_ != (c == ':' ? expected::colon : expected::comma_or_end)) {
        return give_fault(json_fault::malformed);
    }
    expected_ = c == ',' && open_.back() == '{' ? expected::key : expected::value;
    ++at_;
    return false;
}

void json_splitter::begin_text() {
    const std::size_t depth = open_.size();
    keep_text_ = depth == 1 || (in_piece_ && depth == outside_ + 1) || is_entry();
    text_.clear();
    escaped_ = false;
    state_ = state::text;
    ++at_;
}

// Whether what is read stands in an entry itself, not in its resource.
bool json_splitter::is_entry() const {
    return in_entries_ && open_.size() == depth_of_entry && open_.back() == '{';
}

bool json_splitter::step_text() {
    const char* begin = at_;
    while (at_ != end_ && *at_ != '\n' && (escaped_ || *at_ != '"')) {
        escaped_ = !escaped_ && *at_ == '\\';
        ++at_;
    }
    if (keep_text_ && text_.size() <= longest_text) {
        text_.append(
            begin, std::min<std::size_t>(static_cast<std::size_t>(at_ - begin), longest_text + 1));
    }
    if (at_ == end_) {
        return false;
    }
    if (*at_ == '\n') {
        return give_fault(json_fault::malformed);  // no JSON text goes over a line's end
    }
    ++at_;
    end_text();
    return false;
}

void json_splitter::end_text() {
    state_ = state::structure;
    after_quote_ = true;
    if (text_.size() > longest_text) {
        text_.clear();
    }
    if (is_key_) {
        std::swap(key_, text_);
        expected_ = expected::colon;
        return;
    }
    expected_ = expected::comma_or_end;
    if (!keep_text_ || open_.back() != '{') {
        return;
    }
    if (key_ == "resourceType") {
        (open_.size() == 1 ? container_type_ : type_) = text_;
    } else if (key_ == "fullUrl" && is_entry()) {
        full_url_ = text_;
    }
}

// Numbers, true, false, null and what is none of them, which the parser will say.
bool json_splitter::step_scalar() {
    static constexpr std::string_view ends = ",:\"{}[] \t\r\n";
    at_ = std::find_if(at_, end_, [](char c) { return ends.find(c) != std::string_view::npos; });
    if (at_ != end_) {
        state_ = state::structure;
        expected_ = expected::comma_or_end;
    }
    return false;
}

bool json_splitter::open(char bracket) {
    if (open_.size() == most_open) {
        return give_fault(json_fault::too_deep);
    }
    const std::size_t depth = open_.size();
    if (in_piece_ && depth - outside_ == bounds_.deepest) {
        stop_capture(json_fault::too_deep);
    }
    if (depth == 1 && bracket == '[' && key_ == "entry") {
        container_ = in_entries_ = true;
        in_piece_ = false;
        captured_.clear();
    } else if (bracket == '{' && is_entry() && key_ == "resource") {
        begin_piece();
    } else if (bracket == '{' && in_entries_ && depth + 1 == depth_of_entry) {
        full_url_.clear();
    }
    open_.push_back(bracket);
    key_.clear();
    expected_ = bracket == '{' ? expected::key_or_end : expected::value_or_end;
    state_ = state::structure;
    ++at_;
    return false;
}

bool json_splitter::close(char bracket) {
    const bool is_object = bracket == '}';
    const bool fits = open_.back() == (is_object ? '{' : '[') &&
                      (expected_ == expected::comma_or_end ||
                       expected_ == (is_object ? expected::key_or_end : expected::value_or_end));
    if (!fits) {
        return give_fault(json_fault::malformed);
    }
    open_.pop_back();
    ++at_;
    expected_ = expected::comma_or_end;
    if (open_.size() == 1) {
        in_entries_ = false;
    }
    if (open_.empty()) {
        state_ = state::between;
        first_on_a_line_ = !any_object_ && !any_newline_;
        any_object_ = true;
        type_ = container_type_;
        return container_ ? give_container() : give_piece();
    }
    return in_piece_ && open_.size() == outside_ && give_piece();
}

void json_splitter::begin_piece() {
    in_piece_ = true;
    outside_ = open_.size();
    fault_ = json_fault::none;
    type_.clear();
    captured_.clear();
    from_here_ = at_;
}

void json_splitter::keep_captured() {
    if (!in_piece_ || fault_ != json_fault::none) {
        return;
    }
    const auto size = static_cast<std::size_t>(at_ - from_here_);
    if (size > bounds_.longest - captured_.size()) {
        stop_capture(json_fault::too_long);
        return;
    }
    captured_.append(from_here_, size);
    from_here_ = at_;
}

void json_splitter::stop_capture(json_fault why) {
    fault_ = fault_ == json_fault::none ? why : fault_;
    captured_.clear();
}

bool json_splitter::give_piece() {
    keep_captured();
    in_piece_ = false;
    piece_ = {.type = type_, .full_url = full_url_, .fault = fault_};
    if (fault_ == json_fault::none) {
        const std::size_t size = captured_.size();
        captured_.append(bytes_beyond, ' ');
        piece_.text = std::string_view(captured_).substr(0, size);
    }
    return true;
}

bool json_splitter::give_container() {
    in_piece_ = false;
    piece_ = {.type = type_, .container = true};
    return true;
}

bool json_splitter::give_fault(json_fault why) {
    piece_ = {.fault = in_piece_ && fault_ != json_fault::none ? fault_ : why};
    if (in_piece_) {
        piece_.type = outside_ == 0 ? container_type_ : type_;
    }
    in_piece_ = false;
    captured_.clear();
    state_ = state::lost;
    matched_ = after_quote_ ? 1 : 0;  // where a text did not close, the next one's quote closed it
    line_begins_ = false;
    // A first object that breaks at the end of its line: there is one on each.
    const bool at_line_end = at_ != end_ && *at_ == '\n';
    by_line_ = by_line_ || (at_line_end && !any_object_ && !any_newline_ && !container_);
    return true;
}

bool json_splitter::step_lost() {
    const char c = *at_;
    if (c == '\n') {
        in_entries_ = in_entries_ && !by_line_;
        line_begins_ = true;
    } else if (!in_entries_ && line_begins_ && c == '{') {
        open_.clear();
        state_ = state::between;
        return false;
    } else if (in_entries_ && find_resource(c)) {
        open_ = "{[{";
        full_url_.clear();
        begin_piece();
        return open(c);
    } else if (c != '\r') {
        line_begins_ = false;
    }
    ++at_;
    return false;
}

// Whether c is the brace of a "resource": what comes before is followed character by character.
bool json_splitter::find_resource(char c) {
    if (matched_ < sought.size()) {
        matched_ = c == sought[matched_] ? matched_ + 1 : c == sought[0] ? 1 : 0;
        return false;
    }
    if (matched_ == sought.size() && c == ':') {
        ++matched_;
    } else if (matched_ > sought.size() && c == '{') {
        return true;
    } else if (!is_space(c)) {
        matched_ = c == sought[0] ? 1 : 0;
    }
    return false;
}

}  // namespace vitalproof::read
