#include "read/fhir.hpp"

#include "read/digesting_source.hpp"
#include "read/fhir_sets.hpp"
#include "read/gzip_source.hpp"
#include "read/peeking_source.hpp"

#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::size_t remembered_births = 16384;

/// The days that patients were born, by a hash of how they are referred to: never by name, and
/// forgotten when others take their places.
class births {
public:
    void add(std::uint64_t patient, std::chrono::local_days day) {
        known_[patient % known_.size()] = {patient, day};
    }
    std::optional<std::chrono::local_days> of(std::uint64_t patient) const {
        const birth& known = known_[patient % known_.size()];
        return patient != 0 && known.patient == patient ? std::optional(known.day) : std::nullopt;
    }

private:
    struct birth {
        std::uint64_t patient = 0;
        std::chrono::local_days day{};
    };
    std::vector<birth> known_{remembered_births};
};

class fhir_reader {
public:
    fhir_reader(byte_source& source, std::string_view file_name, const delimited_options& options,
                sink& into, const json_bounds& bounds)
        : options_(options),
          file_name_(file_name),
          into_(into),
          bounds_(bounds),
          bytes_(source),
          packed_(bytes_),
          zone_(options.zone),
          sets_(into, options.gathering, outcome_, remarks_) {}

    delimited_outcome run() {
        outcome_.columns.resources = true;
        byte_source& text = unpacked();
        json_splitter resources(text, bounds_);
        json_piece piece;
        while (resources.next(piece)) {
            take(piece);
        }
        sets_.finish();
        outcome_.error = what_stopped(text, resources.ended_inside());
        remarks_.say(outcome_);
        outcome_.rows_read = outcome_.rows_examined + outcome_.rows_unread + outcome_.rows_other;
        outcome_.bytes = bytes_.bytes();
        outcome_.digest = bytes_.digest();
        return std::move(outcome_);
    }

private:
    byte_source& unpacked();
    std::optional<file_error> what_stopped(const byte_source& text, bool ended_inside) const;

    void take(const json_piece& piece);
    void take_container(const json_piece& piece);
    void refuse_fault(const json_piece& piece);
    void parse(const json_piece& piece);
    void take_resource(const json_element& resource, std::string_view full_url);
    void take_bundle(const json_object& bundle);
    void take_patient(const json_object& patient, std::string_view full_url);
    void take_observation(const json_object& observation);
    void settle_time();
    void refuse(std::string_view reason, std::string_view remedy);

    const delimited_options& options_;
    std::string_view file_name_;
    sink& into_;
    json_bounds bounds_;
    digesting_source bytes_;
    peeking_source packed_;
    std::optional<gzip_source> unpacked_{};
    std::optional<time_zone> zone_;
    delimited_outcome outcome_{};
    fhir_remarks remarks_{};
    fhir_sets sets_;

    simdjson::dom::parser parser_{};
    fhir_observation observation_{};
    births births_{};
    std::uint64_t number_ = 0;  // of the resource being read
    std::uint64_t observations_ = 0;
};

byte_source& fhir_reader::unpacked() {
    if (packed_.peek(gzip_magic.size()) != gzip_magic) {
        return packed_;
    }
    return unpacked_.emplace(packed_, options_.most_unpacked);
}

std::optional<file_error> fhir_reader::what_stopped(const byte_source& text,
                                                    bool ended_inside) const {
    if (!text.trouble().empty()) {
        return file_error{"reading broke off after " + std::to_string(bytes_.bytes()) +
                              " bytes: " + text.trouble(),
                          "check the disk, connection or archive and read it again; resources "
                          "before this were read"};
    }
    if (ended_inside) {
        return file_error{"the file ends inside a resource or Bundle",
                          "check that its export finished; resources before this were read"};
    }
    if (observations_ == 0) {
        return file_error{"this JSON holds no FHIR Observation",
                          "export the Observations of the vital signs, in a Bundle or one a line"};
    }
    return std::nullopt;
}

constexpr bool is_of_ours(std::string_view type) {
    return type.empty() || type == "Observation" || type == "Patient" || type == "Bundle";
}

void fhir_reader::take(const json_piece& piece) {
    if (piece.container) {
        take_container(piece);
        return;
    }
    const bool skipped = piece.fault == json_fault::none || piece.fault == json_fault::too_long ||
                         piece.fault == json_fault::too_deep;
    if (skipped && !is_of_ours(piece.type)) {
        ++number_;
        ++outcome_.rows_other;  // whatever it holds, and however large
    } else if (piece.fault != json_fault::none) {
        refuse_fault(piece);
    } else {
        parse(piece);
    }
}

// An object with an "entry", whose resources were given. A Bundle is no row.
void fhir_reader::take_container(const json_piece& piece) {
    if (piece.type == "Bundle" || piece.type.empty()) {
        return;
    }
    ++number_;
    if (piece.type == "Observation") {
        ++observations_;
        refuse("it has an \"entry\", as Bundles have", "take it out");
    } else {
        ++outcome_.rows_other;
    }
}

