// The national EMS data standard against libxml2: the same readings, or a refusal; and every group
// of vital signs that libxml2 counts is accounted for.
#include "../unit/made_not_plain.hpp"
#include "fuzz.hpp"
#include "read/nemsis.hpp"
#include "read/nemsis_element.hpp"

#include <libxml/parser.h>
#include <libxml/tree.h>

#include <map>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

namespace {

using namespace fuzzing;

// By element, what the groups of a report say in plain digits: an element that stands there twice,
// or has attributes or elements within, is not held against ours.
using plain_values = std::map<std::string, std::optional<int>>;

struct group {
    plain_values values{};
};

struct by_libxml2 {
    std::vector<std::vector<group>> reports{};
    std::uint64_t groups = 0;  // wherever they stand
    bool odd = false;          // reports or groups within each other: ours may refuse them
};

std::string name_of(const xmlNode* node) {
    return std::string(read::nemsis::without_prefix(reinterpret_cast<const char*>(node->name)));
}

std::string text_within(xmlNode* node) {
    const std::unique_ptr<xmlChar, decltype(xmlFree)> text(xmlNodeGetContent(node), xmlFree);
    return std::string(read::nemsis::stripped(reinterpret_cast<const char*>(text.get())));
}

bool has_elements(const xmlNode* node) {
    return xmlChildElementCount(const_cast<xmlNode*>(node)) != 0;
}

void take_values(xmlNode* of_group, group& into) {
    for (xmlNode* child = xmlFirstElementChild(of_group); child != nullptr;
         child = xmlNextElementSibling(child)) {
        const std::string name = name_of(child);
        if (name.ends_with("Group")) {
            if (name != "eVitals.VitalGroup") {  // within another it is of another time
                take_values(child, into);
            }
            continue;
        }
        const std::string text = text_within(child);
        const bool digits = !text.empty() && text.size() <= 3 &&
                            text.find_first_not_of("0123456789") == std::string::npos;
        const bool plain = digits && child->properties == nullptr && !has_elements(child);
        const auto [at, is_new] =
            into.values.try_emplace(name, plain ? std::optional(std::stoi(text)) : std::nullopt);
        if (!is_new) {
            at->second.reset();
        }
    }
}

void take_report(xmlNode* report, by_libxml2& into) {
    std::vector<group>& groups = into.reports.emplace_back();
    for (xmlNode* section = xmlFirstElementChild(report); section != nullptr;
         section = xmlNextElementSibling(section)) {
        if (name_of(section) != "eVitals") {
            continue;
        }
        for (xmlNode* child = xmlFirstElementChild(section); child != nullptr;
             child = xmlNextElementSibling(child)) {
            if (name_of(child) == "eVitals.VitalGroup") {
                take_values(child, groups.emplace_back());
            }
        }
    }
}

void walk(xmlNode* node, bool in_report, bool in_group, by_libxml2& into) {
    for (; node != nullptr; node = xmlNextElementSibling(node)) {
        const std::string name = name_of(node);
        const bool is_report = name == "PatientCareReport";
        const bool is_group = name == "eVitals.VitalGroup";
        into.odd = into.odd || (is_report && in_report) || (is_group && (in_group || !in_report));
        into.groups += is_group ? 1U : 0U;
        if (is_report && !in_report) {
            take_report(node, into);
        }
        walk(xmlFirstElementChild(node), in_report || is_report, in_group || is_group, into);
    }
}

// None where libxml2 refuses the text, or it is of a kind that ours does not read.
std::optional<by_libxml2> read_by_libxml2(std::string_view text) {
    constexpr int how =
        XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING | XML_PARSE_IGNORE_ENC;
    const std::unique_ptr<xmlDoc, decltype(&xmlFreeDoc)> document(
        xmlReadMemory(text.data(), static_cast<int>(text.size()), nullptr, nullptr, how),
        &xmlFreeDoc);
    if (document == nullptr || document->intSubset != nullptr || text.starts_with("\xEF\xBB\xBF") ||
        text.find('\0') != std::string_view::npos) {
        return std::nullopt;
    }
    by_libxml2 read;
    walk(xmlDocGetRootElement(document.get()), false, false, read);
    return read;
}

template <VitalSign S>
void compare(const vital_set& ours, const group& theirs, const char* element) {
    const auto found = theirs.values.find(element);
    if (found != theirs.values.end() && found->second) {
        const auto& r = ours[S{}];
        require(r.is_number() && r.raw() == *found->second, "libxml2 reads the same value");
    }
}

class comparing_sink final : public read::sink {
public:
    explicit comparing_sink(const by_libxml2& theirs) : theirs_(theirs) {}

