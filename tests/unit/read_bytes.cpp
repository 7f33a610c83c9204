// From bytes on disk to text: gzip, encodings, the delimiter, and standard input's name.
#include "read/delimiter.hpp"
#include "read/digesting_source.hpp"
#include "read/encoding.hpp"
#include "read/gzip_source.hpp"
#include "read/peeking_source.hpp"
#include "read/text.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>
#include <zlib.h>

#include <stdexcept>

namespace {

using namespace reading;
using read::encoding;

std::string packed(std::string_view text) {
    z_stream stream{};
    if (deflateInit2(&stream, Z_BEST_SPEED, Z_DEFLATED, 16 + MAX_WBITS, 8, Z_DEFAULT_STRATEGY) !=
        Z_OK) {
        throw std::runtime_error("zlib");
    }
    std::string bytes(deflateBound(&stream, text.size()), '\0');
    std::string copy(text);
    stream.next_in = reinterpret_cast<Bytef*>(copy.data());
    stream.avail_in = static_cast<uInt>(copy.size());
    stream.next_out = reinterpret_cast<Bytef*>(bytes.data());
    stream.avail_out = static_cast<uInt>(bytes.size());
    const int ended = deflate(&stream, Z_FINISH);
    bytes.resize(stream.total_out);
    deflateEnd(&stream);
    return ended == Z_STREAM_END ? bytes : throw std::runtime_error("zlib");
}

// All that a source gives, read `step` bytes at a time, and why it ended.
struct drained {
    std::string text{};
    std::string trouble{};
};

drained drain(read::byte_source& source, std::size_t step = 7) {
    drained all;
    std::string piece(step, '\0');
    for (;;) {
        const std::ptrdiff_t got = source.read(piece.data(), step);
        if (got <= 0) {
            all.trouble = got < 0 ? source.trouble() : "";
            return all;
        }
        all.text.append(piece, 0, static_cast<std::size_t>(got));
    }
}

drained unpacked(std::string_view archive, std::size_t step = 7) {
    halting_source source(archive, step);
    read::gzip_source gzip(source);
    return drain(gzip, step);
}

std::string transcoded(std::string_view bytes, encoding of, std::size_t step = 7) {
    halting_source source(bytes, step);
    read::transcoding_source text(source, of);
    return drain(text, step).text;
}

// ASCII as UTF-16.
std::string wide(std::string_view text, bool big_endian = false) {
    std::string bytes;
    for (const char c : text) {
        bytes += big_endian ? std::string{'\0', c} : std::string{c, '\0'};
    }
    return bytes;
}

constexpr std::string_view small = "report,pulse\nA,80\nB,81\n";

}  // namespace

