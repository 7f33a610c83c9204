// Rows and cells: quoting, line ends, line numbers, bounds, and what a stray quote costs.
#include "read_support.hpp"

#include <catch2/catch.hpp>
#include <csv.h>

#include <random>
#include <stdexcept>

namespace {

using namespace reading;
using read::row_fault;
using table = std::vector<std::vector<std::string>>;

std::string repeated(std::string_view text, std::size_t times) {
    std::string all;
    for (std::size_t i = 0; i < times; ++i) {
        all += text;
    }
    return all;
}

std::vector<std::uint64_t> lines_of(std::string_view text) {
    std::vector<std::uint64_t> lines;
    for (const row& r : rows_of(text)) {
        lines.push_back(r.line);
    }
    return lines;
}

}  // namespace

TEST_CASE("plain cells") {
    CHECK(cells_of("a,b,c\nd,e,f\n") == table{{"a", "b", "c"}, {"d", "e", "f"}});
    CHECK(cells_of("a\n") == table{{"a"}});
    CHECK(cells_of(",\n") == table{{"", ""}});
    CHECK(cells_of("a,,b,\n") == table{{"a", "", "b", ""}});
    CHECK(cells_of(" a , b\t\n") == table{{" a ", " b\t"}});
}

TEST_CASE("the last line needs no line end") {
    CHECK(cells_of("a,b\nc,d") == table{{"a", "b"}, {"c", "d"}});
    CHECK(cells_of("a,b,") == table{{"a", "b", ""}});
    CHECK(cells_of("\"a\"") == table{{"a"}});
    CHECK(cells_of("a,\"\"") == table{{"a", ""}});
}

TEST_CASE("nothing, or empty lines alone, hold no row") {
    CHECK(cells_of("").empty());
    CHECK(cells_of("\n\r\n\r\n\n").empty());
    CHECK(cells_of("\xEF\xBB\xBF").empty());
    CHECK(cells_of("\"\"\n") == table{{""}});
}

TEST_CASE("CR, LF and CRLF end a line") {
    CHECK(cells_of("a,b\rc,d\r\ne,f\ng") == table{{"a", "b"}, {"c", "d"}, {"e", "f"}, {"g"}});
    CHECK(cells_of("a\r\r\nb\n\rc\r") == table{{"a"}, {"b"}, {"c"}});
}

TEST_CASE("a byte order mark is skipped, once and at the front only") {
    CHECK(cells_of("\xEF\xBB\xBFid,hr\n") == table{{"id", "hr"}});
    CHECK(cells_of("\xEF\xBB\xBF\"id\",hr\n") == table{{"id", "hr"}});
    CHECK(cells_of("a,\xEF\xBB\xBFx\n") == table{{"a", "\xEF\xBB\xBFx"}});
    CHECK(cells_of("\xEF\xBB\n") == table{{"\xEF\xBB"}});
}

TEST_CASE("quoted cells hold delimiters, line ends and doubled quotes") {
    CHECK(cells_of("\"a,b\",c\n") == table{{"a,b", "c"}});
    CHECK(cells_of("\"a\nb\r\nc\",d\n") == table{{"a\nb\r\nc", "d"}});
    CHECK(cells_of("\"say \"\"hi\"\"\",\"\"\"\",x\n") == table{{"say \"hi\"", "\"", "x"}});
    CHECK(cells_of("\"\",\"\"\n") == table{{"", ""}});
}

TEST_CASE("a quote inside an unquoted cell is text") {
    CHECK(cells_of("5'11\",a\"b\"c,\n") == table{{"5'11\"", "a\"b\"c", ""}});
    CHECK(cells_of(" \"a\",b\n") == table{{" \"a\"", "b"}});
}

TEST_CASE("text behind a closing quote is kept") {
    CHECK(cells_of("\"ab\"cd\"e\"\"f,g\n") == table{{"abcd\"e\"\"f", "g"}});
    CHECK(cells_of("\"ab\" ,g\n") == table{{"ab ", "g"}});
    CHECK(cells_of("\"a\"\"b\"c") == table{{"a\"bc"}});
}

