#include "read/column_names.hpp"

#include "read/context_words.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read {

namespace {

struct sign_name {
    std::string_view name;
    sign_id sign;
};

constexpr std::array sign_names{
    sign_name{"sbp", sign_id::systolic},
    sign_name{"sys", sign_id::systolic},
    sign_name{"bpsys", sign_id::systolic},
    sign_name{"sysbp", sign_id::systolic},
    sign_name{"bps", sign_id::systolic},
    sign_name{"bpsystolic", sign_id::systolic},
    sign_name{"systolicbp", sign_id::systolic},
    sign_name{"nibpsys", sign_id::systolic},
    sign_name{"nibpsystolic", sign_id::systolic},
    sign_name{"systolicpressure", sign_id::systolic},
    sign_name{"systolicbloodpressure", sign_id::systolic},
    sign_name{"bloodpressuresystolic", sign_id::systolic},
    sign_name{"dbp", sign_id::diastolic},
    sign_name{"dia", sign_id::diastolic},
    sign_name{"bpdia", sign_id::diastolic},
    sign_name{"diabp", sign_id::diastolic},
    sign_name{"bpd", sign_id::diastolic},
    sign_name{"bpdiastolic", sign_id::diastolic},
    sign_name{"diastolicbp", sign_id::diastolic},
    sign_name{"nibpdia", sign_id::diastolic},
    sign_name{"nibpdiastolic", sign_id::diastolic},
    sign_name{"diastolicpressure", sign_id::diastolic},
    sign_name{"diastolicbloodpressure", sign_id::diastolic},
    sign_name{"bloodpressurediastolic", sign_id::diastolic},
    sign_name{"map", sign_id::mean_pressure},
    sign_name{"mean", sign_id::mean_pressure},
    sign_name{"bpmean", sign_id::mean_pressure},
    sign_name{"meanbp", sign_id::mean_pressure},
    sign_name{"nibpmean", sign_id::mean_pressure},
    sign_name{"nibpmap", sign_id::mean_pressure},
    sign_name{"meanarterialpressure", sign_id::mean_pressure},
    sign_name{"pr", sign_id::pulse},
    sign_name{"pulserate", sign_id::pulse},
    sign_name{"ecghr", sign_id::ecg_rate},
    sign_name{"ekgrate", sign_id::ecg_rate},
    sign_name{"ekghr", sign_id::ecg_rate},
    sign_name{"ecgheartrate", sign_id::ecg_rate},
    sign_name{"heartrateecg", sign_id::ecg_rate},
    sign_name{"hrecg", sign_id::ecg_rate},
    sign_name{"rr", sign_id::respiratory_rate},
    sign_name{"resp", sign_id::respiratory_rate},
    sign_name{"resps", sign_id::respiratory_rate},
    sign_name{"resprate", sign_id::respiratory_rate},
    sign_name{"respiration", sign_id::respiratory_rate},
    sign_name{"respirations", sign_id::respiratory_rate},
    sign_name{"respirationrate", sign_id::respiratory_rate},
    sign_name{"breathingrate", sign_id::respiratory_rate},
    sign_name{"spo2", sign_id::saturation},
    sign_name{"sat", sign_id::saturation},
    sign_name{"sats", sign_id::saturation},
    sign_name{"o2sat", sign_id::saturation},
    sign_name{"o2saturation", sign_id::saturation},
    sign_name{"sao2", sign_id::saturation},
    sign_name{"pulseox", sign_id::saturation},
    sign_name{"pulseoximetry", sign_id::saturation},
    sign_name{"bgl", sign_id::glucose},
    sign_name{"bg", sign_id::glucose},
    sign_name{"bloodglucoselevel", sign_id::glucose},
    sign_name{"glucoselevel", sign_id::glucose},
    sign_name{"bloodsugar", sign_id::glucose},
    sign_name{"etco2", sign_id::exhaled_co2},
    sign_name{"endtidalco2", sign_id::exhaled_co2},
    sign_name{"endtidalcarbondioxide", sign_id::exhaled_co2},
    sign_name{"co2", sign_id::exhaled_co2},
    sign_name{"temp", sign_id::temperature},
    sign_name{"bodytemp", sign_id::temperature},
    sign_name{"bodytemperature", sign_id::temperature},
    sign_name{"gcs", sign_id::coma_total},
    sign_name{"gcstotal", sign_id::coma_total},
    sign_name{"totalgcs", sign_id::coma_total},
    sign_name{"gcsscore", sign_id::coma_total},
    sign_name{"comascore", sign_id::coma_total},
    sign_name{"totalglasgowcomascore", sign_id::coma_total},
    sign_name{"glasgowcomascore", sign_id::coma_total},
    sign_name{"glasgowcomascoretotal", sign_id::coma_total},
    sign_name{"glasgowcomascale", sign_id::coma_total},
    sign_name{"glasgowcomascaletotal", sign_id::coma_total},
    sign_name{"gcseye", sign_id::coma_eye},
    sign_name{"gcseyes", sign_id::coma_eye},
    sign_name{"gcse", sign_id::coma_eye},
    sign_name{"eyegcs", sign_id::coma_eye},
    sign_name{"eyeopening", sign_id::coma_eye},
    sign_name{"eyeresponse", sign_id::coma_eye},
    sign_name{"glasgowcomascoreeye", sign_id::coma_eye},
    sign_name{"gcsverbal", sign_id::coma_verbal},
    sign_name{"gcsv", sign_id::coma_verbal},
    sign_name{"verbalgcs", sign_id::coma_verbal},
    sign_name{"verbalresponse", sign_id::coma_verbal},
    sign_name{"bestverbalresponse", sign_id::coma_verbal},
    sign_name{"glasgowcomascoreverbal", sign_id::coma_verbal},
    sign_name{"gcsmotor", sign_id::coma_motor},
    sign_name{"gcsm", sign_id::coma_motor},
    sign_name{"motorgcs", sign_id::coma_motor},
    sign_name{"motorresponse", sign_id::coma_motor},
    sign_name{"bestmotorresponse", sign_id::coma_motor},
    sign_name{"glasgowcomascoremotor", sign_id::coma_motor},
    sign_name{"avpu", sign_id::responsiveness},
    sign_name{"avpuscore", sign_id::responsiveness},
    sign_name{"loc", sign_id::responsiveness},
    sign_name{"levelofconsciousness", sign_id::responsiveness},
    sign_name{"levelofresponsiveness", sign_id::responsiveness},
    sign_name{"avpuscale", sign_id::responsiveness},
    sign_name{"avpulevel", sign_id::responsiveness},
};

struct fact_name {
    std::string_view name;
    fact known;
};

constexpr std::array fact_aliases{
    fact_name{"cardiacarrest", fact::arrest},
    fact_name{"cprinprogress", fact::compressions},
    fact_name{"chestcompressions", fact::compressions},
    fact_name{"cpr", fact::compressions},
    fact_name{"tube", fact::airway_tube},
    fact_name{"intubated", fact::airway_tube},
    fact_name{"assistedventilation", fact::ventilated},
    fact_name{"onoxygen", fact::oxygen},
    fact_name{"supplementaloxygen", fact::oxygen},
    fact_name{"pacing", fact::paced},
    fact_name{"vad", fact::assist_device},
    fact_name{"lvad", fact::assist_device},
    fact_name{"irregular", fact::irregular_rhythm},
    fact_name{"athlete", fact::trained_heart},
    fact_name{"labglucose", fact::laboratory_glucose},
    fact_name{"copd", fact::chronic_lung},
    fact_name{"smokeinhalation", fact::carbon_monoxide},
    fact_name{"coexposure", fact::carbon_monoxide},
    fact_name{"pregnancy", fact::pregnant},
    fact_name{"sedation", fact::sedated},
    fact_name{"paralysed", fact::sedated},
    fact_name{"paralyzed", fact::sedated},
    fact_name{"obtainedpriortothisunitsemscare", fact::prior_care},
    fact_name{"evitals02", fact::prior_care},
};

struct role_name {
    std::string_view name;
    column_role role;
    int rank;
};

constexpr std::array role_names{
    role_name{"report", column_role::report, 0},
    role_name{"reportid", column_role::report, 0},
    role_name{"reportno", column_role::report, 0},
    role_name{"reportnumber", column_role::report, 0},
    role_name{"erecord01", column_role::report, 0},
    role_name{"pcr", column_role::report, 0},
    role_name{"pcrkey", column_role::report, 0},
    role_name{"runno", column_role::report, 1},
    role_name{"runnumber", column_role::report, 1},
    role_name{"run", column_role::report, 1},
    role_name{"pcrid", column_role::report, 0},
    role_name{"pcrno", column_role::report, 0},
    role_name{"pcrnumber", column_role::report, 0},
    role_name{"epcr", column_role::report, 0},
    role_name{"epcrid", column_role::report, 0},
    role_name{"epcrno", column_role::report, 0},
    role_name{"epcrnumber", column_role::report, 0},
    role_name{"patientcarereport", column_role::report, 0},
    role_name{"patientcarereportid", column_role::report, 0},
    role_name{"patientcarereportno", column_role::report, 0},
    role_name{"patientcarereportnumber", column_role::report, 0},
    role_name{"record", column_role::report, 1},
    role_name{"recordid", column_role::report, 1},
    role_name{"recordno", column_role::report, 1},
    role_name{"recordnumber", column_role::report, 1},
    role_name{"case", column_role::report, 1},
    role_name{"caseid", column_role::report, 1},
    role_name{"caseno", column_role::report, 1},
    role_name{"casenumber", column_role::report, 1},
    role_name{"entryid", column_role::report, 1},
    role_name{"id", column_role::report, 2},
    role_name{"crew", column_role::crew, 0},
    role_name{"crewid", column_role::crew, 1},
    role_name{"unit", column_role::crew, 2},
    role_name{"unitid", column_role::crew, 3},
    role_name{"medicunit", column_role::crew, 3},
    role_name{"medic", column_role::crew, 4},
    role_name{"eresponse14", column_role::crew, 5},
    role_name{"emsunitcallsign", column_role::crew, 5},
    role_name{"unitcallsign", column_role::crew, 5},
    role_name{"callsign", column_role::crew, 5},
    role_name{"unitnumber", column_role::crew, 6},
    role_name{"unitno", column_role::crew, 6},
    role_name{"eresponse13", column_role::crew, 7},
    role_name{"emsvehicleunitnumber", column_role::crew, 7},
    role_name{"vehicle", column_role::crew, 7},
    role_name{"vehiclenumber", column_role::crew, 7},
    role_name{"vehicleid", column_role::crew, 7},
    role_name{"ambulance", column_role::crew, 7},
    role_name{"truck", column_role::crew, 7},
    role_name{"trucknumber", column_role::crew, 7},
    role_name{"takenat", column_role::time, 0},
    role_name{"vitalstime", column_role::time, 0},
    role_name{"timetaken", column_role::time, 0},
    role_name{"vitaltime", column_role::time, 0},
    role_name{"vitalsigntime", column_role::time, 0},
    role_name{"vitalsignstime", column_role::time, 0},
    role_name{"vitalsdatetime", column_role::time, 0},
    role_name{"vitaldatetime", column_role::time, 0},
    role_name{"vitalsdateandtime", column_role::time, 0},
    role_name{"vitalsigndatetime", column_role::time, 0},
    role_name{"vitalsignsdatetime", column_role::time, 0},
    role_name{"vitalstaken", column_role::time, 0},
    role_name{"vitalstakenat", column_role::time, 0},
    role_name{"vitalstimestamp", column_role::time, 0},
    role_name{"timeofvitals", column_role::time, 0},
    role_name{"settime", column_role::time, 0},
    role_name{"datetimetaken", column_role::time, 0},
    role_name{"evitals01", column_role::time, 0},
    role_name{"datetimevitalsignstaken", column_role::time, 0},
    role_name{"vitalsignstaken", column_role::time, 0},
    role_name{"vitalsignstakendatetime", column_role::time, 0},
    role_name{"vitalstakendatetime", column_role::time, 0},
    role_name{"datetime", column_role::time, 1},
    role_name{"dateandtime", column_role::time, 1},
    role_name{"timestamp", column_role::time, 1},
    role_name{"chartedat", column_role::time, 2},
    role_name{"timecharted", column_role::time, 2},
    role_name{"recordedtime", column_role::time, 2},
    role_name{"timerecorded", column_role::time, 2},
    role_name{"recordedat", column_role::time, 2},
    role_name{"obstime", column_role::time, 2},
    role_name{"obsdatetime", column_role::time, 2},
    role_name{"observationtime", column_role::time, 2},
    role_name{"observationdatetime", column_role::time, 2},
    role_name{"time", column_role::time, 3},
    role_name{"taken", column_role::time, 4},
    // Dates of the set. That of the call is another thing: past midnight it is not the set's.
    role_name{"vitalsdate", column_role::date, 0},
    role_name{"vitaldate", column_role::date, 0},
    role_name{"vitalsigndate", column_role::date, 0},
    role_name{"vitalsignsdate", column_role::date, 0},
    role_name{"dateofvitals", column_role::date, 0},
    role_name{"datetaken", column_role::date, 0},
    role_name{"takendate", column_role::date, 0},
    role_name{"takenon", column_role::date, 0},
    role_name{"setdate", column_role::date, 0},
    role_name{"datecharted", column_role::date, 1},
    role_name{"charteddate", column_role::date, 1},
    role_name{"chartedon", column_role::date, 1},
    role_name{"date", column_role::date, 2},
    role_name{"calldate", column_role::call_date, 0},
    role_name{"dateofcall", column_role::call_date, 0},
    role_name{"incidentdate", column_role::call_date, 0},
    role_name{"dateofincident", column_role::call_date, 0},
    role_name{"servicedate", column_role::call_date, 1},
    role_name{"dateofservice", column_role::call_date, 1},
    role_name{"dispatchdate", column_role::call_date, 2},
    role_name{"rundate", column_role::call_date, 2},
    role_name{"bp", column_role::pressures, 0},
    role_name{"nibp", column_role::pressures, 0},
    role_name{"nbp", column_role::pressures, 0},
    role_name{"abp", column_role::pressures, 0},  // by an arterial line
    role_name{"ibp", column_role::pressures, 0},
    role_name{"bloodpressure", column_role::pressures, 0},
    role_name{"noninvasivebloodpressure", column_role::pressures, 0},
    role_name{"bpsysdia", column_role::pressures, 0},
    role_name{"bpsystolicdiastolic", column_role::pressures, 0},
    role_name{"sysdia", column_role::pressures, 0},
    role_name{"systolicdiastolic", column_role::pressures, 0},
    role_name{"sbpdbp", column_role::pressures, 0},
    role_name{"pressuremethod", column_role::pressure_method, 0},
    role_name{"bpmethod", column_role::pressure_method, 0},
    role_name{"bloodpressuremethod", column_role::pressure_method, 0},
    role_name{"evitals08", column_role::pressure_method, 0},
    role_name{"methodofbloodpressuremeasurement", column_role::pressure_method, 0},
    role_name{"pulsemethod", column_role::pulse_method, 0},
    role_name{"heartratemethod", column_role::pulse_method, 0},
    role_name{"hrmethod", column_role::pulse_method, 0},
    role_name{"evitals11", column_role::pulse_method, 0},
    role_name{"methodofheartratemeasurement", column_role::pulse_method, 0},
    role_name{"rhythm", column_role::rhythm, 0},
    role_name{"cardiacrhythm", column_role::rhythm, 0},
    role_name{"ecgrhythm", column_role::rhythm, 0},
    role_name{"ekgrhythm", column_role::rhythm, 0},
    role_name{"heartrhythm", column_role::rhythm, 0},
    role_name{"pulserhythm", column_role::rhythm, 0},
    role_name{"evitals03", column_role::rhythm, 0},
    role_name{"cardiacrhythmelectrocardiographyecg", column_role::rhythm, 0},
    role_name{"evitals13", column_role::rhythm, 0},
    role_name{"breathingeffort", column_role::breathing_effort, 0},
    role_name{"respiratoryeffort", column_role::breathing_effort, 0},
    role_name{"respeffort", column_role::breathing_effort, 0},
    role_name{"evitals15", column_role::breathing_effort, 0},
    role_name{"source", column_role::source, 0},
    role_name{"disposition", column_role::disposition, 0},
    role_name{"calldisposition", column_role::disposition, 0},
    role_name{"patientdisposition", column_role::disposition, 0},
    role_name{"transportdisposition", column_role::disposition, 1},
    role_name{"outcome", column_role::disposition, 2},
    role_name{"device", column_role::device, 0},
    role_name{"deviceid", column_role::device, 0},
    role_name{"deviceserial", column_role::device, 1},
    role_name{"monitor", column_role::device, 1},
    role_name{"monitorid", column_role::device, 0},
    role_name{"monitorserial", column_role::device, 1},
    role_name{"incident", column_role::incident, 0},
    role_name{"incidentid", column_role::incident, 0},
    role_name{"incidentno", column_role::incident, 0},
    role_name{"incidentnumber", column_role::incident, 0},
    role_name{"eresponse03", column_role::incident, 0},
    role_name{"cadnumber", column_role::incident, 1},
    role_name{"complaint", column_role::complaint, 1},
    role_name{"chiefcomplaint", column_role::complaint, 0},
    role_name{"primarycomplaint", column_role::complaint, 0},
    role_name{"esituation04", column_role::complaint, 0},
    role_name{"primaryimpression", column_role::complaint, 2},
    role_name{"providersprimaryimpression", column_role::complaint, 2},
    role_name{"esituation11", column_role::complaint, 2},
    role_name{"impression", column_role::complaint, 3},
    role_name{"unitnotified", column_role::unit_notified, 0},
    role_name{"etimes03", column_role::unit_notified, 0},
    role_name{"unitnotifiedbydispatch", column_role::unit_notified, 0},
    role_name{"dispatched", column_role::unit_notified, 1},
    role_name{"dispatchtime", column_role::unit_notified, 1},
    role_name{"enroute", column_role::en_route, 0},
    role_name{"etimes05", column_role::en_route, 0},
    role_name{"unitenroute", column_role::en_route, 0},
    role_name{"onscene", column_role::on_scene, 0},
    role_name{"etimes06", column_role::on_scene, 0},
    role_name{"unitarrivedonscene", column_role::on_scene, 0},
    role_name{"arrivedonscene", column_role::on_scene, 1},
    role_name{"atpatient", column_role::at_patient, 0},
    role_name{"etimes07", column_role::at_patient, 0},
    role_name{"arrivedatpatient", column_role::at_patient, 1},
    role_name{"patientcontact", column_role::at_patient, 1},
    role_name{"leftscene", column_role::left_scene, 0},
    role_name{"etimes09", column_role::left_scene, 0},
    role_name{"unitleftscene", column_role::left_scene, 0},
    role_name{"departedscene", column_role::left_scene, 1},
    role_name{"transportbegin", column_role::left_scene, 2},
    role_name{"atdestination", column_role::at_destination, 0},
    role_name{"etimes11", column_role::at_destination, 0},
    role_name{"patientarrivedatdestination", column_role::at_destination, 0},
    role_name{"arrivedatdestination", column_role::at_destination, 1},
    role_name{"athospital", column_role::at_destination, 1},
    role_name{"transferofcare", column_role::transfer_of_care, 0},
    role_name{"etimes12", column_role::transfer_of_care, 0},
    role_name{"destinationpatienttransferofcare", column_role::transfer_of_care, 0},
    role_name{"handover", column_role::transfer_of_care, 1},
    role_name{"backinservice", column_role::back_in_service, 0},
    role_name{"etimes13", column_role::back_in_service, 0},
    role_name{"unitbackinservice", column_role::back_in_service, 0},
    role_name{"inservice", column_role::back_in_service, 1},
    role_name{"ageunits", column_role::age_unit, 0},
    role_name{"ageunit", column_role::age_unit, 0},
    role_name{"unitofage", column_role::age_unit, 0},
    role_name{"unitsofage", column_role::age_unit, 0},
    role_name{"patientageunits", column_role::age_unit, 0},
    role_name{"patientageunit", column_role::age_unit, 0},
    role_name{"epatient16", column_role::age_unit, 0},
    role_name{"epatient15", column_role::age, 0},
};

named_column of_sign(sign_id sign) { return {.role = column_role::sign, .sign = sign}; }

std::optional<named_column> sign_column(std::string_view key) {
    if (key == "hr" || key == "heartrate" || key == "evitals10") {
        named_column heart = of_sign(sign_id::pulse);
        heart.heart_rate = true;
        return heart;
    }
    for (const sign_info& sign : sign_table) {
        if (bare_name(sign.name) == key || bare_name(sign.label) == key ||
            bare_name(sign.element) == key) {
            return of_sign(sign.id);
        }
    }
    for (const sign_name& known : sign_names) {
        if (known.name == key) {
            return of_sign(known.sign);
        }
    }
    return std::nullopt;
}

std::optional<named_column> role_column(std::string_view key) {
    for (const role_name& known : role_names) {
        if (known.name == key) {
            return named_column{.role = known.role, .rank = known.rank};
        }
    }
    return std::nullopt;
}

// "On Scene Time", "Unit En Route Date/Time": a moment of the call that says it is a time.
std::optional<named_column> call_time_column(std::string_view key) {
    for (const std::string_view said : {"dateandtime", "datetime", "time"}) {
        if (!key.ends_with(said)) {
            continue;
        }
        const auto named = role_column(key.substr(0, key.size() - said.size()));
        if (named && named->role >= column_role::unit_notified &&
            named->role <= column_role::back_in_service) {
            return named;
        }
    }
    return std::nullopt;
}

std::optional<named_column> fact_column(std::string_view key) {
    for (const fact known : stated_facts) {
        if (bare_name(fact_names[static_cast<std::size_t>(known)]) == key) {
            return named_column{.role = column_role::known_fact, .known = known};
        }
    }
    for (const fact_name& known : fact_aliases) {
        if (known.name == key) {
            return named_column{.role = column_role::known_fact, .known = known.known};
        }
    }
    return std::nullopt;
}

}  // namespace

