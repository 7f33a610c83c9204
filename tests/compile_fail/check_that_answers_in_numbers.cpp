// A predicate answers yes or no: an int would not gather into flags.
// expect: Check.*counting|counting.*Check
#include <vitalproof/check.hpp>

using namespace vitalproof;

struct counting {
    static constexpr check_info info{};
    using needs = sign_list<sign::pulse>;
    using sees = sign_list<>;
    using limits = no_limits;
#ifdef MUST_NOT_COMPILE
    static constexpr int fires(const readings&, const context&, const limits&) { return 1; }
#else
    static constexpr bool fires(const readings&, const context&, const limits&) { return true; }
#endif
};

using family = check_list<counting>;
static_assert(family::size == 1);
