// A stream of JSON split into resources: what is found, what is refused, and what comes behind.
#include "read/json_splitter.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <random>

namespace {

using namespace reading;
using read::json_fault;

struct kept_piece {
    std::string text{};
    std::string type{};
    json_fault fault = json_fault::none;
    bool container = false;

    friend bool operator==(const kept_piece&, const kept_piece&) = default;
};

struct split {
    explicit split(std::string_view text, std::size_t step = 1 << 20,
                   const read::json_bounds& bounds = {}) {
        halting_source source(text, step);
        read::json_splitter pieces(source, bounds);
        read::json_piece piece;
        while (pieces.next(piece)) {
            given.push_back(
                {std::string(piece.text), std::string(piece.type), piece.fault, piece.container});
            urls.emplace_back(piece.full_url);
        }
        ended_inside = pieces.ended_inside();
    }

    std::vector<std::string> texts() const {
        std::vector<std::string> all;
        for (const kept_piece& piece : given) {
            all.push_back(piece.container                   ? "(" + piece.type + ")"
                          : piece.fault != json_fault::none ? "FAULT"
                                                            : piece.text);
        }
        return all;
    }

    std::vector<kept_piece> given{};
    std::vector<std::string> urls{};
    bool ended_inside = false;
};

using texts = std::vector<std::string>;

const std::string one = R"({"resourceType":"Observation","id":"1"})";
const std::string two = R"({"id":"2","resourceType":"Observation"})";

std::string bundle_of(const std::string& first, const std::string& second) {
    return R"({"resourceType":"Bundle","entry":[{"fullUrl":"urn:a","resource":)" + first +
           R"(},{"resource":)" + second + R"(,"search":{"mode":"match"}}],"total":2})";
}

}  // namespace

TEST_CASE("one resource, several, and one a line") {
    CHECK(split(one).texts() == texts{one});
    CHECK(split("\xEF\xBB\xBF \n" + one + "\n").texts() == texts{one});
    CHECK(split(one + two).texts() == texts{one, two});
    CHECK(split(one + "\r\n\r\n" + two + "\n").texts() == texts{one, two});
    CHECK(split(one).given[0].type == "Observation");
    CHECK(split(two).given[0].type == "Observation");
    CHECK(split("").texts().empty());
    CHECK_FALSE(split(one).ended_inside);
}

TEST_CASE("the entries of a Bundle are given one by one, whatever stands around them") {
    const split read(bundle_of(one, two));
    CHECK(read.texts() == texts{one, two, "(Bundle)"});
    CHECK(read.urls[0] == "urn:a");
    CHECK(read.urls[1].empty());

    const std::string late = R"({"entry":[{"request":{"entry":[{"resource":{}}]}},{"resource":)" +
                             one + R"(}],"resourceType":"Bundle"})";
    CHECK(split(late).texts() == texts{one, "(Bundle)"});
    CHECK(split(R"({"resourceType":"Bundle","entry":[]})").texts() == texts{"(Bundle)"});
    CHECK(split(bundle_of(one, two) + "\n" + bundle_of(two, one)).texts() ==
          texts{one, two, "(Bundle)", two, one, "(Bundle)"});
}

TEST_CASE("what stands in strings is no structure") {
    const std::string odd =
        R"({"resourceType":"Observation","a":"}]{\"resource\":{","b\\":"\\","c":["{",{"entry":[1]}]})";
    CHECK(split(odd).texts() == texts{odd});
    CHECK(split(bundle_of(odd, two)).texts() == texts{odd, two, "(Bundle)"});
}

TEST_CASE("pieces do not depend on how many bytes come at a time") {
    const std::string text = bundle_of(one, two) + "\n" + one + "\n{\"broken\n" + two + "\n";
    const split whole(text);
    CHECK(whole.texts() == texts{one, two, "(Bundle)", one, "FAULT", two});
    for (const std::size_t step : {1U, 2U, 3U, 7U, 64U}) {
        CHECK(split(text, step).given == whole.given);
    }
}

TEST_CASE("a broken line costs itself") {
    const std::string broken =
        GENERATE(as<std::string>{}, R"({"resourceType":"Observation","id":)",
                 R"({"resourceType":"Obs)", R"({"resourceType":"Observation"]})",
                 R"({"resourceType" "Observation"})", R"({"a":1,,"b":2})",
                 R"({"a":1})"
                 "}",
                 "no JSON", R"(["a"])", R"({"a":"\)", "{\"a\":{\"b\":[1,2", "{{{{", "\"a\"");
    CHECK(split(one + "\n" + broken + "\n" + two + "\n").texts().front() == one);
    CHECK(split(one + "\n" + broken + "\n" + two + "\n").texts().back() == two);
    const auto all = split(one + "\n" + broken + "\n" + two + "\n").texts();
    CHECK(std::ranges::count(all, "FAULT") == 1);
}

