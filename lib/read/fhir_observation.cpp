#include "read/fhir_observation.hpp"

#include "read/context_words.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <functional>

namespace vitalproof::read {

namespace {

constexpr std::size_t longest_identifier = 256;

bool is_pressure(sign_id sign) {
    return sign == sign_id::systolic || sign == sign_id::diastolic ||
           sign == sign_id::mean_pressure;
}

// The last two parts of a reference, `Patient/1`, without a server before or a version behind.
std::string_view type_and_id(std::string_view reference) {
    reference = reference.substr(0, reference.find("/_history"));
    const std::size_t last = reference.rfind('/');
    if (last == std::string_view::npos || last == 0) {
        return reference;
    }
    const std::size_t before = reference.rfind('/', last - 1);
    return before == std::string_view::npos ? reference : reference.substr(before + 1);
}

// The identifier of an encounter: the id of a reference, which must not be to something else, or
// the identifier that stands in for one.
std::string_view encounter_of(const json_object& observation) {
    json_object encounter;
    if (!object_member(observation, "encounter", encounter)) {
        return {};
    }
    const std::string_view reference = text_member(encounter, "reference");
    const std::string_view local = type_and_id(reference);
    constexpr std::string_view type = "Encounter/";
    if (local.starts_with(type)) {
        return trimmed(local.substr(type.size()));
    }
    if (reference.starts_with("urn:uuid:") || reference.starts_with("urn:oid:")) {
        return reference;
    }
    json_object identifier;
    if (reference.empty() && object_member(encounter, "identifier", identifier)) {
        return trimmed(text_member(identifier, "value"));
    }
    return {};
}

struct time_text {
    std::string_view member{};
    std::string_view text{};
    bool other = false;  // a Timing, which is no one time
};

time_text time_of(const json_object& observation) {
    for (const std::string_view member : {"effectiveDateTime", "effectiveInstant"}) {
        if (const std::string_view text = text_member(observation, member); !text.empty()) {
            return {member, text};
        }
    }
    json_object period;
    if (object_member(observation, "effectivePeriod", period)) {
        return {"effectivePeriod.start", text_member(period, "start")};
    }
    json_element timing;
    return {"effectiveTiming", {}, observation["effectiveTiming"].get(timing) == simdjson::SUCCESS};
}

void take_time(const json_object& observation, fhir_observation& read) {
    const auto [member, text, other] = time_of(observation);
    read.time_member = member;
    read.time_text = charted_text(text);
    read.time = {.kind = other ? time_kind::unreadable : time_kind::blank};
    if (text.empty()) {
        return;
    }
    constexpr std::size_t longest_date = 10;
    const timestamp time = read_timestamp(text);
    if (time.kind == time_kind::clock && text.size() > longest_date && text[longest_date] == 'T') {
        read.time = time;
    } else if (text.size() <= longest_date &&
               text.find_first_not_of("0123456789-") == std::string_view::npos) {
        read.time.kind = time_kind::date_only;  // a year and a month too say no more
    } else {
        read.time.kind = time_kind::unreadable;
    }
}

method method_in(const json_object& observation, sign_id sign) {
    json_object given;
    if (!object_member(observation, "method", given)) {
        return method::unknown;
    }
    method how = method::unknown;
    const auto by_words = [&](std::string_view words) {
        const auto known =
            sign == sign_id::pulse ? read_pulse_method(words) : read_pressure_method(words);
        how = how == method::unknown ? known.value_or(method::unknown) : how;
    };
    for_each_coding(given, [&](const fhir_code& code, const json_object& coding) {
        how = how == method::unknown ? method_of(code, sign) : how;
        by_words(text_member(coding, "display"));
    });
    by_words(text_member(given, "text"));
    return how;
}

// What the codings of a concept come to.
struct meaning {
    std::optional<coded_sign> sign{};
    method how = method::unknown;
    bool whole_pressure = false;
    bool two_signs = false;
    std::string_view unknown{};  // a code that is none of ours
};

// A heart rate is whatever another code says more closely: a pulse, or the ECG's rate.
bool may_be_one(const coded_sign& one, const coded_sign& other) {
    const bool rates = (one.heart_rate && other.sign == sign_id::ecg_rate) ||
                       (other.heart_rate && one.sign == sign_id::ecg_rate);
    return one.sign == other.sign || rates;
}

meaning meaning_of(const json_object& holder) {
    meaning of;
    json_object code_member;
    if (!object_member(holder, "code", code_member)) {
        return of;
    }
    for_each_coding(code_member, [&of](const fhir_code& code, const json_object&) {
        const auto sign = is_loinc(code.system) ? sign_of_loinc(code.code) : std::nullopt;
        if (!sign) {
            of.whole_pressure |= is_loinc(code.system) && is_whole_pressure(code.code);
            of.unknown = of.unknown.empty() || is_loinc(code.system) ? code.code : of.unknown;
            return;
        }
        of.two_signs |= of.sign && !may_be_one(*of.sign, *sign);
        of.sign = !of.sign || of.sign->heart_rate ? sign : of.sign;
        of.how = of.how == method::unknown ? method_of_loinc(code.code) : of.how;
    });
    return of;
}

class observation_reader {
public:
    observation_reader(const json_object& resource, std::uint64_t number,
                       const co2_percent_basis& co2, fhir_observation& read, fhir_remarks& remarks,
                       understanding& columns)
        : resource_(resource),
          number_(number),
          co2_(co2),
          read_(read),
          remarks_(remarks),
          columns_(columns) {}