TEST_CASE("rows know the physical line they begin on") {
    CHECK(lines_of("a\nb\n\n\nc\r\nd\re") == std::vector<std::uint64_t>{1, 2, 5, 6, 7});
    CHECK(lines_of("\"a\n\n\"\nb\n") == std::vector<std::uint64_t>{1, 4});
    CHECK(lines_of("\"a\r\n\r\"\r\nb\n") == std::vector<std::uint64_t>{1, 4});
    CHECK(lines_of("\r\n\r\na\n") == std::vector<std::uint64_t>{3});
}

TEST_CASE("the delimiter is a parameter") {
    read::tokenizer_options options;
    options.delimiter = ';';
    CHECK(cells_of("a,b;\"c;d\";e\n", options) == table{{"a,b", "c;d", "e"}});
    options.delimiter = '\t';
    CHECK(cells_of("a b\tc\t\n", options) == table{{"a b", "c", ""}});
    CHECK(cells_of("a\tb,c\n") == table{{"a\tb", "c"}});
    for (const char wrong : {'"', '\n', '\r', '\0', '\x7F'}) {
        options.delimiter = wrong;
        CHECK_THROWS_AS(rows_of("a\n", options), std::invalid_argument);
    }
}

TEST_CASE("a bound of zero is refused") {
    read::tokenizer_options options;
    options.piece_bytes = 0;
    CHECK_THROWS_AS(rows_of("a\n", options), std::invalid_argument);
    options = {};
    options.longest_row = 0;
    CHECK_THROWS_AS(rows_of("a\n", options), std::invalid_argument);
    options = {};
    options.most_cells = 0;
    CHECK_THROWS_AS(rows_of("a\n", options), std::invalid_argument);
}

TEST_CASE("a quote that never closes costs its line alone") {
    const auto rows = rows_of("a,b\n\"c,d\ne,f\ng,h\n");
    REQUIRE(rows.size() == 4);
    CHECK(rows[1] == row{{}, 2, row_fault::unclosed_quote});
    CHECK(rows[2] == row{{"e", "f"}, 3});
    CHECK(rows[3] == row{{"g", "h"}, 4});
    CHECK(rows_of("\"") == std::vector<row>{{{}, 1, row_fault::unclosed_quote}});
    CHECK(rows_of("a,\"b") == std::vector<row>{{{}, 1, row_fault::unclosed_quote}});
}

TEST_CASE("a quote must close within its bound of bytes") {
    read::tokenizer_options options;
    options.longest_quote = 10;
    CHECK(cells_of("\"123456789\",x\n", options) == table{{"123456789", "x"}});
    const auto rows = rows_of("\"1234567890\",x\ny\n", options);
    REQUIRE(rows.size() == 2);
    CHECK(rows[0] == row{{}, 1, row_fault::unclosed_quote});
    CHECK(rows[1] == row{{"y"}, 2});
}

TEST_CASE("a quote must close within its bound of lines") {
    read::tokenizer_options options;
    options.most_quoted_lines = 2;
    CHECK(cells_of("\"a\nb\nc\",x\n", options) == table{{"a\nb\nc", "x"}});
    const auto rows = rows_of("\"a\nb\nc\nd\",x\ny\n", options);
    REQUIRE(rows.size() == 5);
    CHECK(rows[0].fault == row_fault::unclosed_quote);
    CHECK(rows[1] == row{{"b"}, 2});
    CHECK(rows[3] == row{{"d\"", "x"}, 4});
    CHECK(rows[4] == row{{"y"}, 5});
}

TEST_CASE("a row beyond the bound is skipped and said") {
    read::tokenizer_options options;
    options.longest_row = 100;
    const std::string fits = repeated("ab,", 33) + "c";
    CHECK(rows_of(fits + "\n", options).at(0).cells.size() == 34);
    const auto rows = rows_of("x\n" + fits + "d\ny,z\n", options);
    REQUIRE(rows.size() == 3);
    CHECK(rows[1] == row{{}, 2, row_fault::too_long});
    CHECK(rows[2] == row{{"y", "z"}, 3});
    CHECK(rows_of(fits + fits, options) == std::vector<row>{{{}, 1, row_fault::too_long}});
}

