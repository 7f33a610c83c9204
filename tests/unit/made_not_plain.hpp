// Reports of the national standard made so that a parser has to read them.
// Used where what is read without one is held against what is read with one.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// The same text with a processing instruction at the end of every report: none is plain then.
inline std::string made_not_plain(std::string text) {
    constexpr std::string_view end = "</PatientCareReport>";
    constexpr std::string_view instruction = "<?p?>";
    for (std::size_t at = text.find(end); at != std::string::npos;
         at = text.find(end, at + instruction.size() + end.size())) {
        text.insert(at, instruction);
    }
    return text;
}
