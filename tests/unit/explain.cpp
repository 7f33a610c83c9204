// What was probably meant: the slips that are found, what is left alone, and that nothing else of a
// finding changes.
#include "random_sets.hpp"
#include <vitalproof/explain/words.hpp>
#include <vitalproof/message.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>

using namespace vitalproof;

namespace {

set_time minute_of_call(int minutes) {
    set_time at;
    at.local = std::chrono::local_seconds(std::chrono::minutes(29'000'000 + minutes));
    return at;
}

/// Three quiet sets, five minutes apart.
care_report quiet_report() {
    care_report report;
    report.id = "1";
    for (int i = 0; i < 3; ++i) {
        vital_set set;
        set.taken_at = minute_of_call(5 * i);
        set.systolic = (118.0 + 2 * i) * mmHg;
        set.diastolic = (72.0 + i) * mmHg;
        set.pulse = (84.0 + i) * per_minute;
        set.respiratory_rate = 16.0 * per_minute;
        set.saturation = 97.0 * percent;
        set.glucose = 104.0 * mg_per_dL;
        set.temperature = 36.9 * degC;
        report.sets.push_back(set);
    }
    return report;
}

/// The findings of the middle set with its readings as `change` leaves them.
template <class Change>
std::vector<finding> findings_after(Change change, const limits& in_force = {}) {
    care_report report = quiet_report();
    change(report.sets[1], report);
    auto found = examine(report, in_force);
    std::erase_if(found, [](const finding& f) { return f.set != 2; });
    return found;
}

/// What the first finding that is explained says first; empty where none is.
std::string first_words(const std::vector<finding>& found) {
    for (const finding& f : found) {
        if (!f.perhaps.empty()) {
            std::string text;
            message::append_explanation(text, f.perhaps.all().front());
            return text;
        }
    }
    return "";
}

template <class Change>
std::string explained(Change change) {
    return first_words(findings_after([&](vital_set& set, care_report&) { change(set); }));
}

bool any_explained(const std::vector<finding>& found) {
    return std::ranges::any_of(found, [](const finding& f) { return !f.perhaps.empty(); });
}

care_event event_at(event_kind what, int minutes) {
    return {.what = what, .at = minute_of_call(minutes), .prior_care = false};
}

}  // namespace

TEST_CASE("each kind of slip is named with what it would put back") {
    CHECK(explained([](vital_set& set) {
              set.systolic = 73.0 * mmHg;
              set.diastolic = 120.0 * mmHg;
          }) == "Swapped? 120/73 fits the sets before and after.");
    CHECK(explained([](vital_set& set) {
              set.pulse = 97.0 * per_minute;
              set.saturation = 105.0 * percent;
          }) == "Swapped? Pulse 105/min and oxygen saturation 97 % are believable.");
    CHECK(explained([](vital_set& set) { set.temperature = 98.4 * degC; }) ==
          "°F as °C? Temperature 36.9 °C fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.temperature = 2.7 * degC; }) ==
          "°C as °F? Temperature 36.9 °C fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.glucose = 5.8 * mg_per_dL; }) ==
          "mmol/L as mg/dL? Blood glucose 104 mg/dL fits the sets before and after.");
    CHECK(explained([](vital_set& set) {
              set.systolic = 16.0 * mmHg;
              set.diastolic = 9.7 * mmHg;
          }) == "kPa as mmHg? 120/73 fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.saturation = 0.97 * percent; }) ==
          "Fraction as %? Oxygen saturation 97 % fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.pulse = 850.0 * per_minute; }) ==
          "A zero or a decimal point slipped? Pulse 85/min fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.systolic = 210.0 * mmHg; }) ==
          "Two digits the other way round? Systolic 120 mmHg fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.pulse = 885.0 * per_minute; }) ==
          "A digit typed twice? Pulse 85/min fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.pulse = 185.0 * per_minute; }) ==
          "A digit too many? Pulse 85/min fits the sets before and after.");
    CHECK(explained([](vital_set& set) { set.temperature = 3.9 * degC; }) ==
          "A digit left out? Temperature 36.9 °C fits the sets before and after.");
    CHECK(explained([](vital_set& set) {
              set.diastolic = reading<sign::diastolic>::absent(absence::blank);
              set.systolic = 12073.0 * mmHg;
          }) == "Two numbers in one cell? 120/73 fits the sets before and after.");
    CHECK(explained([](vital_set& set) {
              set.diastolic = reading<sign::diastolic>::absent(absence::blank);
              set.systolic = reading<sign::systolic>::unreadable();
              set.charted.put(sign::systolic{}, charted_text("120/73"));
          }) == "Two numbers in one cell? 120/73 fits the sets before and after.");
    CHECK(explained([](vital_set& set) {
              set.systolic = reading<sign::systolic>::unreadable();
              set.charted.put(sign::systolic{}, charted_text("12O"));
          }) == "A stray letter or dash? Systolic 120 mmHg fits the sets before and after.");
    CHECK(explained([](vital_set& set) {
              set.saturation = reading<sign::saturation>::absent(absence::blank);
              set.respiratory_rate = 97.0 * per_minute;
          }) == "One field too far? Oxygen saturation 97 % fits the sets before and after.");
}

