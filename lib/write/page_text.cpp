#include "write/page_text.hpp"

#include "write/json.hpp"
#include <vitalproof/age_limits.hpp>

#include <algorithm>
#include <array>

namespace vitalproof::write {

namespace {

/// An array written element by element.
class json_array {
public:
    explicit json_array(text_block& out) : out_(out) { out_.push_back('['); }

    /// An array whose beginning, with an element at least, stands in `out` already.
    static json_array continued(text_block& out) { return {out, false}; }

    text_block& next() {
        if (!first_) {
            out_.push_back(',');
        }
        first_ = false;
        return out_;
    }
    void text(std::string_view value) { append_json_string(next(), value); }
    void text(const checked_text& value) { append_json_string(next(), value); }
    template <class Integer>
    void integer(Integer value) {
        append_integer(next(), value);
    }
    void close() { out_.push_back(']'); }

private:
    json_array(text_block& out, bool first) : out_(out), first_(first) {}

    text_block& out_;
    bool first_ = true;
};

/// A time as seconds of the wall clock since 1970; null where there is none.
void append_seconds(text_block& out, const std::optional<set_time>& at) {
    if (at) {
        append_integer(out, at->local.time_since_epoch().count());
    } else {
        out.append("null");
    }
}

constexpr std::array<std::string_view, 9> method_names{
    "", "felt", "by oximeter", "by ECG", "by machine", "by ear", "palpated", "doppler", "arterial"};

/// `[sign,state,` put together by the compiler, so that it costs one append.
template <VitalSign S>
std::string_view opening_of(reading_state state) {
    constexpr std::size_t sign = index_of(S::info.id);
    constexpr std::size_t length = sign < 10 ? 5 : 6;
    static constexpr auto openings = [] {
        std::array<std::array<char, length>, 5> made{};
        for (std::size_t i = 0; i < made.size(); ++i) {
            made[i].front() = '[';
            made[i][1] = static_cast<char>('0' + (sign < 10 ? sign : sign / 10));
            made[i][length - 4] = static_cast<char>('0' + sign % 10);
            made[i][length - 3] = ',';
            made[i][length - 2] = static_cast<char>('0' + i);
            made[i][length - 1] = ',';
        }
        return made;
    }();
    return {openings[static_cast<std::size_t>(state)].data(), length};
}

/// A set's readings, in room asked for once: nearly all are plain numbers.
class readings_text {
public:
    explicit readings_text(text_block& out)
        : out_(out), end_(out.room(1 + sign_count * longest_plain)) {
        *end_++ = '[';
    }

    /// Sign, state, value, then the text charted or the reason for an absence, and the method.
    template <VitalSign S>
    void add(const reading<S>& r, const charted_texts& charted) {
        if (r.is_number() && r.how() == method::unknown && charted[S{}].empty()) [[likely]] {
            begin();
            put(opening_of<S>(reading_state::number));
            end_ = put_json_number(end_, r.raw());
            *end_++ = ']';
        } else if (!is_gap(r)) {
            begin();
            append_other(r, charted[S{}]);
        }
    }
    void close() {
        *end_++ = ']';
        out_.end_at(end_);
    }

private:
    static constexpr std::size_t longest_plain = 8 + longest_json_number;

    template <VitalSign S>
    static bool is_gap(const reading<S>& r) {
        return r.state() == reading_state::absent &&
               (r.why_absent() == absence::blank || r.why_absent() == absence::not_carried);
    }

    void begin() {
        if (!first_) {
            *end_++ = ',';
        }
        first_ = false;
    }
    void put(std::string_view text) { end_ = vitalproof::detail::put(end_, text); }

    template <VitalSign S>
    void append_other(const reading<S>& r, const charted_text& charted) {
        put(opening_of<S>(r.state()));
        out_.end_at(end_);
        append_json_number(out_, r.raw());
        auto one = json_array::continued(out_);
        const std::string_view how = method_names[static_cast<std::size_t>(r.how())];
        if (r.state() == reading_state::absent) {
            one.text(message::name_of(r.why_absent()));
        } else if (!how.empty() || !charted.empty()) {
            one.text(charted.empty() ? "" : charted.display());
        }
        if (!how.empty()) {
            one.text(how);
        }
        one.close();
        end_ = out_.room(1 + sign_count * longest_plain);
    }

