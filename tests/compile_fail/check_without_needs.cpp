// A check has to say which signs it needs.
// expect: Check.*forgetful|forgetful.*Check
#include <vitalproof/check.hpp>

using namespace vitalproof;

struct forgetful {
    static constexpr check_info info{};
#ifdef MUST_NOT_COMPILE
    // No `needs`.
#else
    using needs = sign_list<sign::pulse>;
#endif
    using sees = sign_list<>;
    using limits = no_limits;
    static constexpr bool fires(const readings&, const context&, const limits&) { return false; }
};

using family = check_list<forgetful>;
static_assert(family::size == 1);
