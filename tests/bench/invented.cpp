#include "invented.hpp"

#include <algorithm>
#include <cmath>

namespace bench {

namespace {

using vitalproof::index_of;
using vitalproof::sign_id;

constexpr double share_of_slips = 0.015;

double& at(sign_values& values, sign_id sign) { return values[index_of(sign)]; }

// What a well adult's signs lie around, and how far people differ, in the order of the signs.
constexpr sign_values usual{132, 80, 97, 84, 84, 17, 97.5, 118, 38, 36.8, 4, 5, 6, 15, 1};
constexpr sign_values differ{17, 8, 0, 13, 0, 2, 1, 25, 3, 0.4, 0, 0, 0, 0, 0};

}  // namespace

bool is_charted(const invented_set& set, sign_id sign) {
    switch (sign) {
        case sign_id::glucose:
            return set.first_of_report;
        case sign_id::temperature:
            return set.first_of_report || set.minute % 4 == 0;
        case sign_id::ecg_rate:
            return set.has_ecg;
        case sign_id::exhaled_co2:
            return set.has_tube || set.minute % 8 == 0;
        default:
            return true;
    }
}

std::uint64_t random_source::bits() {
    state_ += 0x9E3779B97F4A7C15U;  // splitmix64, Vigna, public domain
    std::uint64_t mixed = state_;
    mixed = (mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9U;
    mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EBU;
    return mixed ^ (mixed >> 31);
}

double random_source::spread() {
    return (uniform() + uniform() + uniform() + uniform() - 2) * std::sqrt(3.0);
}

const invented_set& invented_reports::next() {
    set_.first_of_report = sets_left_ == 0;
    if (set_.first_of_report) {
        begin_report();
    }
    --sets_left_;
    drift();
    measure();
    set_.letter_in_saturation = false;
    if (random_.chance(share_of_slips)) {
        slip();
    }
    return set_;
}

void invented_reports::begin_report() {
    ++set_.report;
    set_.crew = static_cast<unsigned>(random_.bits() % 40);
    set_.minute = static_cast<unsigned>(random_.bits() % (12 * 28 * 1440 - 200));
    set_.has_ecg = random_.chance(0.6);
    set_.has_tube = random_.chance(0.03);
    sets_left_ = 5 + static_cast<unsigned>(random_.bits() % 7);
    illness_ = random_.chance(0.1) ? random_.uniform() : 0;
    for (std::size_t i = 0; i < usual.size(); ++i) {
        patient_[i] = usual[i] + differ[i] * random_.spread();
    }
}

// A few steps of a walk; illness pulls the pressure down and the pulse and breathing up.
void invented_reports::drift() {
    set_.minute += 4 + static_cast<unsigned>(random_.bits() % 8);
    at(patient_, sign_id::systolic) += 4 * random_.spread() - 3 * illness_;
    at(patient_, sign_id::pulse) += 3 * random_.spread() + 3 * illness_;
    at(patient_, sign_id::respiratory_rate) += random_.spread() + illness_;
    at(patient_, sign_id::saturation) += 0.5 * random_.spread() - illness_;
    at(patient_, sign_id::exhaled_co2) += random_.spread();
    at(patient_, sign_id::temperature) += 0.05 * random_.spread();
}

void invented_reports::measure() {
    sign_values& seen = set_.values;
    for (std::size_t i = 0; i < seen.size(); ++i) {
        seen[i] = std::round(patient_[i]);
    }
    const double systolic = std::clamp(at(seen, sign_id::systolic), 60.0, 230.0);
    const double diastolic = std::round(0.6 * systolic + 2 * random_.spread());
    at(seen, sign_id::systolic) = systolic;
    at(seen, sign_id::diastolic) = diastolic;
    at(seen, sign_id::mean_pressure) =
        std::round(diastolic + (systolic - diastolic) / 3 + random_.spread());
    at(seen, sign_id::pulse) = std::clamp(at(seen, sign_id::pulse), 35.0, 190.0);
    at(seen, sign_id::ecg_rate) = at(seen, sign_id::pulse) + std::round(random_.spread());
    at(seen, sign_id::respiratory_rate) =
        std::clamp(at(seen, sign_id::respiratory_rate), 6.0, 44.0);
    at(seen, sign_id::saturation) = std::clamp(at(seen, sign_id::saturation), 72.0, 100.0);
    at(seen, sign_id::temperature) = std::round(patient_[index_of(sign_id::temperature)] * 10) / 10;
    measure_consciousness();
}

void invented_reports::measure_consciousness() {
    sign_values& seen = set_.values;
    at(seen, sign_id::coma_eye) = illness_ > 0.9 ? 2 : illness_ > 0.5 ? 3 : 4;
    at(seen, sign_id::coma_verbal) = illness_ > 0.9 ? 2 : illness_ > 0.3 ? 4 : 5;
    at(seen, sign_id::coma_motor) = illness_ > 0.9 ? 4 : 6;
    const double total = at(seen, sign_id::coma_eye) + at(seen, sign_id::coma_verbal) +
                         at(seen, sign_id::coma_motor);
    at(seen, sign_id::coma_total) = total;
    at(seen, sign_id::responsiveness) = total >= 14 ? 1 : total >= 9 ? 2 : 3;
}

void invented_reports::slip() {
    sign_values& seen = set_.values;
    switch (random_.bits() % 12) {
        case 0:
            std::swap(at(seen, sign_id::systolic), at(seen, sign_id::diastolic));
            break;
        case 1: {
            double& temperature = at(seen, sign_id::temperature);
            temperature = std::round((temperature * 1.8 + 32) * 10) / 10;
            break;
        }
        case 2:
            at(seen, sign_id::saturation) = 0.97;
            break;
        case 3:
            at(seen, sign_id::coma_total) -= 1;
            break;
        case 4:
            at(seen, sign_id::pulse) *= 10;
            break;
        case 5:
            at(seen, sign_id::diastolic) = 0;
            break;
        case 6:
            at(seen, sign_id::respiratory_rate) = 0;
            break;
        case 7:
            at(seen, sign_id::pulse) = std::floor(at(seen, sign_id::pulse) / 10);
            break;
        case 8:
            at(seen, sign_id::respiratory_rate) += 60;
            break;
        case 9:
            at(seen, sign_id::diastolic) = at(seen, sign_id::systolic) - 4;
            break;
        case 10:
            at(seen, sign_id::mean_pressure) = at(seen, sign_id::systolic) + 10;
            break;
        default:
            set_.letter_in_saturation = true;
            break;
    }
}

}  // namespace bench