    void report(care_report& r, std::uint64_t /*line*/) override { kept_.push_back(r); }
    void unread(const read::unread_row& /*row*/) override { any_unread_ = true; }

    // Reports without a set that says something are not handed on, so ours are found among theirs
    // by the number of each set's group.
    void compare_all() const {
        if (any_unread_ || theirs_.odd) {
            return;
        }
        std::size_t next = 0;
        for (const care_report& ours : kept_) {
            while (next < theirs_.reports.size() && !says_something(theirs_.reports[next])) {
                ++next;
            }
            require(next < theirs_.reports.size(), "ours has no report that theirs has not");
            compare_report(ours, theirs_.reports[next++]);
        }
    }

private:
    static bool says_something(const std::vector<group>& groups) {
        return std::ranges::any_of(groups, [](const group& g) { return !g.values.empty(); });
    }
    static void compare_report(const care_report& ours, const std::vector<group>& theirs) {
        for (const vital_set& set : ours.sets) {
            require(set.group >= 1 && set.group <= theirs.size(), "a set is of one of its groups");
            const group& g = theirs[set.group - 1];
            compare<sign::systolic>(set, g, "eVitals.06");
            compare<sign::saturation>(set, g, "eVitals.12");
            compare<sign::respiratory_rate>(set, g, "eVitals.14");
        }
    }

    const by_libxml2& theirs_;
    std::vector<care_report> kept_{};
    bool any_unread_ = false;
};

read::delimited_outcome read_with(std::string_view text, bool strict, read::sink& into) {
    read::memory_source source(text);
    read::delimited_options options;
    options.strict_xml = strict;
    return read::read_nemsis(source, "fuzz.xml", options, into);
}

// Does the second half only when the first has come to the end.
class late_reader final : public read::half_runner {
public:
    explicit late_reader(read::sink& to) : to_(to) {}

    void run(read::halved_reading& reading) override {
        std::vector<std::unique_ptr<read::text_block>> blocks;
        do {
            blocks.push_back(reading.new_block());
        } while (reading.part(*blocks.back()));
        blocks.pop_back();
        const auto half = reading.new_second_half();
        for (const auto& block : blocks) {
            half->read(*block, to_);
            reading.account_for(*block);
        }
    }

private:
    read::sink& to_;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    bytes from(text_of(data, size));
    const std::size_t step = 1 + from.below(64);
    const std::string text(from.rest());
    const read::xml_bounds small{
        .longest = 2000, .deepest = 12, .most_elements = 60, .longest_tag = 300, .piece = 40};
    const std::string told =
        told_in_any_pieces(text, step, [&](read::byte_source& source, read::sink& into) {
            return read::read_nemsis(source, "fuzz.xml", {}, into, small);
        });
    read::memory_source again(text);
    require(told == told_by(again,
                            [&](read::byte_source& source, read::sink& into) {
                                late_reader halves(into);
                                return read::read_nemsis(source, "fuzz.xml", {}, into, small,
                                                         &halves);
                            }),
            "a file read in halves is read the same");
    // Where there is markup of its own, an instruction might lie in it and be something else.
    if (text.find("<!") == std::string::npos && text.find("<?") == std::string::npos) {
        const auto told_of = [](std::string_view of) {
            read::memory_source source(of);
            return told_by(source, [](read::byte_source& from, read::sink& into) {
                return read::read_nemsis(from, "fuzz.xml", {}, into);
            });
        };
        require(told_of(text) == told_of(made_not_plain(text)),
                "a report is read the same, plain or parsed");
    }
    telling_sink strict;
    const auto in_strict_form = read_with(text, true, strict);
    const auto theirs = read_by_libxml2(text);
    if (!theirs) {
        return 0;
    }
    require(!in_strict_form.error ||
                in_strict_form.error->what.find("not well-formed") == std::string::npos,
            "what libxml2 takes is well-formed to us");
    comparing_sink ours(*theirs);
    const auto outcome = read_with(text, false, ours);
    require(outcome.rows_read == theirs->groups, "every group is accounted for");
    ours.compare_all();
    return 0;
}