TEST_CASE("a mistake that is none of the slips makes what could be any number less sure") {
    const auto first_of = [](auto change, const limits& in_force) {
        const auto found = findings_after(change, in_force);
        const auto f =
            std::ranges::find_if(found, [](const finding& one) { return !one.perhaps.empty(); });
        REQUIRE(f != found.end());
        return f->perhaps.all().front();
    };
    limits slips_alone;
    slips_alone.explaining.rates[static_cast<std::size_t>(slip::mistyped)] = 0;
    const auto one_digit = [](vital_set& set, care_report&) { set.pulse = 191.0 * per_minute; };
    const auto both_pressures = [](vital_set& set, care_report&) {
        set.systolic = 73.0 * mmHg;
        set.diastolic = 120.0 * mmHg;
    };
    CHECK(first_of(one_digit, slips_alone).how == strength::strong);
    CHECK(first_of(one_digit, {}).how == strength::fair);
    CHECK(first_of(one_digit, {}).what == slip::surplus);
    CHECK(first_of(both_pressures, {}).how == strength::strong);
    CHECK(first_of(both_pressures, {}).probability <
          first_of(both_pressures, slips_alone).probability);
}

TEST_CASE("a coma score that adds up again is a reason") {
    CHECK(explained([](vital_set& set) {
              set.coma_eye = 4.0 * points;
              set.coma_verbal = 5.0 * points;
              set.coma_motor = 6.0 * points;
              set.coma_total = 5.0 * points;
          }).ends_with("makes the coma score add up."));
}

TEST_CASE("an explanation is the reviewer's: the crew's question knows nothing of it") {
    const message_writer words{limits{}};
    for (const finding& f : findings_after([](vital_set&set, care_report&) {
             set.systolic = 73.0 * mmHg;
             set.diastolic = 120.0 * mmHg;
         })) {
        finding without = f;
        without.perhaps = {};
        CHECK(words.question(f) == words.question(without));
        CHECK(words.question(f).find("120/73") == std::string::npos);
        CHECK(words.expected(f) == words.expected(without));
    }
}

TEST_CASE("nothing is offered where the value may simply be true") {
    // Low, alone, and as likely a true pressure as a slip.
    care_report report = quiet_report();
    report.sets.erase(report.sets.begin() + 1, report.sets.end());
    report.sets[0].systolic = 38.0 * mmHg;
    report.sets[0].diastolic = reading<sign::diastolic>::absent(absence::blank);
    const auto found = examine(report);
    CHECK_FALSE(found.empty());
    CHECK_FALSE(any_explained(found));
    // No set in doubt, nothing to explain.
    CHECK(first_words(examine(quiet_report())).empty());
}

TEST_CASE("no slip is offered for a danger that altered consciousness fits") {
    const auto altered = [](vital_set& set, care_report&) {
        set.glucose = 5.8 * mg_per_dL;
        set.responsiveness = responsiveness_reading(responsiveness_level::painful);
    };
    const auto found = findings_after(altered);
    CHECK_FALSE(found.empty());
    CHECK_FALSE(any_explained(found));
    // So does a neighbour, or the complaint, where the set itself is silent.
    CHECK_FALSE(any_explained(findings_after([](vital_set& set, care_report& report) {
        set.glucose = 5.8 * mg_per_dL;
        report.sets[0].responsiveness = responsiveness_reading(responsiveness_level::painful);
    })));
    CHECK_FALSE(any_explained(findings_after([](vital_set& set, care_report& report) {
        set.glucose = 5.8 * mg_per_dL;
        report.call = call_record{};
        report.call->add(complaint::altered_mind);
    })));
    CHECK(any_explained(findings_after([](vital_set& set, care_report& report) {
        set.glucose = 5.8 * mg_per_dL;
        set.responsiveness = responsiveness_reading(responsiveness_level::alert);
        report.sets[0].responsiveness = responsiveness_reading(responsiveness_level::painful);
    })));
    // What cannot be true of anybody is no danger that an explanation could hide.
    CHECK(any_explained(findings_after([](vital_set& set, care_report&) {
        set.pulse = 850.0 * per_minute;
        set.responsiveness = responsiveness_reading(responsiveness_level::painful);
    })));
}

