// The elements that one stretch of XML holds, with their text.
// Used where one thread splits and another reads. Promises that nothing in it is the splitter's,
// but for tags, of which it sees those alone that were met before.
#pragma once

#include "read/halved_reading.hpp"
#include "read/xml_splitter.hpp"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

namespace vitalproof::read {

class xml_block final : public text_block {
public:
    std::size_t bytes() const override { return text_.capacity(); }

    /// Splits on until what was read is used up; false where the document had ended before.
    bool fill(xml_splitter& from);

    std::size_t size() const { return pieces_.size(); }
    xml_piece piece(std::size_t at);

private:
    struct place {
        std::size_t text = 0;
        std::size_t text_size = 0;
        std::size_t lines = 0;  ///< of marked elements: their end
        std::size_t elements = 0;
        std::shared_ptr<xml_tags> tags{};  ///< keeps them
        xml_piece piece{};                 ///< but for what it views
    };

    void add(const xml_piece& piece, const xml_splitter& from);

    std::vector<char> text_{};
    std::vector<place> pieces_{};
    std::vector<std::uint64_t> lines_{};
    std::vector<xml_element> elements_{};
};

}  // namespace vitalproof::read
