// Prints the cells of delimited text, for a comparison with other readers.
// Reads standard input, writes a JSON array of strings a row, or {"unread": LINE} for a row that
// could not be read. Arguments: the bytes read at a time, the delimiter. Archives and encodings are
// undone as for any file.
#include "read/text_source.hpp"
#include "read/tokenizer.hpp"

#include <nlohmann/json.hpp>

#include <cstdlib>
#include <iostream>
#include <iterator>
#include <string>

int main(int count, char** words) {
    using namespace vitalproof;
    read::tokenizer_options options;
    if (count > 1) {
        options.piece_bytes = std::strtoul(words[1], nullptr, 10);
    }
    if (count > 2) {
        options.delimiter = words[2][0];
    }
    const std::string text(std::istreambuf_iterator<char>(std::cin), {});
    read::memory_source bytes(text);
    read::text_source source(bytes);
    source.open();  // a text that no file begins with is none the less a text here
    read::tokenizer tokens(source, options);
    read::token_row row;
    while (tokens.next(row)) {
        if (row.fault != read::row_fault::none) {
            std::cout << nlohmann::json{{"unread", row.line}} << '\n';
            continue;
        }
        auto cells = nlohmann::json::array();
        for (const std::string_view cell : row.cells) {
            cells.push_back(cell);
        }
        std::cout << cells << '\n';
    }
}
