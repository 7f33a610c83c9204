// The catalogue: every check says everything about itself, in words that blame nobody.
#include <vitalproof/catalogue.hpp>
#include <vitalproof/finding.hpp>
#include <vitalproof/run.hpp>

#include <catch2/catch.hpp>

#include <bit>

using namespace vitalproof;

namespace {

constexpr bool all_checks(auto holds) { return std::ranges::all_of(check_table, holds); }

constexpr bool is_code(std::string_view code) {
    const bool characters = std::ranges::all_of(code, [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '.';
    });
    const std::size_t dot = code.find('.');
    return characters && dot != 0 && dot + 1 < code.size() && dot == code.rfind('.');
}

// By sorting: Clang's limit on constant evaluation does not reach for comparing all pairs.
constexpr bool codes_are_unique() {
    std::array<std::string_view, check_count> codes{};
    std::ranges::transform(check_table, codes.begin(), &check_info::code);
    std::ranges::sort(codes);
    return std::ranges::adjacent_find(codes) == codes.end();
}

constexpr bool is_complete(const check_info& i) {
    return !i.code.empty() && !i.title.empty() && !i.question.empty() && !i.expected.empty() &&
           !i.why.empty() && !i.source.empty();
}

constexpr bool ends_as_a_sentence(std::string_view text) {
    return text.ends_with('?') || text.ends_with('.');
}

constexpr bool contains_word(std::string_view text, std::string_view word) {
    for (std::size_t at = text.find(word); at != std::string_view::npos;
         at = text.find(word, at + 1)) {
        const std::size_t end = at + word.size();
        if ((at == 0 || !detail::is_letter(text[at - 1])) &&
            (end == text.size() || !detail::is_letter(text[end]))) {
            return true;
        }
    }
    return false;
}

// What a crew could take for a verdict on a person.
constexpr bool blames(std::string_view text) {
    constexpr std::array<std::string_view, 16> words{
        "wrong",  "wrongly", "error", "mistake", "mistaken", "fault",     "failed",      "careless",
        "forgot", "neglect", "blame", "invalid", "lie",      "falsified", "should have", "bad"};
    return std::ranges::any_of(words,
                               [text](std::string_view w) { return contains_word(text, w); });
}

constexpr bool braces_close(std::string_view text) {
    bool open = false;
    for (const char c : text) {
        if ((c == '{' && open) || (c == '}' && !open)) {
            return false;
        }
        open = c == '{' || (open && c != '}');
    }
    return !open;
}

constexpr std::uint32_t signs_of(std::size_t check) {
    return check_needs[check] | check_sees[check] | (1U << index_of(check_table[check].sign));
}

constexpr bool evidence_fits() {
    for (std::size_t i = 0; i < check_count; ++i) {
        // A followed sign brings the readings before and after.
        const int readings = std::popcount(signs_of(i)) + 2 * std::popcount(check_follows[i]);
        if (readings > static_cast<int>(evidence::most_readings)) {
            return false;
        }
    }
    return true;
}

constexpr bool points_at_a_sign_it_looks_at() {
    for (std::size_t i = 0; i < check_count; ++i) {
        if (!check_of_report[i] && signs_of(i) != (check_needs[i] | check_sees[i])) {
            return false;
        }
    }
    return true;
}

constexpr bool needs_and_sees_are_apart() {
    for (std::size_t i = 0; i < check_count; ++i) {
        if ((check_needs[i] & check_sees[i]) != 0) {
            return false;
        }
    }
    return true;
}

constexpr bool own_limits_are_whole() {
    bool whole = true;
    for_each_check(catalogue{}, [&]<class C>() {
        std::apply(
            [&](const auto&... field) {
                whole = whole && ((!field.name.empty() && !field.source.empty()) && ...);
            },
            C::limits::fields());
    });
    return whole;
}

// Where nothing is a number the kernel has no row to mask, and neighbours may lie there.
constexpr bool neighbour_checks_need_a_number() {
    for (std::size_t i = 0; i < check_count; ++i) {
        if (check_follows[i] != 0 && check_needs[i] == 0) {
            return false;
        }
    }
    return true;
}

// A check that says it fires on odd states only needs no number and sees something.
constexpr bool odd_state_checks_are_so() {
    bool so = true;
    for_each_check(catalogue{}, [&]<class C>() {
        if constexpr (fires_on_odd_states_only<C>) {
            so = so && C::needs::mask == 0 && C::sees::mask != 0;
        }
    });
    return so;
}

}  // namespace