TEST_CASE("an archive gives its text, whatever the size of a piece") {
    const std::string text = small.data() + std::string(200'000, 'x');
    for (const std::size_t step : {1U, 7U, 65536U, 1000000U}) {
        const drained all = unpacked(packed(text), step);
        CHECK(all.text == text);
        CHECK(all.trouble.empty());
    }
}

TEST_CASE("archives joined end to end, empty ones and zeros between them, are one text") {
    const std::string zeros(1000, '\0');
    CHECK(unpacked(packed("a") + packed("") + zeros + packed("b") + zeros).text == "ab");
    CHECK(unpacked(packed("a") + zeros).trouble.empty());
    CHECK(unpacked(packed("")).text.empty());
    CHECK(unpacked(packed("")).trouble.empty());
}

TEST_CASE("a broken archive gives what is before the break, and then the failure") {
    std::string text;
    for (int i = 0; i < 20000; ++i) {
        text += std::to_string(i * 7919 % 10007) + ',';
    }
    const std::string archive = packed(text);
    for (const std::size_t kept : {std::size_t{1}, std::size_t{9}, archive.size() / 2,
                                   archive.size() - 9, archive.size() - 1}) {
        const drained all = unpacked(std::string_view(archive).substr(0, kept), 4096);
        INFO(kept);
        CHECK(all.trouble == "the gzip archive ends too soon");
        CHECK(text.starts_with(all.text));
    }
    std::string damaged = archive;
    damaged[damaged.size() - 6] ^= 1;  // in the checksum
    CHECK(unpacked(damaged).trouble == "the gzip archive is damaged");
    CHECK(unpacked(damaged).text == text);
    CHECK(unpacked(packed("a") + "rubbish").trouble == "the gzip archive is damaged");
    CHECK(unpacked(packed("a") + "rubbish").text == "a");
    halting_source dead(archive, 512, 4096);
    read::gzip_source gzip(dead);
    CHECK(drain(gzip).trouble == "the line went dead");
    char byte = 0;
    CHECK(gzip.read(&byte, 1) == -1);
}

TEST_CASE("an archive is given up where it unpacks to more than its bound, and not before") {
    const std::string text(1000, 'x');
    const std::string archive = packed(text) + packed(text);
    const auto within = [&](std::uint64_t most, std::size_t step) {
        read::memory_source source(archive);
        read::gzip_source gzip(source, most);
        return drain(gzip, step);
    };
    for (const std::size_t step : {1U, 7U, 1000U, 5000U}) {
        CHECK(within(2000, step).text == text + text);
        CHECK(within(2000, step).trouble.empty());
        const drained cut = within(1999, step);
        CHECK(cut.text == (text + text).substr(0, 1999));
        CHECK(cut.trouble.starts_with("the archive unpacks to more than 1999 bytes"));
        CHECK(within(0, step).text.empty());
        CHECK_FALSE(within(0, step).trouble.empty());
    }
}

TEST_CASE("rows before the end of a broken archive are read") {
    std::string text = "report,pulse\n";
    for (int i = 0; i < 50000; ++i) {
        text += std::to_string(i) + ',' + std::to_string(40 + i * 31 % 97) + '\n';
    }
    const std::string archive = packed(text);
    const file whole(archive);
    CHECK(whole.error().empty());
    CHECK(whole.outcome.rows_examined == 50000);
    CHECK(whole.outcome.bytes == archive.size());
    read::memory_source bytes(archive);
    read::digesting_source on_disk(bytes);
    drain(on_disk);
    CHECK(whole.outcome.digest == on_disk.digest());
    const file half(std::string_view(archive).substr(0, archive.size() / 2));
    CHECK(half.error().starts_with("reading broke off after "));
    CHECK(half.error().ends_with(": the gzip archive ends too soon"));
    CHECK(half.outcome.rows_examined > 10000);
    CHECK(half.outcome.rows_examined < 50000);
    CHECK(half.adds_up());
}

TEST_CASE("an archive of something else than text is refused as that") {
    CHECK(file(packed("PK\x03\x04rest")).error() == "this is a workbook or a ZIP archive");
    CHECK(file(packed(packed(small))).error() == "this is a gzip archive inside another");
    CHECK(file(packed("")).error() == "the file is empty");
    CHECK(file(packed(wide(small))).only_set().pulse.raw() == 80);
}

TEST_CASE("what was peeked is given again, once") {
    for (const std::size_t most : {0U, 1U, 5U, 23U, 1000U}) {
        halting_source source(small, 3);
        read::peeking_source peeking(source);
        CHECK(peeking.peek(most) == small.substr(0, most));
        CHECK(peeking.ended() == (most > small.size()));
        CHECK(drain(peeking).text == small);
    }
    halting_source dead(small, 3, 10);
    read::peeking_source peeking(dead);
    CHECK(peeking.peek(100) == small.substr(0, 10));
    const drained all = drain(peeking);
    CHECK(all.text == small.substr(0, 10));
    CHECK(all.trouble == "the line went dead");
}

TEST_CASE("encodings are told apart by the first bytes") {
    const auto guess = [](std::string_view text) { return read::guess_encoding(text, true); };
    CHECK(guess("") == encoding::utf_8);
    CHECK(guess(small) == encoding::utf_8);
    CHECK(guess("Zo\xC3\xAB,37 \xC2\xB0") == encoding::utf_8);
    CHECK(guess("\xEF\xBB\xBFreport") == encoding::utf_8);
    CHECK(guess("\xFF\xFEr\0"sv) == encoding::utf_16_le);
    CHECK(guess("\xFE\xFF\0r"sv) == encoding::utf_16_be);
    CHECK(guess(wide("re")) == encoding::utf_16_le);
    CHECK(guess(wide("re", true)) == encoding::utf_16_be);
    CHECK(guess("r\0ep"sv) == encoding::utf_8);
    CHECK(guess("\0\0\0\0"sv) == encoding::utf_8);
    CHECK(guess("Temp (\xB0"
                "C)") == encoding::windows_1252);
    CHECK(guess("Zo\xEB") == encoding::windows_1252);
    // A stray byte in text that is UTF-8 otherwise.
    CHECK(guess("Zo\xC3\xAB,Zo\xEB,") == encoding::utf_8);
}

TEST_CASE("a character cut by the end of the first bytes is no fault unless it ends the file") {
    CHECK(read::guess_encoding("Zo\xC3", false) == encoding::utf_8);
    CHECK(read::guess_encoding("Zo\xC3", true) == encoding::windows_1252);
}

TEST_CASE("UTF-16 becomes UTF-8, pairs whole, and what is none a replacement") {
    const auto le = [](std::string_view bytes) {
        for (const std::size_t step : {2U, 3U, 7U, 100U}) {
            REQUIRE(transcoded(bytes, encoding::utf_16_le, step) ==
                    transcoded(bytes, encoding::utf_16_le, 1));
        }
        return transcoded(bytes, encoding::utf_16_le);
    };
    CHECK(le(wide(small)) == small);
    CHECK(transcoded(wide(small, true), encoding::utf_16_be) == small);
    CHECK(le("\xEB\0\xAC\x20\x3D\xD8\x00\xDE"sv) == "ë€😀");
    CHECK(transcoded("\x20\xAC\xD8\x3D\xDE\x00"sv, encoding::utf_16_be) == "€😀");
    CHECK(le("\x3D\xD8z\0"sv) == "\uFFFDz");  // no second half
    CHECK(le("\x00\xDEz\0"sv) == "\uFFFDz");  // no first half
    CHECK(le("\x3D\xD8\x3D\xD8\x00\xDE"sv) == "\uFFFD😀");
    CHECK(le("z\0\x3D\xD8"sv) == "z\uFFFD");  // ends inside a pair
    CHECK(le("z\0\x3D"sv) == "z\uFFFD");      // ends inside a unit
    CHECK(le("z\0\x3D\xD8\x00"sv) == "z\uFFFD\uFFFD");
    CHECK(le("").empty());
}

TEST_CASE("a source that dies under another encoding is reported") {
    const std::string bytes = wide(small);
    halting_source dead(bytes, 4, 21);
    read::transcoding_source text(dead, encoding::utf_16_le);
    const drained all = drain(text);
    CHECK(all.text == std::string(small.substr(0, 10)) + "\uFFFD");
    CHECK(all.trouble == "the line went dead");
}

TEST_CASE("Windows-1252 becomes UTF-8") {
    CHECK(transcoded("Zo\xEB \x80 37 \xB0 \x81\0"sv, encoding::windows_1252) ==
          "Zo\u00EB \u20AC 37 \u00B0 \uFFFD\0"sv);
}

TEST_CASE("steps through UTF-8 that is none") {
    const auto step = [](std::string_view text) {
        const read::utf_8_step s = read::next_character(text);
        return std::pair(s.bytes, s.sound);
    };
    CHECK(step("a") == std::pair(std::size_t{1}, true));
    CHECK(step("\xC3\xAB") == std::pair(std::size_t{2}, true));
    CHECK(step("\xF0\x9F\x98\x80") == std::pair(std::size_t{4}, true));
    CHECK(step("\xF0\x9F\x98z") == std::pair(std::size_t{3}, false));
    for (const auto text : {"\x80", "\xC0\x80", "\xC1\xBF", "\xE0\x80\x80", "\xED\xA0\x80",
                            "\xF0\x80\x80\x80", "\xF4\x90\x80\x80", "\xF5", "\xFF", "\xC3"}) {
        CHECK(step(text) == std::pair(std::size_t{1}, false));
    }
}

TEST_CASE("the delimiter is the one that makes a header") {
    const auto choose_delimiter = [](std::string_view text) {
        return read::find_header(text).delimiter;
    };
    CHECK(choose_delimiter("report,pulse\n") == ',');
    CHECK(choose_delimiter("report;pulse\n") == ';');
    CHECK(choose_delimiter("report\tpulse\r\n") == '\t');
    CHECK(choose_delimiter("report|pulse") == '|');
    CHECK(choose_delimiter("report;systolic, mmHg;temp, F;pulse, felt, 1/min\n") == ';');
    CHECK(choose_delimiter("report,pulse,note (a; b; c; d; e)\n") == ',');
    CHECK(choose_delimiter("\"report,a,b\";\"pulse,c,d\"\n") == ';');
    CHECK(choose_delimiter("\"rep\"\"ort;;;\",report,pulse\n") == ',');
    CHECK(choose_delimiter("Week 12; all crews; all cars\nreport,pulse\n") == ',');
    CHECK(choose_delimiter("Week 12, all crews\n\nreport;pulse\n") == ';');
    CHECK(choose_delimiter("report;pulse\n" + std::string(500, ',')) == ';');
}

TEST_CASE("where nothing decides, the comma stays") {
    const auto choose_delimiter = [](std::string_view text) {
        return read::find_header(text).delimiter;
    };
    for (const auto text : {"", "\n\n", "report", "report\npulse\n", "a,b;c\n", "report,x;pulse\n",
                            "\"report;pulse\n"}) {
        INFO(text);
        CHECK(choose_delimiter(text) == ',');
    }
    CHECK(choose_delimiter("name;size\n") == ';');  // no name of ours, but no comma either
}

TEST_CASE("other delimiters are read, and said, and a decimal comma with them") {
    for (const auto& [text, name] :
         {std::pair("report;temp;pulse\nA;36,8;80\nA;36.8;81\n", "semicolon"),
          std::pair("report\ttemp\tpulse\nA\t36,8\t80\nA\t36.8\t81\n", "tab"),
          std::pair("report|temp|pulse\nA|36,8|80\nA|36.8|81\n", "vertical bar")}) {
        const file f(text);
        REQUIRE(f.outcome.rows_examined == 2);
        CHECK(f.reports().at(0).sets[0].temperature.raw() == 36.8);
        CHECK(f.reports().at(0).sets[1].temperature.raw() == 36.8);
        CHECK(f.reports().at(0).sets[1].pulse.raw() == 81);
        CHECK(f.outcome.columns.assumptions ==
              std::vector{"Cells separated by a "s + name + ", so 36,8 is read as 36.8"});
    }
    CHECK(file(small).outcome.columns.assumptions.empty());
}

TEST_CASE("a stray delimiter is called by its name") {
    const file f("report;pulse\nA;80;7\n");
    REQUIRE(f.kept.unread_rows.size() == 1);
    CHECK(f.kept.unread_rows[0].reason.ends_with("a stray semicolon or an unclosed quote?"));
    CHECK(f.kept.unread_rows[0].remedy == "quote the cell that holds the semicolon");
}

TEST_CASE("other encodings are read, and said") {
    const auto said = [](const file& f) { return f.outcome.columns.assumptions; };
    const file latin(
        "report,crew,temp (\xB0"
        "F)\nA,Zo\xEB,98.6\n");
    CHECK(latin.reports().at(0).crew == "Zoë");
    CHECK(latin.only_set().charted[sign::temperature{}].text() == "98.6 °F");
    CHECK(said(latin) == std::vector{"Characters read as Windows-1252"s});
    for (const std::string& text : {"\xFF\xFE" + wide(small), wide(small), wide(small, true)}) {
        const file f(text);
        CHECK(f.reports().size() == 2);
        CHECK(said(f) == std::vector{"Characters read as UTF-16"s});
    }
}

TEST_CASE("a second header in other words is no report") {
    const file f("report,pulse\nRun number,HR\nA,80\n");
    CHECK(f.outcome.rows_examined == 1);
    REQUIRE(f.kept.unread_rows.size() == 1);
    CHECK(f.kept.unread_rows[0].line == 2);
    CHECK(f.kept.unread_rows[0].reason == "the header again");
}

TEST_CASE("standard input has a name") {
    CHECK(read::shown_name("-") == "standard input");
    CHECK(read::shown_name("-.csv") == "-.csv");
}