TEST_CASE("a row of two megabytes is skipped within bounded memory") {
    const auto rows = rows_of("a,b\n" + std::string(2'100'000, 'x') + "\r\nc,d\n");
    REQUIRE(rows.size() == 3);
    CHECK(rows[1] == row{{}, 2, row_fault::too_long});
    CHECK(rows[2] == row{{"c", "d"}, 3});
}

TEST_CASE("a row of more cells than the bound is skipped and said") {
    read::tokenizer_options options;
    options.most_cells = 300;
    CHECK(rows_of(repeated(",", 299) + "\n", options).at(0).cells.size() == 300);
    const auto rows = rows_of(repeated(",", 300) + "\ny\n", options);
    REQUIRE(rows.size() == 2);
    CHECK(rows[0] == row{{}, 1, row_fault::too_long});
    CHECK(rows[1] == row{{"y"}, 2});
    options.most_cells = 1;
    CHECK(rows_of("\"a\",b\nc\n", options) ==
          std::vector<row>{{{}, 1, row_fault::too_long}, {{"c"}, 2}});
}

TEST_CASE("a row with a NUL byte is marked, wherever the byte stands") {
    for (const auto text : {"a,b\0c,d\n"sv, "a,\"b\0c\",d\n"sv, "\"a\"\0,d\n"sv}) {
        const auto rows = rows_of("x\n" + std::string(text) + "y\n");
        REQUIRE(rows.size() == 3);
        CHECK(rows[0].fault == row_fault::none);
        CHECK(rows[1].fault == row_fault::nul);
        CHECK(rows[2] == row{{"y"}, 3});
    }
}

TEST_CASE("a row may be taken back and its lines read one by one") {
    const auto text = "a,b\n1,\"x\n2,y\n3,\"z\",w\n4,v\n"sv;
    read::memory_source source(text);
    read::tokenizer tokens(source);
    read::token_row r;
    REQUIRE(tokens.next(r));
    REQUIRE(tokens.next(r));
    CHECK(r.line == 2);
    CHECK(r.lines == 3);
    CHECK(r.text_behind_quote);
    CHECK(r.text == "1,\"x");
    tokens.give_up_first_line();
    REQUIRE(tokens.next(r));
    CHECK(r.line == 3);
    CHECK(r.cells.size() == 2);
    REQUIRE(tokens.next(r));
    CHECK(r.line == 4);
    CHECK(r.cells[1] == "z");
    CHECK_FALSE(r.text_behind_quote);
    REQUIRE(tokens.next(r));
    CHECK(r.line == 5);
    CHECK_FALSE(tokens.next(r));
}

TEST_CASE("a source that fails breaks off its row") {
    halting_source source("a,b\nc,dddd\n", 3, 9);
    read::tokenizer tokens(source);
    read::token_row r;
    REQUIRE(tokens.next(r));
    CHECK(r.fault == row_fault::none);
    REQUIRE(tokens.next(r));
    CHECK(r.fault == row_fault::broken_off);
    CHECK(r.cells.empty());
    CHECK_FALSE(tokens.next(r));
    CHECK(tokens.trouble() == "the line went dead");
    CHECK(tokens.bytes_read() == 9);
}

TEST_CASE("looking ahead consumes nothing") {
    halting_source source("a,b\nc\n", 1);
    read::tokenizer tokens(source);
    CHECK(tokens.peek(4).substr(0, 4) == "a,b\n");
    read::token_row r;
    REQUIRE(tokens.next(r));
    CHECK(r.cells.size() == 2);
}

namespace {

// Text made to hurt: quotes, line ends and NUL bytes in every neighbourhood.
std::string hostile_text(std::mt19937& random, std::size_t length) {
    constexpr auto alphabet = "aaab1,,,,\"\"\"\n\n\r\r\n \0\t;"sv;
    std::string text;
    for (std::size_t i = 0; i < length; ++i) {
        text += alphabet[random() % alphabet.size()];
    }
    return text;
}

}  // namespace

