#include "audit/spool.hpp"

namespace vitalproof::audit {

void spool::put_aside(one_part& part) {
    const scratch_file::place at =
        file_.add({reinterpret_cast<const char*>(&part.filling), block_size});
    part.aside.push_back(static_cast<std::uint32_t>(at.offset / block_size));
    part.filling.used = 0;
}

}  // namespace vitalproof::audit
