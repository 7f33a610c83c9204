// The readings before and after a set in its report, sign by sign, with the minutes between.
// Used by checks that look at change and repetition; filled by a follower. Promises that a
// neighbour is a reading of the same sign taken in a comparable way, in the same report, at most a
// block of rows away, and that where there is none every comparison with it is false.
#pragma once

#include <vitalproof/lanes.hpp>

#include <array>
#include <concepts>
#include <cstddef>
#include <limits>

namespace vitalproof::inline VITALPROOF_ABI {

/// The signs that are followed through a report: those that change from minute to minute and whose
/// change a check looks at. Every other would cost work in each row for nothing.
using followed_signs = sign_list<sign::systolic, sign::diastolic, sign::pulse, sign::ecg_rate,
                                 sign::respiratory_rate, sign::saturation, sign::exhaled_co2>;
inline constexpr std::size_t followed_count = 7;

namespace detail {

template <VitalSign S, class... F>
constexpr std::size_t place_among(sign_list<F...>) {
    std::size_t place = 0;
    // Stops counting at the first that is the one.
    static_cast<void>(((std::same_as<F, S> ? true : (++place, false)) || ...));
    return place;
}

}  // namespace detail

/// Where the lanes of S lie among those of the followed signs.
template <VitalSign S>
inline constexpr std::size_t followed_place = detail::place_among<S>(followed_signs{});

template <class S>
concept FollowedSign = VitalSign<S> &&(followed_place<S> < followed_count);

/// What is said of a neighbour, a group of lanes each.
enum class neighbour_lane : std::size_t {
    before,
    before_that,
    minutes_since,
    after,
    minutes_until
};
inline constexpr std::size_t neighbour_lane_count = 5 * followed_count;

using minutes_value = quantity<units::minute, real>;

/// The neighbours of one row.
class neighbours {
public:
    constexpr neighbours(const real* lanes, std::size_t stride) : lanes_(lanes), stride_(stride) {}

    /// The last reading of S before this set that is a number; NaN where there is none.
    template <FollowedSign S>
    constexpr lane_value_of<S> before() const {
        return lane_value_of<S>::from_value(lane<S>(neighbour_lane::before));
    }
    /// The one before that, whenever it was taken.
    template <FollowedSign S>
    constexpr lane_value_of<S> before_that() const {
        return lane_value_of<S>::from_value(lane<S>(neighbour_lane::before_that));
    }
    /// The next one.
    template <FollowedSign S>
    constexpr lane_value_of<S> after() const {
        return lane_value_of<S>::from_value(lane<S>(neighbour_lane::after));
    }

    /// Minutes since the one before; NaN where there is none or a time is missing, negative where
    /// the rows are not in the order of their times.
    template <FollowedSign S>
    constexpr minutes_value since() const {
        return minutes_value::from_value(lane<S>(neighbour_lane::minutes_since));
    }
    /// Minutes until the next one.
    template <FollowedSign S>
    constexpr minutes_value until() const {
        return minutes_value::from_value(lane<S>(neighbour_lane::minutes_until));
    }

private:
    template <FollowedSign S>
    constexpr real lane(neighbour_lane which) const {
        return lanes_[(static_cast<std::size_t>(which) * followed_count +
                       followed_place<S>)*stride_];
    }

    const real* lanes_;
    std::size_t stride_;
};

/// How far the readings of a stretch of rows lie at most from the one before or the one after, sign
/// by sign; -infinity where none has any. Filled by the kernel, for checks that can tell from it
/// that no row of the stretch concerns them.
class farthest_moves {
public:
    constexpr farthest_moves(const real* farthest, std::size_t stride)
        : farthest_(farthest), stride_(stride) {}

    template <FollowedSign S>
    constexpr lane_value_of<S> of() const {
        return lane_value_of<S>::from_value(farthest_[followed_place<S> * stride_]);
    }

private:
    const real* farthest_;
    std::size_t stride_;
};

/// Neighbour lanes of a row that has none.
constexpr std::array<real, neighbour_lane_count> no_neighbours() {
    std::array<real, neighbour_lane_count> lanes{};
    lanes.fill(std::numeric_limits<real>::quiet_NaN());
    return lanes;
}

/// Between zero and so many minutes apart. NaN is not.
constexpr bool is_within(minutes_value apart, minutes_value most) {
    return all(apart.value() >= real{0}, apart <= most);
}

}  // namespace vitalproof::inline VITALPROOF_ABI
