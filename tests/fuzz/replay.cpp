// Feeds files, and the files of folders, to a fuzz target: the corpus in the ordinary suite, and a
// crash that libFuzzer kept. Ends badly where the target does.
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

namespace fs = std::filesystem;

void replay(const fs::path& file) {
    std::ifstream stream(file, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    std::cout << file.filename().string() << std::endl;  // flushed: the last named is the culprit
    LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(text.data()), text.size());
}

}  // namespace

int main(int argc, char** argv) {
    std::size_t files = 0;
    for (int i = 1; i < argc; ++i) {
        if (!fs::is_directory(argv[i])) {
            replay(argv[i]);
            ++files;
            continue;
        }
        for (const auto& entry : fs::directory_iterator(argv[i])) {
            replay(entry.path());
            ++files;
        }
    }
    std::cout << files << " replayed\n";
    return files == 0 ? 1 : 0;
}
