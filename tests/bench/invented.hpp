// Invented care reports for the benchmarks: patients whose signs drift from set to set, now and
// then a slip of the hand. The same seed gives the same reports on every machine.
#pragma once

#include <vitalproof/signs.hpp>

#include <array>
#include <cstddef>
#include <cstdint>

namespace bench {

using sign_values = std::array<double, vitalproof::sign_count>;

/// A small generator whose stream the standard library cannot change.
class random_source {
public:
    explicit random_source(std::uint64_t seed) : state_(seed) {}

    std::uint64_t bits();
    double uniform() { return static_cast<double>(bits() >> 11) * 0x1p-53; }
    bool chance(double share) { return uniform() < share; }
    /// Around 0 with a standard deviation of about 1, within ±3.5.
    double spread();

private:
    std::uint64_t state_;
};

struct invented_set {
    std::uint64_t report = 0;
    unsigned crew = 0;
    unsigned minute = 0;  ///< of a year
    bool first_of_report = false;
    bool has_ecg = false;
    bool has_tube = false;
    bool letter_in_saturation = false;  ///< a slip that only text can hold
    sign_values values{};               ///< every sign has one
};

/// An endless row of sets, about eight to a report; 1.5 % of them hold a slip.
class invented_reports {
public:
    explicit invented_reports(std::uint64_t seed) : random_(seed) {}
    const invented_set& next();

private:
    void begin_report();
    void drift();
    void measure();
    void measure_consciousness();
    void slip();

    random_source random_;
    invented_set set_{};
    unsigned sets_left_ = 0;
    sign_values patient_{};  // what the signs are measured around
    double illness_ = 0;
};

/// Whether crews chart the sign in this set: not every one is taken each time.
bool is_charted(const invented_set& set, vitalproof::sign_id sign);

}  // namespace bench
