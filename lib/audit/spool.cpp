#include "audit/spool.hpp"

#include <unistd.h>

namespace vitalproof::audit {

void spool::add(std::uint64_t key, std::string_view record, std::string_view more) {
    one_part& to = parts_[key % parts];
    to.held.append(record).append(more);
    if (to.held.size() >= held_of_a_part) {
        write(to);
    }
}

// A file without a name from the start: nothing is left behind, whatever happens.
void spool::write(one_part& from) {
    if (file_ == nullptr && !failed_) {
        file_.reset(std::tmpfile());
    }
    failed_ = failed_ || file_ == nullptr;
    if (!failed_) {
        const auto offset = static_cast<off_t>(end_);
        failed_ = ::pwrite(::fileno(file_.get()), from.held.data(), from.held.size(), offset) !=
                  static_cast<ssize_t>(from.held.size());
        from.written.push_back({end_, from.held.size()});
        end_ += from.held.size();
    }
    from.held.clear();
}

std::string spool::part(std::size_t which) {
    const one_part& from = parts_[which];
    std::string all;
    for (const piece& p : from.written) {
        const std::size_t before = all.size();
        all.resize(before + p.size);
        failed_ = failed_ || ::pread(::fileno(file_.get()), all.data() + before, p.size,
                                     static_cast<off_t>(p.offset)) != static_cast<ssize_t>(p.size);
    }
    return failed_ ? std::string() : all.append(from.held);
}

}  // namespace vitalproof::audit