    std::optional<fhir_refusal> run() {
        take_belonging();
        if (read_.withdrawn) {
            ++remarks_.withdrawn;
            return std::nullopt;
        }
        take_time(resource_, read_);
        take_readings(resource_, std::nullopt);
        for_each_object(resource_, "component", [this](const json_object& one, std::size_t index) {
            take_readings(one, index);
        });
        take_reason_of_panel();
        return refusal_;
    }

private:
    void take_belonging() {
        const std::string_view id = text_member(resource_, "id");
        read_.id = is_fhir_id(id) ? id : std::string_view();
        read_.encounter = encounter_of(resource_);
        json_object subject;
        const bool has = object_member(resource_, "subject", subject);
        const std::string_view reference = has ? text_member(subject, "reference") : "";
        read_.subject = reference.empty() ? 0 : hash_of_reference(reference);
        const std::string_view status = text_member(resource_, "status");
        read_.withdrawn = status == "entered-in-error" || status == "cancelled";
        read_.whole_pressure = false;
        read_.readings.clear();
        if (read_.encounter.size() > longest_identifier) {
            refuse({"the encounter's identifier is longer than 256 bytes",
                    "check what the export writes as its encounter"});
        }
    }

    void take_readings(const json_object& holder, std::optional<std::size_t> component) {
        json_element modifier;
        if (holder["modifierExtension"].get(modifier) == simdjson::SUCCESS) {
            refuse({"an extension changes what it means (modifierExtension)",
                    "read it by hand; what it says cannot be relied on here"});
            return;
        }
        const meaning of = meaning_of(holder);
        read_.whole_pressure |= of.whole_pressure;
        if (of.two_signs) {
            refuse({"its codes name two vital signs", "leave the code that is right"});
        } else if (of.sign) {
            take_sign(holder, of, component);
        } else if (!of.whole_pressure) {
            remarks_.unknown_code(of.unknown);
        }
    }

    void take_sign(const json_object& holder, const meaning& of,
                   std::optional<std::size_t> component) {
        const coded_sign& code = *of.sign;
        remarks_.sign_seen(code.code, code.sign, code.unit, columns_);
        auto cell = read_fhir_value(holder, code, co2_, number_, remarks_);
        if (!cell || (cell->state == reading_state::absent && cell->why == absence::blank)) {
            return;
        }
        fhir_reading reading{code.sign, code.heart_rate, of.how, *cell, component};
        if (reading.how == method::unknown &&
            (is_pressure(code.sign) || code.sign == sign_id::pulse)) {
            reading.how = method_in(resource_, code.sign);
        }
        if (code.sign == sign_id::pulse && reading.how == method::by_ecg) {
            reading.sign = sign_id::ecg_rate;
        }
        reading.heart_rate = code.heart_rate && reading.how == method::unknown;
        read_.readings.push_back(reading);
    }

    // A pressure as a whole with a reason and no component: neither half is there, for that reason.
    void take_reason_of_panel() {
        const auto reason = read_.whole_pressure && read_.readings.empty()
                                ? read_absent_reason(resource_, remarks_)
                                : std::nullopt;
        if (reason) {
            read_.readings.push_back({.sign = sign_id::systolic, .cell = *reason});
            read_.readings.push_back({.sign = sign_id::diastolic, .cell = *reason});
        }
    }

    void refuse(const fhir_refusal& why) { refusal_ = refusal_ ? refusal_ : std::optional(why); }

    const json_object& resource_;
    std::uint64_t number_;
    const co2_percent_basis& co2_;
    fhir_observation& read_;
    fhir_remarks& remarks_;
    understanding& columns_;
    std::optional<fhir_refusal> refusal_{};
};

}  // namespace

std::optional<fhir_refusal> read_fhir_observation(const json_object& resource, std::uint64_t number,
                                                  const co2_percent_basis& co2,
                                                  fhir_observation& read, fhir_remarks& remarks,
                                                  understanding& columns) {
    return observation_reader(resource, number, co2, read, remarks, columns).run();
}

std::uint64_t hash_of_reference(std::string_view reference) {
    return std::hash<std::string_view>{}(type_and_id(reference)) | 1U;
}

bool is_fhir_id(std::string_view text) {
    constexpr std::size_t longest = 64;
    return !text.empty() && text.size() <= longest && std::ranges::all_of(text, [](char c) {
        return is_digit(c) || c == '-' || c == '.' || vitalproof::detail::is_letter(c);
    });
}

bool has_member_twice(const json_element& value) {
    simdjson::dom::array list;
    if (value.get(list) == simdjson::SUCCESS) {
        return std::any_of(list.begin(), list.end(), has_member_twice);
    }
    json_object object;
    if (value.get(object) != simdjson::SUCCESS) {
        return false;
    }
    std::vector<std::string_view> keys;
    for (const auto member : object) {
        if (has_member_twice(member.value)) {
            return true;
        }
        keys.push_back(member.key);
    }
    std::ranges::sort(keys);
    return std::ranges::adjacent_find(keys) != keys.end();
}

}  // namespace vitalproof::read