    text_block& out_;
    bool first_ = true;
    char* end_;
};

/// What was so when a set was taken, as far as the page marks it.
void append_facts(json_array& to, facts known) {
    constexpr std::array marked{fact::arrest,     fact::compressions,  fact::airway_tube,
                                fact::ventilated, fact::oxygen,        fact::paced,
                                fact::treated,    fact::airway_attempt};
    json_array list(to.next());
    for (const fact f : marked) {
        if (known.is(f)) {
            list.text(fact_names[static_cast<std::size_t>(f)]);
        }
    }
    list.close();
}

void append_band(json_array& to, sign_id sign, const std::array<real, 3>& centiles) {
    json_array band(to.next());
    band.integer(index_of(sign));
    append_json_number(band.next(), static_cast<double>(centiles[0]));
    append_json_number(band.next(), static_cast<double>(centiles[2]));
    band.close();
}

void append_bands(text_block& out, const child_centiles& centiles) {
    json_array bands(out);
    append_band(bands, sign_id::pulse, centiles.pulse);
    append_band(bands, sign_id::ecg_rate, centiles.pulse);
    append_band(bands, sign_id::respiratory_rate, centiles.breathing);
    bands.close();
}

constexpr std::array<std::string_view, 13> event_names{"treatment",
                                                       "sugar",
                                                       "opioid",
                                                       "naloxone",
                                                       "nitrate",
                                                       "sedation",
                                                       "airway attempt",
                                                       "tube confirmed",
                                                       "tube confirmed by CO2",
                                                       "tube confirmed by colour",
                                                       "arrest",
                                                       "pulse returned",
                                                       "resuscitation ended"};
static_assert(event_names.size() == static_cast<std::size_t>(event_kind::resuscitation_ended) + 1);

constexpr std::array<std::string_view, 8> ending_names{
    "",        "no patient",      "dead on scene", "resuscitation ended on scene",
    "refused", "not transported", "transported",   "transferred between hospitals"};

/// Bounds what one report may put on the page.
constexpr std::size_t most_events = 200;

void append_call(json_object& head, const call_record& call) {
    json_array times(head.key("times"));
    for (const auto& at : call.times) {
        append_seconds(times.next(), at);
    }
    times.close();
    head.text("ended", ending_names[static_cast<std::size_t>(call.ended)]);
    json_array events(head.key("events"));
    for (std::size_t i = 0; i < std::min(call.events.size(), most_events); ++i) {
        json_array event(events.next());
        event.text(event_names[static_cast<std::size_t>(call.events[i].what)]);
        append_seconds(event.next(), call.events[i].at);
        event.close();
    }
    events.close();
}

void append_evidence(json_array& to, const finding& f) {
    json_array readings(to.next());
    for (const auto& r : f.evidence.readings()) {
        json_array one(readings.next());
        one.integer(index_of(r.sign));
        one.integer(r.where == evidence_place::here ? f.set : r.set);
        one.close();
    }
    readings.close();
    json_array numbers(to.next());
    for (const auto& n : f.evidence.numbers()) {
        json_array one(numbers.next());
        std::string name(n.name);
        std::ranges::replace(name, '_', ' ');
        one.text(name);
        std::string value;
        message::append_number(value, n.value);
        one.text(n.unit.empty() ? value : value + " " + std::string(n.unit));
        one.close();
    }
    numbers.close();
    json_array moments(to.next());
    for (const auto& t : f.evidence.times()) {
        json_array one(moments.next());
        std::string name(t.name);
        std::ranges::replace(name, '_', ' ');
        one.text(name);
        append_seconds(one.next(), t.at);
        one.close();
    }
    moments.close();
}

}  // namespace

void append_page_head(text_block& out, const care_report& report, std::string_view file) {
    auto head = json_object::members_only(out);
    head.text("id", report.id).text("file", file);
    const bool elapsed = std::ranges::any_of(
        report.sets, [](const vital_set& set) { return set.taken_at && set.taken_at->elapsed; });
    if (elapsed) {
        head.raw("elapsed", "true");
    }
    if (const child_centiles* centiles = centiles_of(report.age)) {
        append_bands(head.key("bands"), *centiles);
    } else if (report.age && facts_of_age(report.age).is_not(fact::child)) {
        head.raw("adult", "true");
    }
    if (report.call) {
        append_call(head, *report.call);
    }
}

void append_page_set(text_block& out, const care_report& report, std::size_t set) {
    const vital_set& shown = report.sets[set - 1];
    json_array elements(out);
    elements.integer(set);
    append_seconds(elements.next(), shown.taken_at);
    append_facts(elements, report.known.overlaid_by(shown.known));
    readings_text readings(elements.next());
    for_each_sign(all_signs{}, [&](auto sign) { readings.add(shown[sign], shown.charted); });
    readings.close();
    elements.close();
}

void append_page_finding(text_block& out, const finding& f, const worded& in_words) {
    json_array elements(out);
    elements.integer(f.set);
    elements.integer(f.check);
    elements.text(in_words.charted());
    elements.text(in_words.expected());
    elements.text(in_words.question());
    elements.text(in_words.fingerprint());
    append_evidence(elements, f);
    elements.integer(f.line);
    elements.text(f.place);
    elements.text(in_words.perhaps());
    elements.close();
}

}  // namespace vitalproof::write
