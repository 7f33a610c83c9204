#include "read/encoding.hpp"

#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <cstring>
#include <optional>

namespace vitalproof::read {

namespace {

constexpr std::size_t raw_piece = std::size_t{1} << 16;

// What Windows-1252 has in 0x80 to 0x9F; 0 where it has nothing. WHATWG Encoding Standard, index
// windows-1252.
constexpr std::array<char16_t, 32> windows_1252_gap{
    0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0,      0x017D, 0,      0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178};

constexpr std::uint32_t no_character = 0xFFFD;

void append_utf_8(std::string& text, std::uint32_t c) {
    const auto tail = [c](unsigned shift) { return static_cast<char>(0x80 | (c >> shift & 0x3F)); };
    if (c < 0x80) {
        text += static_cast<char>(c);
    } else if (c < 0x800) {
        text += {static_cast<char>(0xC0 | c >> 6), tail(0)};
    } else if (c < 0x10000) {
        text += {static_cast<char>(0xE0 | c >> 12), tail(6), tail(0)};
    } else {
        text += {static_cast<char>(0xF0 | c >> 18), tail(12), tail(6), tail(0)};
    }
}

void append_windows_1252(std::string& text, std::string_view bytes) {
    for (const char byte : bytes) {
        const auto c = static_cast<unsigned char>(byte);
        const std::uint32_t meant = c >= 0x80 && c < 0xA0 ? windows_1252_gap[c - 0x80U] : c;
        append_utf_8(text, meant == 0 && c != 0 ? no_character : meant);
    }
}

std::optional<encoding> guess_utf_16(std::string_view bytes) {
    if (bytes.starts_with("\xFF\xFE")) {
        return encoding::utf_16_le;
    }
    if (bytes.starts_with("\xFE\xFF")) {
        return encoding::utf_16_be;
    }
    const auto zero = [bytes](std::size_t at) { return bytes[at] == '\0'; };
    if (bytes.size() < 4 || zero(0) == zero(1) || zero(0) != zero(2) || zero(1) != zero(3)) {
        return std::nullopt;
    }
    return zero(0) ? encoding::utf_16_be : encoding::utf_16_le;
}

// Where the next byte beyond ASCII stands, at or behind `at`.
std::size_t skip_ascii(std::string_view bytes, std::size_t at) {
    std::uint64_t word = 0;
    while (at + sizeof word <= bytes.size()) {
        std::memcpy(&word, bytes.data() + at, sizeof word);
        if ((word & 0x8080808080808080U) != 0) {
            break;
        }
        at += sizeof word;
    }
    while (at < bytes.size() && static_cast<unsigned char>(bytes[at]) < 0x80) {
        ++at;
    }
    return at;
}

}  // namespace

encoding guess_encoding(std::string_view first_bytes, bool whole) {
    if (const auto wide = guess_utf_16(first_bytes)) {
        return *wide;
    }
    std::size_t sound = 0;
    std::size_t broken = 0;
    for (std::size_t at = skip_ascii(first_bytes, 0); at < first_bytes.size();
         at = skip_ascii(first_bytes, at)) {
        const utf_8_step step = next_character(first_bytes.substr(at));
        at += step.bytes;
        const bool cut = !whole && at == first_bytes.size();
        sound += step.sound ? 1 : 0;
        broken += step.sound || cut ? 0 : 1;
    }
    return broken > sound ? encoding::windows_1252 : encoding::utf_8;
}

std::string_view name_of(encoding e) {
    switch (e) {
        case encoding::utf_8:
            return "UTF-8";
        case encoding::utf_16_le:
        case encoding::utf_16_be:
            return "UTF-16";
        case encoding::windows_1252:
            return "Windows-1252";
    }
    return {};
}

// Appends what is whole; returns how many bytes that was. Surrogates that are no pair are none.
std::size_t transcoding_source::take_utf_16(std::string_view bytes, bool last) {
    const std::size_t high = of_ == encoding::utf_16_be ? 0 : 1;
    const auto unit = [&](std::size_t at) {
        return static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[at + high]) << 8 |
                                          static_cast<unsigned char>(bytes[at + 1 - high]));
    };
    std::size_t at = 0;
    while (at + 2 <= bytes.size()) {
        std::uint32_t c = unit(at);
        if (c >= 0xD800 && c < 0xDC00) {
            if (at + 4 > bytes.size() && !last) {
                return at;
            }
            const std::uint32_t low = at + 4 <= bytes.size() ? unit(at + 2) : 0;
            if (low >= 0xDC00 && low < 0xE000) {
                c = 0x10000 + ((c - 0xD800) << 10) + (low - 0xDC00);
                at += 2;
            }
        }
        append_utf_8(ready_, c >= 0xD800 && c < 0xE000 ? no_character : c);
        at += 2;
    }
    if (last && at < bytes.size()) {
        append_utf_8(ready_, no_character);
        at = bytes.size();
    }
    return at;
}

std::ptrdiff_t transcoding_source::refill() {
    ready_.clear();
    given_ = 0;
    const std::size_t kept = raw_.size();
    raw_.resize(kept + raw_piece);
    const std::ptrdiff_t got = from_.read(raw_.data() + kept, raw_piece);
    raw_.resize(kept + static_cast<std::size_t>(std::max<std::ptrdiff_t>(got, 0)));
    if (of_ == encoding::windows_1252) {
        append_windows_1252(ready_, raw_);
        raw_.clear();
    } else {
        raw_.erase(0, take_utf_16(raw_, got <= 0));
    }
    return got;
}

std::ptrdiff_t transcoding_source::read(char* into, std::size_t size) {
    while (given_ == ready_.size()) {
        const std::ptrdiff_t got = refill();
        if (got <= 0 && ready_.empty()) {
            return got;
        }
    }
    const std::size_t given = std::min(size, ready_.size() - given_);
    std::memcpy(into, ready_.data() + given_, given);
    given_ += given;
    return static_cast<std::ptrdiff_t>(given);
}

}  // namespace vitalproof::read