TEST_CASE("codes") {
    STATIC_REQUIRE(all_checks([](const check_info& i) { return is_code(i.code); }));
    STATIC_REQUIRE(codes_are_unique());
    for (std::size_t i = 0; i < check_count; ++i) {
        CHECK(find_check(check_table[i].code) == i);
    }
    STATIC_REQUIRE(!find_check(""));
    STATIC_REQUIRE(!find_check("pressure"));
    STATIC_REQUIRE(!find_check("Pressure.order"));
}

TEST_CASE("every description is complete") {
    STATIC_REQUIRE(all_checks(is_complete));
    STATIC_REQUIRE(all_checks([](const check_info& i) { return ends_as_a_sentence(i.question); }));
    STATIC_REQUIRE(all_checks([](const check_info& i) { return ends_as_a_sentence(i.why); }));
    STATIC_REQUIRE(all_checks(
        [](const check_info& i) { return i.context.empty() || ends_as_a_sentence(i.context); }));
    STATIC_REQUIRE(all_checks([](const check_info& i) {
        return braces_close(i.title) && braces_close(i.question) && braces_close(i.expected);
    }));
    STATIC_REQUIRE(own_limits_are_whole());
}

TEST_CASE("nobody is blamed") {
    STATIC_REQUIRE(blames("The crew made a mistake."));
    STATIC_REQUIRE(!blames("Was the reading mistyped?"));
    for (const check_info& i : check_table) {  // too many steps for Clang's constants
        INFO(i.code);
        CHECK(!blames(i.title));
        CHECK(!blames(i.question));
        CHECK(!blames(i.expected));
    }
}

TEST_CASE("what a check asks goes with its kind") {
    // Clinical findings are for the reviewer's eye and never reject a reading.
    STATIC_REQUIRE(all_checks([](const check_info& i) {
        return (i.kind == kind::clinical) == i.code.starts_with("clinical.");
    }));
    STATIC_REQUIRE(all_checks(
        [](const check_info& i) { return i.kind != kind::clinical || i.asks == asks::notice; }));
    STATIC_REQUIRE(all_checks([](const check_info& i) {
        return i.asks != asks::reject || i.kind == kind::plausibility;
    }));
}

TEST_CASE("zero pulse, breathing and pressure are asked about, never rejected") {
    STATIC_REQUIRE(check_table[*find_check("zero.pulse")].asks == asks::query);
    STATIC_REQUIRE(check_table[*find_check("zero.respiratory_rate")].asks == asks::query);
    STATIC_REQUIRE(check_table[*find_check("zero.pressure")].asks == asks::query);
    STATIC_REQUIRE(check_table[*find_check("zero.no_signs_of_life")].asks == asks::query);
}

TEST_CASE("a guess at what was meant is for the reviewer: swapped fields ask the crew nothing") {
    STATIC_REQUIRE(all_checks([](const check_info& i) {
        return !i.code.starts_with("swapped.") || i.asks == asks::notice;
    }));
}

TEST_CASE("what a check looks at") {
    STATIC_REQUIRE(evidence_fits());
    STATIC_REQUIRE(points_at_a_sign_it_looks_at());
    STATIC_REQUIRE(needs_and_sees_are_apart());
    STATIC_REQUIRE(odd_state_checks_are_so());
    STATIC_REQUIRE(neighbour_checks_need_a_number());
}
