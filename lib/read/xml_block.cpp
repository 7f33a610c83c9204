#include "read/xml_block.hpp"

#include <algorithm>

namespace vitalproof::read {

bool xml_block::fill(xml_splitter& from) {
    pieces_.clear();
    lines_.clear();
    elements_.clear();
    for (xml_piece piece;;) {
        switch (from.next_in_text(piece)) {
            case xml_splitter::step::given:
                add(piece, from);
                break;
            case xml_splitter::step::ended:
                if (!pieces_.empty()) {
                    from.leave_text(text_);
                }
                return !pieces_.empty();
            default:
                if (!pieces_.empty()) {
                    from.read_on(text_);
                    return true;
                }
                from.read_on();
        }
    }
}

void xml_block::add(const xml_piece& piece, const xml_splitter& from) {
    lines_.insert(lines_.end(), piece.marked_lines.begin(), piece.marked_lines.end());
    elements_.insert(elements_.end(), piece.elements.begin(), piece.elements.end());
    pieces_.push_back({.text = static_cast<std::size_t>(piece.text.data() - from.text()),
                       .text_size = piece.text.size(),
                       .lines = lines_.size(),
                       .elements = elements_.size(),
                       .tags = piece.is_plain ? from.tags() : nullptr,
                       .piece = piece});
}

xml_piece xml_block::piece(std::size_t at) {
    const place& of = pieces_[at];
    xml_piece piece = of.piece;
    piece.text = {text_.data() + of.text, of.text_size};
    const std::size_t lines = piece.marked_lines.size();
    piece.marked_lines = {lines_.data() + of.lines - lines, lines};
    const std::size_t elements = piece.elements.size();
    piece.elements = {elements_.data() + of.elements - elements, elements};
    return piece;
}

}  // namespace vitalproof::read