TEST_CASE("no slip is offered for a low that was treated") {
    const auto treated_at = [](event_kind what, int at, auto slip_in) {
        return findings_after([&](vital_set& set, care_report& report) {
            slip_in(set);
            report.call = call_record{};
            report.call->events = {event_at(what, at)};
        });
    };
    const auto treated = [&](event_kind what, auto slip_in) {
        return treated_at(what, 12, slip_in);  // the set stands at 5
    };
    const auto low_glucose = [](vital_set& set) { set.glucose = 10.4 * mg_per_dL; };
    const auto low_pressure = [](vital_set& set) { set.systolic = 12.0 * mmHg; };
    const auto low_breathing = [](vital_set& set) { set.respiratory_rate = 1.6 * per_minute; };
    CHECK_FALSE(any_explained(treated(event_kind::sugar, low_glucose)));
    CHECK_FALSE(any_explained(treated(event_kind::treatment, low_pressure)));
    CHECK_FALSE(any_explained(treated(event_kind::naloxone, low_breathing)));
    // Each is explained where that treatment was not given.
    CHECK(any_explained(treated(event_kind::nitrate, low_glucose)));
    // What was given long before has acted; what is given for a value follows it.
    CHECK(any_explained(treated_at(event_kind::sugar, -6, low_glucose)));
    CHECK_FALSE(any_explained(treated_at(event_kind::sugar, -5, low_glucose)));
    CHECK_FALSE(any_explained(treated_at(event_kind::sugar, 35, low_glucose)));
    CHECK(any_explained(treated_at(event_kind::sugar, 36, low_glucose)));
    CHECK(any_explained(treated(event_kind::sugar, low_pressure)));
    CHECK(any_explained(treated(event_kind::sugar, low_breathing)));
}

TEST_CASE("a low near an airway attempt, sedation or arrest is never called artefact") {
    for (const event_kind what : {event_kind::airway_attempt, event_kind::sedation,
                                  event_kind::arrest, event_kind::pulse_returned}) {
        for (const int at : {-5, 5, 15}) {  // the set stands at 5
            const auto found = findings_after([&](vital_set& set, care_report& report) {
                set.saturation = 9.7 * percent;
                report.call = call_record{};
                report.call->events = {event_at(what, at)};
            });
            CHECK_FALSE(found.empty());
            CHECK_FALSE(any_explained(found));
        }
    }
    for (const fact known : {fact::arrest, fact::compressions, fact::airway_attempt}) {
        const auto around = findings_after([&](vital_set& set, care_report& report) {
            set.systolic = 12.0 * mmHg;
            report.sets[2].known.state(known, true);
        });
        CHECK_FALSE(any_explained(around));
    }
}

TEST_CASE("a pressure whose halves fall together, or with the pulse, is never called a digit") {
    const auto digit_is_offered = [](double diastolic, double pulse) {
        const auto found = findings_after([&](vital_set& set, care_report&) {
            set.systolic = 20.0 * mmHg;
            set.diastolic = diastolic * mmHg;
            set.pulse = pulse * per_minute;
        });
        return std::ranges::any_of(found, [](const finding& f) {
            std::string text;
            message::append_explanations(text, f.perhaps);
            return text.find("digit") != std::string::npos;
        });
    };
    CHECK(digit_is_offered(73, 85));
    CHECK_FALSE(digit_is_offered(30, 85));
    CHECK_FALSE(digit_is_offered(73, 35));
    // A unit mistaken for the whole pressure moves both.
    CHECK(explained([](vital_set& set) {
              set.systolic = 16.0 * mmHg;
              set.diastolic = 9.7 * mmHg;
          }) == "kPa as mmHg? 120/73 fits the sets before and after.");
}