TEST_CASE("a broken first line costs itself too") {
    const texts all =
        split("{\"resourceType\":\"Observation\",\"x\":[\n" + one + "\n" + one).texts();
    CHECK(all == texts{"FAULT", one, one});
}

TEST_CASE("a broken resource in a Bundle costs itself") {
    const std::string broken =
        GENERATE(as<std::string>{}, R"({"resourceType":"Observation","a":{"b":1})",
                 R"({"resourceType":"Observation"}})", R"({"resourceType":"Observation","a":"b})",
                 R"({"resourceType":"Observation","a":[1}})", R"({"resourceType":)");
    const split read(bundle_of(broken, two));
    const texts all = read.texts();
    CHECK(std::ranges::count(all, two) == 1);
    CHECK(std::ranges::count(all, "FAULT") == 1);
    CHECK(all.back() == "(Bundle)");
    CHECK_FALSE(read.ended_inside);
}

TEST_CASE("a stream that ends inside says so") {
    const std::string text = bundle_of(one, two);
    for (std::size_t size = 1; size < text.size(); ++size) {
        const split read(std::string_view(text).substr(0, size));
        CHECK(read.ended_inside);
        const auto all = read.texts();
        CHECK(std::ranges::count(all, "FAULT") <= 1);
    }
    CHECK(split(text.substr(0, text.size() - 1)).texts() == texts{one, two});
}

TEST_CASE("a resource beyond the bounds costs itself, and its type is known") {
    const read::json_bounds small{.longest = 100, .deepest = 4};
    const std::string longer =
        R"({"resourceType":"Binary","data":")" + std::string(1000, 'x') + "\"}";
    const std::string deeper = R"({"resourceType":"Observation","a":[[[[[[]]]]]]})";
    const split read(bundle_of(longer, deeper) + "\n" + one, 10, small);
    REQUIRE(read.given.size() == 4);
    CHECK(read.given[0] == kept_piece{"", "Binary", json_fault::too_long, false});
    CHECK(read.given[1] == kept_piece{"", "Observation", json_fault::too_deep, false});
    CHECK(read.given[2].container);
    CHECK(read.given[3].text == one);
}

TEST_CASE("brackets without end are given up") {
    const std::string text = "{\"a\":" + std::string(100'000, '[') + "\n" + one + "\n";
    const split read(text);
    REQUIRE(read.given.size() == 2);
    CHECK(read.given[0].fault == json_fault::too_deep);
    CHECK(read.given[1].text == one);
}

TEST_CASE("random JSON is split where an own parser ends it") {
    std::mt19937 random(20260301);
    const auto pick = [&random](std::size_t below) -> std::size_t { return random() % below; };
    const auto value = [&](const auto& self, unsigned depth) -> nlohmann::json {
        constexpr const char* words[] = {"a\"b", "\\", "{", "}", "[\n]", "resource", "entry", "é"};
        switch (pick(depth == 0 ? 3 : 5)) {
            case 0:
                return words[pick(8)];
            case 1:
                return static_cast<int>(pick(1000)) - 500;
            case 2:
                return pick(2) == 0 ? nlohmann::json(nullptr) : nlohmann::json(pick(2) == 0);
            case 3: {
                nlohmann::json list = nlohmann::json::array();
                for (std::size_t i = pick(4); i != 0; --i) {
                    list.push_back(self(self, depth - 1));
                }
                return list;
            }
            default: {
                nlohmann::json object = nlohmann::json::object();
                for (std::size_t i = pick(4); i != 0; --i) {
                    object[words[pick(8)]] = self(self, depth - 1);
                }
                return object;
            }
        }
    };
    for (int round = 0; round < 300; ++round) {
        texts written;
        std::string text;
        const bool pretty = pick(2) == 0;
        for (std::size_t i = 1 + pick(5); i != 0; --i) {
            nlohmann::json object = {{"resourceType", "X"}, {"v", value(value, 5)}};
            written.push_back(object.dump(pretty ? 2 : -1));
            text += written.back() + (pick(2) == 0 ? " " : "\n");
        }
        CHECK(split(text, 1 + pick(50)).texts() == written);
    }
}
