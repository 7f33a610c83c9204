// Writes what is read of files, for a comparison with another reading of them.
// Reads a line a file, its path and its mapping with a tab between, or its path alone; writes each
// reading as `REPORT LINE SIGN VALUE` with tabs between, LINE being its set's, VALUE `?` where
// there is no number, and at the end `rows EXAMINED UNREAD OTHER`.
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
    void report(care_report& report, std::uint64_t /*first_line*/) override {
        for (const vital_set& set : report.sets) {
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
    read::delimited_options options;
    options.mapping = mapping.empty() ? nullptr : load(mapping);
    writing_sink sink;
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