TEST_CASE("a low exhaled CO2 with a tube in place is never explained") {
    const auto low_co2 = [](bool tube) {
        return findings_after([&](vital_set& set, care_report& report) {
            for (vital_set& each : report.sets) {
                each.exhaled_co2 = 36.0 * mmHg;
            }
            set.exhaled_co2 = 2.8 * mmHg;
            set.known.state(fact::airway_tube, tube);
        });
    };
    CHECK(any_explained(low_co2(false)));
    CHECK_FALSE(any_explained(low_co2(true)));
}

TEST_CASE("in sets at random no danger that may be true is explained away") {
    const testing::rows all = testing::random_rows(20260301, 3000);
    std::size_t explained_findings = 0;
    for (care_report report : all.reports) {
        put_in_order(report);
        for (const finding& f : examine(report)) {
            const vital_set& set = report.sets[f.set - 1];
            for (const explanation& e : f.perhaps.all()) {
                ++explained_findings;
                CHECK(f.info().kind != kind::clinical);
                CHECK(e.probability > 0);
                for (const meant_value& v : e.meant()) {
                    const double charted = numbers_of(set)[index_of(v.sign)];
                    // Less than nothing is no danger that could be true.
                    const bool low_glucose =
                        v.sign == sign_id::glucose && charted >= 0 && charted < 70;
                    CHECK_FALSE((low_glucose && set.responsiveness.raw() > 1));
                    CHECK_FALSE(
                        (low_glucose && report.known.overlaid_by(set.known).is(fact::treated)));
                }
            }
        }
    }
    CHECK(explained_findings > 100);
}

TEST_CASE("an agency may say how often a slip is made, and how sure an offer must be") {
    const auto swap_fields = [](vital_set& set, care_report&) {
        set.systolic = 73.0 * mmHg;
        set.diastolic = 120.0 * mmHg;
    };
    limits never;
    never.explaining.rates[static_cast<std::size_t>(slip::swapped)] = 0;
    CHECK(first_words(findings_after(swap_fields, never)).find("Swapped") == std::string::npos);
    limits sure;
    sure.explaining.together = 101;
    CHECK_FALSE(any_explained(findings_after(swap_fields, sure)));
}

TEST_CASE("at most three, the most probable first, and together no more than certain") {
    for (const double systolic : {11.0, 12.0, 13.0, 1120.0, 12.5, 999.0, 310.0}) {
        for (const finding& f :
             findings_after([&](vital_set&set, care_report&) { set.systolic = systolic * mmHg; })) {
            const auto all = f.perhaps.all();
            CHECK(all.size() <= 3);
            CHECK(std::ranges::is_sorted(all, std::ranges::greater{}, &explanation::probability));
            float sum = 0;
            for (const explanation& e : all) {
                sum += e.probability;
            }
            CHECK(sum <= 1.0001F);
        }
    }
}

TEST_CASE("a reading that passes every limit is noticed and explained by one digit") {
    const auto in_systolic = [](double value) {
        return findings_after([value](vital_set& set, care_report& report) {
            for (vital_set& each : report.sets) {
                each.systolic = 117.0 * mmHg;
            }
            set.systolic = value * mmHg;
        });
    };
    const auto found = in_systolic(187);
    CHECK(std::ranges::any_of(
        found, [](const finding& f) { return f.info().code == "slip.digit_systolic"; }));
    CHECK(first_words(found) == "A wrong digit? Systolic 117 mmHg fits the sets before and after.");
    // Beside the same neighbours a smaller step is likelier true than a slip.
    CHECK_FALSE(std::ranges::any_of(
        in_systolic(157), [](const finding& f) { return f.info().code.starts_with("slip."); }));
}

TEST_CASE("a spike that no single slip explains is told without a guess") {
    const auto found = findings_after([](vital_set& set, care_report& report) {
        report.sets[0].pulse = 46.0 * per_minute;
        set.pulse = 118.0 * per_minute;
        report.sets[2].pulse = 48.0 * per_minute;
    });
    REQUIRE(std::ranges::any_of(found,
                                [](const finding& f) { return f.info().code == "spike.pulse"; }));
    CHECK_FALSE(std::ranges::any_of(
        found, [](const finding& f) { return f.info().code.starts_with("slip."); }));
    CHECK_FALSE(any_explained(found));
}

