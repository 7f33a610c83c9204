#include <vitalproof/vitalproof.hpp>

#include <iostream>

int main() {
    using namespace vitalproof;
    care_report report;
    report.id = "26-0113";
    vital_set set;
    set.systolic = 72.0 * mmHg;
    set.diastolic = 118.0 * mmHg;
    set.temperature = to<units::celsius>(98.6 * degF);
    set.glucose = to_mg_per_dl(5.4 * mmol_per_L);
    set.responsiveness = responsiveness_reading(responsiveness_level::alert);
    report.sets.push_back(set);

    const message_writer words{limits{}};
    for (const finding& f : examine(report)) {
        std::cout << f.info().code << ": " << words.question(f) << '\n';
    }
}
