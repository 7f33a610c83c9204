#include "audit/two_halves.hpp"

#include "audit/piece_ring.hpp"

#include <array>
#include <cstddef>
#include <memory>

namespace vitalproof::audit {

namespace {

constexpr std::size_t blocks_at_once = 6;
constexpr std::size_t most_bytes_waiting = std::size_t{8} << 20;  // one long report may be more

}  // namespace

void two_halves::run(read::halved_reading& reading) {
    std::array<std::unique_ptr<read::text_block>, blocks_at_once> blocks;
    for (auto& block : blocks) {
        block = reading.new_block();
    }
    piece_ring ring(blocks.size(), most_bytes_waiting,
                    [&](std::size_t next) { reading.read(*blocks[next], to_); });
    while (reading.part(*blocks[ring.filling()])) {
        ring.hand_over(blocks[ring.filling()]->bytes());
    }
    ring.finish();
}

}  // namespace vitalproof::audit