TEST_CASE("the size of a piece changes nothing") {
    std::mt19937 random(20240305);
    read::tokenizer_options options;
    options.longest_row = 60;
    options.longest_quote = 25;
    options.most_quoted_lines = 3;
    options.most_cells = 12;
    for (int round = 0; round < 300; ++round) {
        const std::string text = hostile_text(random, 40 + random() % 400);
        options.piece_bytes = 4096;
        const auto whole = rows_of(text, options);
        for (const std::size_t piece : {1U, 2U, 3U, 7U, 63U, 64U, 65U, 129U}) {
            options.piece_bytes = piece;
            INFO("round " << round << ", pieces of " << piece);
            REQUIRE(rows_of(text, options) == whole);
        }
    }
}

TEST_CASE("a source that gives little at a time changes nothing") {
    std::mt19937 random(7);
    const std::string text = hostile_text(random, 5000);
    const auto whole = rows_of(text);
    halting_source source(text, 1);
    read::tokenizer tokens(source);
    read::token_row r;
    std::size_t at = 0;
    while (tokens.next(r)) {
        REQUIRE(at < whole.size());
        REQUIRE(row{{r.cells.begin(), r.cells.end()}, r.line, r.fault} == whole[at++]);
    }
    CHECK(at == whole.size());
}

TEST_CASE("every cell is followed by bytes that may be read") {
    std::mt19937 random(11);
    const std::string text = hostile_text(random, 3000);
    read::tokenizer_options options;
    options.piece_bytes = 17;
    read::memory_source source(text);
    read::tokenizer tokens(source, options);
    read::token_row r;
    std::uint64_t sum = 0;
    std::size_t cells = 0;
    while (tokens.next(r)) {
        for (const std::string_view cell : r.cells) {
            char behind[16];
            std::memcpy(behind, cell.data() + cell.size(), sizeof behind);
            sum += static_cast<unsigned char>(behind[15]);
            ++cells;
        }
    }
    CHECK(cells > 100);
    CHECK(sum > 0);
}

namespace {

// Text on which all readers agree: cells are plain or properly quoted.
std::string proper_text(std::mt19937& random, std::string_view line_end) {
    constexpr auto plain = "abc019.-"sv;
    constexpr auto inside = "ab,, \n\r\"1"sv;
    std::string text;
    for (auto rows = random() % 6; rows > 0; --rows) {
        for (auto cells = 1 + random() % 5; cells > 0; --cells) {
            const bool quoted = random() % 3 == 0;
            text += quoted ? "\"" : "";
            for (auto length = random() % 8; length > 0; --length) {
                const char c =
                    quoted ? inside[random() % inside.size()] : plain[random() % plain.size()];
                text += c == '"' ? "\"\"" : std::string(1, c);
            }
            text += quoted ? "\"" : "";
            text += cells > 1 ? "," : "";
        }
        text += line_end;
    }
    return text;
}

table cells_by_libcsv(const std::string& text) {
    struct collector {
        table rows{};
        std::vector<std::string> row{};
    } kept;
    csv_parser parser;
    REQUIRE(csv_init(&parser, 0) == 0);
    csv_set_space_func(&parser, [](unsigned char) { return 0; });
    const auto on_cell = [](void* cell, std::size_t size, void* to) {
        static_cast<collector*>(to)->row.emplace_back(static_cast<const char*>(cell), size);
    };
    const auto on_row = [](int, void* to) {
        auto& collected = *static_cast<collector*>(to);
        collected.rows.push_back(std::exchange(collected.row, {}));
    };
    REQUIRE(csv_parse(&parser, text.data(), text.size(), on_cell, on_row, &kept) == text.size());
    REQUIRE(csv_fini(&parser, on_cell, on_row, &kept) == 0);
    csv_free(&parser);
    return kept.rows;
}

}  // namespace

TEST_CASE("libcsv reads the same cells from proper text") {
    std::mt19937 random(99);
    std::size_t rows = 0;
    for (int round = 0; round < 3000; ++round) {
        constexpr std::string_view line_ends[]{"\n", "\r\n", "\r"};
        const std::string text = proper_text(random, line_ends[round % 3]);
        INFO("round " << round << ": " << text);
        const table ours = cells_of(text);
        REQUIRE(ours == cells_by_libcsv(text));
        rows += ours.size();
    }
    CHECK(rows > 5000);
}
