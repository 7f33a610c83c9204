#include "read/xml_tags.hpp"

#include "read/plain_tag.hpp"

#include <algorithm>

namespace vitalproof::read {

std::uint32_t xml_tags::add(std::string_view tag) {
    if (count_ == most || tag.size() > xml_tag::longest) {
        return none;
    }
    const plain_tag plain = take_apart(tag, [](std::string_view, std::string_view) {});
    if (plain.name.empty()) {
        return none;
    }
    std::size_t slot = slot_of(tag.data(), tag.size());
    while (places_[slot] != 0) {
        slot = (slot + 1) & (slots - 1);
    }
    xml_tag& taken = tags_[count_++];
    std::ranges::copy(tag, taken.bytes.begin());
    taken.length = static_cast<std::uint8_t>(tag.size());
    taken.name_length = static_cast<std::uint8_t>(plain.name.size());
    taken.self_closing = plain.self_closing;
    places_[slot] = static_cast<std::uint16_t>(count_);
    return static_cast<std::uint32_t>(count_ - 1);
}

}  // namespace vitalproof::read