std::optional<fact> stated_fact(std::string_view name) {
    const auto* const known = std::ranges::find(
        stated_facts, name, [](fact f) { return fact_names[static_cast<std::size_t>(f)]; });
    return known == stated_facts.end() ? std::nullopt : std::optional(*known);
}

std::string header_key(std::string_view text) {
    constexpr std::string_view subscript_two = "\xE2\x82\x82";
    std::string key;
    for (auto at = text.find(subscript_two); at != std::string_view::npos;
         at = text.find(subscript_two)) {
        key += bare_name(text.substr(0, at)) + '2';
        text.remove_prefix(at + subscript_two.size());
    }
    return key + bare_name(text);
}

std::optional<named_column> column_named(std::string_view key) {
    if (const auto role = role_column(key)) {
        return role;
    }
    if (const auto moment = call_time_column(key)) {
        return moment;
    }
    if (const auto sign = sign_column(key)) {
        return sign;
    }
    if (const auto known = fact_column(key)) {
        return known;
    }
    if (age_unit_named(key)) {
        return named_column{.role = column_role::age};
    }
    return std::nullopt;
}

std::optional<age_unit> age_unit_named(std::string_view key) {
    constexpr std::string_view patient = "patient";
    constexpr std::string_view age = "age";
    if (key.starts_with(patient)) {
        key.remove_prefix(patient.size());
    }
    if (!key.starts_with(age)) {
        return std::nullopt;
    }
    key.remove_prefix(age.size());
    if (key.starts_with("in")) {
        key.remove_prefix(2);
    }
    return key.empty() ? std::optional(age_unit::years) : read_age_unit(key);
}

}  // namespace vitalproof::read
