#include "read/nemsis.hpp"

#include "read/digesting_source.hpp"
#include "read/form_checking_source.hpp"
#include "read/nemsis_maker.hpp"
#include "read/text_source.hpp"
#include "read/xml_block.hpp"

#include <memory>

namespace vitalproof::read {

namespace {

struct nemsis_block final : text_block {
    std::size_t bytes() const override { return text.bytes(); }

    xml_block text{};
    nemsis::made_of_pieces made{};
};

class nemsis_second_half final : public second_half {
public:
    nemsis_second_half(std::string_view file_name, const delimited_options& options,
                       const xml_bounds& bounds)
        : maker_(file_name, options, bounds) {}

    void read(text_block& block, sink& into) override {
        auto& [text, made] = static_cast<nemsis_block&>(block);
        made = {};
        for (std::size_t i = 0; i < text.size(); ++i) {
            maker_.take(text.piece(i), into, made);
        }
    }

private:
    nemsis::report_maker maker_;
};

class nemsis_reader final : public halved_reading {
public:
    nemsis_reader(byte_source& source, std::string_view file_name, const delimited_options& options,
                  const xml_bounds& bounds)
        : options_(options),
          file_name_(file_name),
          bounds_(bounds),
          bytes_(source),
          text_(bytes_, options.most_unpacked),
          form_(options.strict_xml ? std::optional<form_checking_source>(std::in_place, text_)
                                   : std::nullopt),
          splitter_(form_ ? static_cast<byte_source&>(*form_) : text_, "PatientCareReport",
                    "eVitals.VitalGroup", bounds) {}

    delimited_outcome run(sink& into, half_runner* halves) {
        outcome_.error = text_.open();
        if (!outcome_.error) {
            if (halves != nullptr) {
                halves->run(*this);
            } else {
                read_all(into);
            }
            take_over_counts();
            outcome_.error = what_stopped();
            say_what_was_read();
        }
        outcome_.rows_read = outcome_.rows_examined + outcome_.rows_unread + outcome_.rows_other;
        outcome_.bytes = bytes_.bytes();
        outcome_.digest = bytes_.digest();
        return std::move(outcome_);
    }

    std::unique_ptr<text_block> new_block() const override {
        return std::make_unique<nemsis_block>();
    }
    bool part(text_block& into) override {
        return static_cast<nemsis_block&>(into).text.fill(splitter_);
    }
    std::unique_ptr<second_half> new_second_half() const override {
        return std::make_unique<nemsis_second_half>(file_name_, options_, bounds_);
    }
    void account_for(const text_block& block) override {
        made_.add(static_cast<const nemsis_block&>(block).made);
    }

private:
    void read_all(sink& into) {
        nemsis::report_maker maker(file_name_, options_, bounds_);
        for (xml_piece piece; splitter_.next(piece);) {
            maker.take(piece, into, made_);
        }
    }
    std::optional<file_error> what_stopped() const;
    void take_over_counts();
    void say_what_was_read();

    const delimited_options& options_;
    std::string_view file_name_;
    xml_bounds bounds_;
    digesting_source bytes_;
    text_source text_;
    std::optional<form_checking_source> form_;
    xml_splitter splitter_;
    delimited_outcome outcome_{};
    nemsis::made_of_pieces made_{};
};

// Why the document did not come to its end, or is none of ours.
std::optional<file_error> nemsis_reader::what_stopped() const {
    if (!splitter_.trouble().empty()) {
        return file_error{"reading broke off after " + std::to_string(bytes_.bytes()) +
                              " bytes: " + splitter_.trouble(),
                          "check the disk, connection or archive and read it again; reports before "
                          "this were read"};
    }
    if (splitter_.has_document_type()) {
        return file_error{
            "it declares a document type, which could define entities and is not read",
            "take the <!DOCTYPE ...> out; the standard needs none"};
    }
    if (form_ && form_->fault()) {
        return file_error{
            "on line " + std::to_string(form_->fault()->line) +
                " it is not well-formed XML: " + std::string(form_->fault()->what),
            "export it again, or leave out --strict-xml; what could be read was read"};
    }
    if (made_.reports_met == 0) {
        const std::string& root = splitter_.root();
        return root == "EMSDataSet"
                   ? file_error{"it holds no PatientCareReport", "check that its export finished"}
                   : file_error{"this XML is no EMSDataSet of the national EMS data standard",
                                "export the care reports as NEMSIS v3.5, CSV or FHIR"};
    }
    if (const std::uint64_t line = splitter_.unended_line(); line != 0) {
        return file_error{"what begins on line " + std::to_string(line) +
                              " as a comment, CDATA or processing instruction does not end",
                          "end it; reports before it were read"};
    }
    if (!splitter_.is_whole()) {
        return file_error{"it ends before its first element does",
                          "check that its export finished; what it holds was read"};
    }
    return std::nullopt;
}

void nemsis_reader::take_over_counts() {
    outcome_.reports = made_.reports;
    outcome_.rows_examined = made_.examined;
    outcome_.rows_unread = made_.unread;
    outcome_.rows_other = made_.other;
    outcome_.unreadable_times = made_.unreadable_times;
    outcome_.unreadable_ages = made_.unreadable_ages;
}

void nemsis_reader::say_what_was_read() {
    outcome_.columns.assumptions.emplace_back(
        "Read as the national EMS data standard (NEMSIS v3.5): a row is a group of vital signs");
    if (text_.as() != encoding::utf_8) {
        outcome_.columns.assumptions.push_back("Characters read as " +
                                               std::string(name_of(text_.as())));
    }
}

}  // namespace

delimited_outcome read_nemsis(byte_source& source, std::string_view file_name,
                              const delimited_options& options, sink& into,
                              const xml_bounds& bounds, half_runner* halves) {
    return nemsis_reader(source, file_name, options, bounds).run(into, halves);
}

}  // namespace vitalproof::read
