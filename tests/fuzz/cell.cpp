// The text of a cell: one sign's, and a whole blood pressure's.
#include "read/cell.hpp"

#include "fuzz.hpp"
#include "read/pressure_cell.hpp"

namespace {

using namespace fuzzing;

void require_sound(const read::cell_value& cell) {
    require(cell.state != reading_state::number || cell.value - cell.value == 0,
            "a number is finite");
    require(cell.state != reading_state::unreadable || !cell.charted.empty(),
            "what cannot be read is remembered");
    require(cell.charted.text().size() <= longest_echo, "nothing long is echoed");
    require(may_be_echoed(cell.charted.text()), "no name is echoed");
    require(cell.known == facts() || cell.state == reading_state::number,
            "a remark stands behind a number");
}

bool same(const read::cell_value& a, const read::cell_value& b) {
    return a.state == b.state && a.why == b.why && a.palpated == b.palpated && a.known == b.known &&
           (a.state != reading_state::number || a.value == b.value);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    bytes from(text_of(data, size));
    read::cell_rules rules;
    rules.sign = static_cast<sign_id>(from.below(sign_count));
    const std::size_t choices = from.below(256);
    rules.unit_stated = (choices & 1U) != 0;
    rules.decimal_comma = (choices & 2U) != 0;
    const auto unit = static_cast<read::charted_unit>((choices >> 2U) % read::charted_units);
    rules.unit = read::is_unit_of(rules.sign, unit) ? unit : read::held_unit(rules.sign);
    const std::string text(from.rest());  // its end is where reading beyond it shows
    const read::cell_value cell = read::read_cell(text, rules);
    require_sound(cell);
    require(same(cell, read::read_cell("  " + text + "\t", rules)), "blanks around do not count");
    rules.sign = sign_id::systolic;
    rules.unit = read::charted_unit::mmhg;
    const read::pressure_cell both = read::read_pressure_cell(text, rules);
    require_sound(both.systolic);
    require_sound(both.diastolic);
    require_sound(both.mean);
    return 0;
}
