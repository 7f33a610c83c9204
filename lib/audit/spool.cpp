#include "audit/spool.hpp"

namespace vitalproof::audit {

void spool::add(std::uint64_t key, std::string_view record) {
    one_part& to = parts_[key % parts];
    to.held.append(record);
    if (to.held.size() >= held_of_a_part) {
        to.aside.push_back(file_.add(to.held));
        to.held.clear();
    }
}

std::string spool::part(std::size_t which) {
    const one_part& from = parts_[which];
    std::size_t size = from.held.size();
    for (const scratch_file::place& place : from.aside) {
        size += place.size;
    }
    std::string all;
    all.reserve(size);  // grown piece by piece it would come to three times that
    for (const scratch_file::place& place : from.aside) {
        file_.append_to(all, place);
    }
    return file_.failed() ? std::string() : all.append(from.held);
}

}  // namespace vitalproof::audit
