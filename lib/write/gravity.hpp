// How grave a finding is beside others: its priority first, then what is asked.
// Used where no more than so many are shown. Promises that less is graver, and 0 the gravest.
#pragma once

#include <vitalproof/check.hpp>

#include <atomic>

namespace vitalproof::write {

inline constexpr unsigned gravities = 13;

constexpr unsigned gravity_of(const check_info& info) {
    return static_cast<unsigned>(info.priority) * 3 - static_cast<unsigned>(info.asks);
}

/// From which gravity on findings are not kept any more, since there are enough as grave. Falls as
/// they come; whoever puts findings together may look at it from another thread, and spares itself
/// those that it may see too late.
class gravity_bound {
public:
    bool is_too_light(unsigned gravity) const {
        return gravity >= from_.load(std::memory_order_relaxed);
    }
    void fall_to(unsigned gravity) { from_.store(gravity, std::memory_order_relaxed); }
    unsigned first_left_out() const { return from_.load(std::memory_order_relaxed); }

private:
    std::atomic<unsigned> from_ = gravities;
};

}  // namespace vitalproof::write
