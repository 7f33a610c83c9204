#include "write/json.hpp"

#include <nlohmann/json.hpp>

namespace vitalproof::write {

void append_json_string(std::string& out, std::string_view text) {
    // Without an early end and in bytes, so that the compiler may take 16 characters at a time.
    unsigned char special = 0;
    for (const char c : text) {
        special = static_cast<unsigned char>(special | (c < ' ') | (c > '~') | (c == '"') |
                                             (c == '\\'));
    }
    if (special == 0) {
        out.push_back('"');
        out.append(text);
        out.push_back('"');
        return;
    }
    // ASCII output escapes what could change direction or hide; invalid UTF-8 is replaced.
    out.append(nlohmann::json(text).dump(-1, ' ', true, nlohmann::json::error_handler_t::replace));
}

}  // namespace vitalproof::write
