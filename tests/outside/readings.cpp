// Writes what is read of files, for a comparison with another reading of them.
// Reads a line a file, its path and its mapping with a tab between, or its path alone; writes each
// reading as `REPORT LINE SIGN VALUE` with tabs between, LINE being its set's, VALUE `?` where
// there is no number, and at the end `rows EXAMINED UNREAD OTHER`. Behind a path and a tab `known`
// stands in place of a mapping where what is known of each set is asked for too: SIGN is `known`,
// VALUE the names of facts, a blank behind each, those known not to be so with a `!`.
#include "read/mapping_file.hpp"
#include "read/report_file.hpp"

#include <fstream>
#include <iomanip>
#include <iostream>
#include <iterator>
#include <limits>
#include <memory>
#include <stdexcept>
#include <string>

namespace {

using namespace vitalproof;

class writing_sink final : public read::sink {
public:
    explicit writing_sink(bool writes_known) : writes_known_(writes_known) {}

private:
    void report(care_report& report, std::uint64_t /*first_line*/) override {
        for (const vital_set& set : report.sets) {
            if (writes_known_) {
                write_known(report, set);
            }
            for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
                if (set[s].state() == reading_state::absent) {
                    return;
                }
                std::cout << report.id << '\t' << set.line << '\t' << S::info.name << '\t';
                if (set[s].is_number()) {
                    std::cout << set[s].raw() << '\n';
                } else {
                    std::cout << "?\n";
                }
            });
        }
    }
    void unread(const read::unread_row& /*row*/) override {}

    static void write_known(const care_report& report, const vital_set& set) {
        const facts known = facts_of_age(report.age)
                                .overlaid_by(report.known)
                                .overlaid_by(facts_of_methods(set))
                                .overlaid_by(set.known);
        std::cout << report.id << '\t' << set.line << "\tknown\t";
        for (std::size_t i = 0; i < fact_count; ++i) {
            if (const auto which = static_cast<fact>(i); known.known(which)) {
                std::cout << (known.is(which) ? "" : "!") << fact_names[i] << ' ';
            }
        }
        std::cout << '\n';
    }

    bool writes_known_;
};

std::shared_ptr<read::column_mapping> load(const std::string& path) {
    std::ifstream stream(path, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    auto parsed = read::parse_mapping(text, path);
    if (!parsed.errors.empty()) {
        throw std::runtime_error(parsed.errors.front());
    }
    return std::make_shared<read::column_mapping>(std::move(parsed.mapping));
}

void write(const std::string& path, const std::string& mapping) {
    const bool known = mapping == "known";
    read::delimited_options options;
    options.mapping = known || mapping.empty() ? nullptr : load(mapping);
    writing_sink sink(known);
    const auto outcome = read::read_report_file(path, options, sink);
    if (outcome.error) {
        throw std::runtime_error(outcome.error->what);
    }
    std::cout << "rows\t" << outcome.rows_examined << '\t' << outcome.rows_unread << '\t'
              << outcome.rows_other << '\n';
}

}  // namespace

int main() try {
    std::cout << std::setprecision(std::numeric_limits<double>::max_digits10);
    for (std::string line; std::getline(std::cin, line);) {
        const std::size_t tab = line.find('\t');
        write(line.substr(0, tab), tab == std::string::npos ? "" : line.substr(tab + 1));
    }
    return 0;
} catch (const std::runtime_error& error) {
    std::cerr << error.what() << '\n';
    return 1;
}