void fhir_reader::refuse_fault(const json_piece& piece) {
    ++number_;
    observations_ += piece.type == "Observation" ? 1 : 0;
    switch (piece.fault) {
        case json_fault::none:
            break;
        case json_fault::malformed:
            refuse("this is no JSON: its brackets, commas and quotes do not fit together",
                   "export it again");
            break;
        case json_fault::too_long:
            refuse("the resource is longer than " + std::to_string(bounds_.longest) + " bytes",
                   "leave out what is attached to it");
            break;
        case json_fault::too_deep:
            refuse("the resource is nested more than " + std::to_string(bounds_.deepest) + " deep",
                   "check what wrote it: no Observation needs that");
            break;
        case json_fault::broken_off:
            refuse("reading broke off in this resource", "read the file again");
            break;
    }
}

void fhir_reader::parse(const json_piece& piece) {
    json_element resource;
    const auto error = parser_.parse(piece.text.data(), piece.text.size(), false).get(resource);
    if (error == simdjson::SUCCESS && !has_member_twice(resource)) {
        take_resource(resource, piece.full_url);
        return;
    }
    ++number_;
    observations_ += piece.type == "Observation" ? 1 : 0;
    switch (error) {
        case simdjson::SUCCESS:
            refuse("a member stands twice in it", "leave the one that counts");
            break;
        case simdjson::UTF8_ERROR:
            refuse("it holds bytes that are not UTF-8", "export it as UTF-8");
            break;
        case simdjson::NUMBER_ERROR:
            refuse("a number in it is none of JSON's, or too large", "export it again");
            break;
        default:
            refuse("this is no JSON", "export it again");
            break;
    }
}

void fhir_reader::take_resource(const json_element& resource, std::string_view full_url) {
    json_object object;
    const bool is_object = resource.get(object) == simdjson::SUCCESS;
    const std::string_view type = is_object ? text_member(object, "resourceType") : "";
    if (type == "Bundle") {
        take_bundle(object);
        return;
    }
    ++number_;
    if (type == "Observation") {
        ++observations_;
        take_observation(object);
    } else if (type.empty()) {
        refuse("it has no resourceType, so it is no FHIR resource",
               "check that this is a FHIR export");
    } else {
        ++outcome_.rows_other;
        if (type == "Patient") {
            take_patient(object, full_url);
        }
    }
}

// A Bundle within another, which was read as one resource.
void fhir_reader::take_bundle(const json_object& bundle) {
    for_each_object(bundle, "entry", [this](const json_object& entry, std::size_t) {
        json_element resource;
        if (entry["resource"].get(resource) == simdjson::SUCCESS) {
            take_resource(resource, text_member(entry, "fullUrl"));
        }
    });
}

void fhir_reader::take_patient(const json_object& patient, std::string_view full_url) {
    const timestamp born = read_timestamp(text_member(patient, "birthDate"));
    if (born.kind != time_kind::date_only) {
        return;
    }
    const auto day = std::chrono::floor<std::chrono::days>(born.time.local);
    const std::string_view id = text_member(patient, "id");
    if (!id.empty()) {
        births_.add(hash_of_reference("Patient/" + std::string(id)), day);
    }
    if (!full_url.empty()) {
        births_.add(hash_of_reference(full_url), day);
    }
}

void fhir_reader::take_observation(const json_object& observation) {
    const auto refusal = read_fhir_observation(observation, number_, options_.co2, observation_,
                                               remarks_, outcome_.columns);
    if (refusal) {
        refuse(refusal->reason, refusal->remedy);
        return;
    }
    if (observation_.readings.empty()) {
        ++outcome_.rows_other;
        return;
    }
    ++outcome_.rows_examined;
    settle_time();
    sets_.add(observation_, number_, births_.of(observation_.subject));
}

// FHIR demands an offset beside a time of day; without one the zone that was stated gives it.
void fhir_reader::settle_time() {
    const auto say = [this](tally_of_lines& tally, note_kind kind) {
        tally.add(number_);
        into_.note({kind, number_, observation_.time_member, observation_.time_text});
    };
    set_time& time = observation_.time.time;
    switch (observation_.time.kind) {
        case time_kind::clock:
            if (!time.utc_offset && zone_ && !zone_->place(time)) {
                say(outcome_.unplaced_times, note_kind::unplaced_time);
            }
            break;
        case time_kind::date_only:
            say(outcome_.dates_without_time, note_kind::date_without_time);
            break;
        case time_kind::unreadable:
            say(outcome_.unreadable_times, note_kind::unreadable_time);
            break;
        default:
            break;
    }
}

void fhir_reader::refuse(std::string_view reason, std::string_view remedy) {
    ++outcome_.rows_unread;
    into_.unread({.file = file_name_, .line = number_, .reason = reason, .remedy = remedy});
}

}  // namespace

delimited_outcome read_fhir(byte_source& source, std::string_view file_name,
                            const delimited_options& options, sink& into,
                            const json_bounds& bounds) {
    return fhir_reader(source, file_name, options, into, bounds).run();
}

}  // namespace vitalproof::read
