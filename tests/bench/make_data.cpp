// bench_data csv BYTES SEED, bench_data xml BYTES SEED FRAME: invented reports to standard output,
// and to standard error what they hold, as JSON.
#include "written.hpp"

#include <nlohmann/json.hpp>

#include <cstdio>
#include <cstdlib>
#include <exception>
#include <fstream>
#include <iterator>
#include <string>

namespace {

std::string content_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

nlohmann::json as_json(const bench::written_account& account) {
    nlohmann::json said = {
        {"bytes", account.bytes}, {"reports", account.reports}, {"sets", account.sets}};
    for (const auto& sign : vitalproof::sign_table) {
        const std::size_t at = vitalproof::index_of(sign.id);
        said["numbers"][sign.name] = account.numbers[at];
        said["tenths"][sign.name] = account.tenths[at];
    }
    return said;
}

}  // namespace

int main(int count, char** words) try {
    const std::string form = count > 1 ? words[1] : "";
    if (!(form == "csv" && count == 4) && !(form == "xml" && count == 5)) {
        std::fprintf(stderr, "usage: %s csv BYTES SEED\n       %s xml BYTES SEED FRAME\n", words[0],
                     words[0]);
        return 2;
    }
    const auto bytes = std::strtoull(words[2], nullptr, 10);
    const auto seed = std::strtoull(words[3], nullptr, 10);
    const auto account = form == "csv"
                             ? bench::write_csv(stdout, bytes, seed)
                             : bench::write_xml(stdout, bytes, seed, content_of(words[4]));
    std::fprintf(stderr, "%s\n", as_json(account).dump().c_str());
    return 0;
} catch (const std::exception& error) {
    std::fprintf(stderr, "bench_data: %s\n", error.what());
    return 1;
}