TEST_CASE("one figure says how probable a slip must be to be noticed") {
    const auto slips_at = [](real together) {
        limits in_force;
        in_force.explaining.together = together;
        const auto found = findings_after(
            [](vital_set& set, care_report&) { set.pulse = 28.0 * per_minute; }, in_force);
        return std::ranges::count_if(
            found, [](const finding& f) { return f.info().code.starts_with("slip."); });
    };
    CHECK(slips_at(67) == 1);
    CHECK(slips_at(99.999F) == 0);
    CHECK(slips_at(100) == 0);
    CHECK(slips_at(101) == 0);
}

TEST_CASE("parts of zero beside a full total say nothing of consciousness, without one they do") {
    const auto with_parts_of_zero = [](std::optional<double> total) {
        return findings_after([total](vital_set& set, care_report&) {
            set.glucose = 5.8 * mg_per_dL;
            set.coma_eye = 0.0 * points;
            set.coma_verbal = 0.0 * points;
            set.coma_motor = 0.0 * points;
            if (total) {
                set.coma_total = *total * points;
            }
        });
    };
    const auto glucose_explained = [](const std::vector<finding>& found) {
        return std::ranges::any_of(found, [](const finding& f) {
            return f.info().sign == sign_id::glucose && !f.perhaps.empty();
        });
    };
    CHECK(glucose_explained(with_parts_of_zero(15.0)));
    CHECK_FALSE(glucose_explained(with_parts_of_zero(14.0)));
    CHECK_FALSE(glucose_explained(with_parts_of_zero(std::nullopt)));
}

TEST_CASE("a monitor that counts twice is explained by its own check") {
    const auto found = findings_after([](vital_set& set, care_report& report) {
        for (vital_set& each : report.sets) {
            each.ecg_rate = 85.0 * per_minute;
        }
        set.ecg_rate = 170.0 * per_minute;
    });
    REQUIRE(std::ranges::any_of(
        found, [](const finding& f) { return f.info().code == "rate.double_count"; }));
    CHECK_FALSE(any_explained(found));
}

TEST_CASE("what is left out as hopeless or worked out once changes no probability") {
    for (const double systolic : {11.0, 12.0, 13.5, 187.0, 210.0, 1120.0, 310.0}) {
        care_report report = quiet_report();
        report.sets[1].systolic = systolic * mmHg;
        const limits in_force;
        const set_numbers numbers = numbers_of(report.sets[1]);
        const set_neighbours around = neighbours_of(report, 1);
        const set_likelihood model(in_force.signs, report.age, around);
        const auto likely = [&](const set_numbers& in) {
            double product = 1;
            for (std::size_t i = 0; i < sign_count; ++i) {
                product *= model.of(static_cast<sign_id>(i), in);
            }
            return product;
        };
        auto candidates = std::make_unique<slip_candidates>();
        candidates->begin(numbers, ~0U, model.is_among_fine(), in_force.signs);
        candidates->of_number(sign_id::systolic);
        double total = 0;
        std::map<double, double> odds;  // by the systolic that was meant
        for (const slip_candidate& c : candidates->all()) {
            set_numbers meant = numbers;
            for (std::size_t i = 0; i < c.count; ++i) {
                meant[index_of(c.values[i].sign)] = c.values[i].value;
            }
            const double rate = in_force.explaining.rates[static_cast<std::size_t>(c.what)] / 100;
            const double own = rate / c.ways * likely(meant) / likely(numbers);
            odds[meant[0]] += own;
            total += own;
        }
        const double another = in_force.explaining.rates[static_cast<std::size_t>(slip::mistyped)] /
                               (100 * explainer::any_number) * model.charted(sign_id::systolic) /
                               model.of(sign_id::systolic, numbers);
        const auto found = examine(report, in_force);
        // Of findings that rest on the systolic alone.
        const auto one = std::ranges::find_if(found, [](const finding& f) {
            const std::string_view code = f.info().code;
            return f.set == 2 && !f.perhaps.empty() &&
                   (code == "unlikely.systolic" || code == "impossible.systolic" ||
                    code.starts_with("slip."));
        });
        INFO(systolic);
        REQUIRE((total < 2 || one != found.end()));
        if (one != found.end() && one->perhaps.all().front().count == 1) {
            const explanation& first = one->perhaps.all().front();
            CHECK(first.probability ==
                  Approx(odds[first.values[0].value] / (1 + total + another)).epsilon(0.01));
        }
    }
}
