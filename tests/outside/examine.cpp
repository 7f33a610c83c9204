// Asks the catalogue about single sets, for a comparison with published tables.
// Reads a set a line, `age=70 systolic=109 arrest`: signs by name, the age in years, and facts that
// are known to hold. Writes the codes of the checks that fired, in the catalogue's order.
#include <vitalproof/examine.hpp>

#include <charconv>
#include <iostream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <string_view>

namespace {

using namespace vitalproof;

double number(std::string_view text) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size()) {
        throw std::invalid_argument("not a number: " + std::string(text));
    }
    return value;
}

bool put_sign(vital_set& set, std::string_view name, std::string_view text) {
    bool known = false;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        if (S::info.name == name) {
            set[s] = text == "HI"   ? reading<S>::above()
                     : text == "LO" ? reading<S>::below()
                                    : reading<S>(value_of<S>::from_value(number(text)));
            known = true;
        }
    });
    return known;
}

bool put_fact(facts& known, std::string_view name) {
    for (std::size_t i = 0; i < fact_count; ++i) {
        if (fact_names[i] == name) {
            known.state(static_cast<fact>(i), true);
            return true;
        }
    }
    return false;
}

void put_word(care_report& report, std::string_view word) {
    vital_set& set = report.sets.front();
    const std::size_t equals = word.find('=');
    const std::string_view name = word.substr(0, equals);
    if (equals == std::string_view::npos) {
        if (!put_fact(set.known, name)) {
            throw std::invalid_argument("no such fact: " + std::string(name));
        }
    } else if (name == "age") {
        report.age = age_in_years(number(word.substr(equals + 1)));
    } else if (!put_sign(set, name, word.substr(equals + 1))) {
        throw std::invalid_argument("no such sign: " + std::string(name));
    }
}

}  // namespace

int main() try {
    std::string line;
    while (std::getline(std::cin, line)) {
        care_report report;
        report.id = "1";
        report.sets.emplace_back();
        std::istringstream words(line);
        for (std::string word; words >> word;) {
            put_word(report, word);
        }
        std::string_view space;
        for (const finding& f : examine(report)) {
            std::cout << space << f.info().code;
            space = " ";
        }
        std::cout << '\n';
    }
    return 0;
} catch (const std::invalid_argument& error) {
    std::cerr << error.what() << '\n';
    return 1;
}
