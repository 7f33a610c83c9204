// A stream of XML split into its reports: what is found, what is refused, and what comes behind.
#include "read/xml_splitter.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>

#include <random>

namespace {

using namespace reading;
using read::xml_fault;

using texts = std::vector<std::string>;
using lines = std::vector<std::uint64_t>;

struct kept_piece {
    std::string text{};
    std::uint64_t line = 0;
    xml_fault fault = xml_fault::none;
    lines marked{};

    friend bool operator==(const kept_piece&, const kept_piece&) = default;
};

struct split {
    explicit split(std::string_view text, std::size_t step = 1 << 20,
                   const read::xml_bounds& bounds = {}) {
        halting_source source(text, step);
        read::xml_splitter pieces(source, "report", "group", bounds);
        read::xml_piece piece;
        while (pieces.next(piece)) {
            given.push_back({{piece.text.begin(), piece.text.end()},
                             piece.line,
                             piece.fault,
                             {piece.marked_lines.begin(), piece.marked_lines.end()}});
            is_plain.push_back(piece.is_plain);
        }
        root = pieces.root();
        whole = pieces.is_whole();
        document_type = pieces.has_document_type();
        unended_line = pieces.unended_line();
    }

    texts all() const {
        texts of_all;
        for (const kept_piece& piece : given) {
            of_all.push_back(piece.text);
        }
        return of_all;
    }
    std::vector<xml_fault> faults() const {
        std::vector<xml_fault> of_all;
        for (const kept_piece& piece : given) {
            of_all.push_back(piece.fault);
        }
        return of_all;
    }

    std::vector<kept_piece> given{};
    std::vector<bool> is_plain{};  // may depend on the pieces of the stream, where a byte is NUL
    std::string root{};
    bool whole = false;
    bool document_type = false;
    std::uint64_t unended_line = 0;
};

const std::string one = "<report id=\"1\">\n<group>a</group>\n</report>";
const std::string two = "<report><v><group/><group>b</group></v></report>";

std::string in_root(const std::string& inner) { return "<all>\n" + inner + "\n</all>"; }

}  // namespace

TEST_CASE("reports are given one by one with their lines, whatever stands around them") {
    const split read("<?xml version=\"1.0\"?>\n" + in_root("<head>x</head>" + one + "\n" + two));
    CHECK(read.all() == texts{one, two});
    CHECK(read.given[0].line == 3);
    CHECK(read.given[0].marked == lines{4});
    CHECK(read.given[1].line == 6);
    CHECK(read.given[1].marked == lines{6, 6});
    CHECK(read.root == "all");
    CHECK(read.whole);
    CHECK(split("").given.empty());
    CHECK(split(in_root("<head>" + one + "</head><head>" + two + "</head>")).all() ==
          texts{one, two});
}

TEST_CASE("a prefix is no part of a name") {
    const std::string prefixed = "<n:report><n:group/></n:report>";
    const split read("<n:all>" + prefixed + "</n:all>");
    CHECK(read.all() == texts{prefixed});
    CHECK(read.given[0].marked == lines{1});
    CHECK(read.root == "all");
    CHECK(read.whole);
    CHECK(split(in_root("<reporter/><re:porter/><report.x/>")).given.empty());
}

TEST_CASE("comments, CDATA and processing instructions pass for no element") {
    for (const std::string hidden : {"<!-- </report><report> -->", "<![CDATA[</report><group/>]]>",
                                     "<?note </report> <group/>?>", "<!---->", "<![CDATA[]]]]>"}) {
        CAPTURE(hidden);
        const std::string report = "<report>" + hidden + "<group/></report>";
        std::string around = hidden;
        around.append(report).append(hidden).append(two);
        const split read(in_root(around));
        CHECK(read.all() == texts{report, two});
        CHECK(read.given[0].marked == lines{2});
        CHECK(read.whole);
    }
}

TEST_CASE("an attribute may hold what ends a tag") {
    const std::string odd = "<report a=\"</report>\" b='/>' c='>\"'><x d=\">\"/></report>";
    const std::string well = "<report a=\"/report>\" b='/>' c='>\"'><x d=\">\"/></report>";
    CHECK(split(in_root(well + two)).all() == texts{well, two});
    // A '<' within a value makes it no tag.
    const split read(in_root(odd + two));
    CHECK(read.all() == texts{two});
}

TEST_CASE("a report that closes itself is given too") {
    CHECK(split(in_root("<report/>" + two)).all() == texts{"<report/>", two});
    CHECK(split(in_root("<report id=\"7\" />")).all() == texts{"<report id=\"7\" />"});
    CHECK(split(in_root("<report/>")).whole);
}

TEST_CASE("a broken report costs no other") {
    const split unended(in_root("<report><group/>" + two));
    CHECK(unended.faults() == std::vector{xml_fault::begun_again, xml_fault::none});
    CHECK(unended.given[0].marked == lines{2});
    CHECK(unended.given[1].text == two);

    const split broken_off("<all>" + two + "<report><group/><group>");
    CHECK(broken_off.faults() == std::vector{xml_fault::none, xml_fault::broken_off});
    CHECK(broken_off.given[1].marked == lines{1, 1});
    CHECK_FALSE(broken_off.whole);

    const split bare(in_root("<report><<>a<b</report>" + two));
    CHECK(bare.all() == texts{"<report><<>a<b</report>", two});
}

TEST_CASE("a document that does not end is told from one that does") {
    CHECK_FALSE(split("<all>" + one).whole);
    CHECK_FALSE(split("<all>" + one + "</al").whole);
    CHECK_FALSE(split("<all>" + one + "</all><all>").whole);
    CHECK(split("<all>" + one + "</all>").whole);
    CHECK(split("<a></a>").whole);  // shorter than any mark that is looked for
    CHECK(split("<all/>").whole);
    CHECK(split(one).whole);
    CHECK_FALSE(split("<report><report></report>").whole);

    const split in_comment("<all>\n\n<!-- " + one + "</all>");
    CHECK(in_comment.given.empty());
    CHECK(in_comment.unended_line == 3);
    CHECK_FALSE(in_comment.whole);
    CHECK(split("<all>\n\n<!-- " + one + "</all> -->").unended_line == 0);
}

TEST_CASE("a document type is not read on") {
    const split before("<!DOCTYPE all [<!ENTITY a \"b\">]>" + in_root(one));
    CHECK(before.document_type);
    CHECK(before.given.empty());
    const split inside("<all>" + two + "<report><!ENTITY a \"b\"></report></all>");
    CHECK(inside.document_type);
    CHECK(inside.faults() == std::vector{xml_fault::none, xml_fault::broken_off});
    CHECK_FALSE(split(in_root("<!-- <!DOCTYPE a> -->" + one)).document_type);
}

TEST_CASE("marked elements outside of every report are given as strays") {
    const split read(in_root("<group>a</group>" + two + "\n<group/>"));
    CHECK(read.faults() == std::vector{xml_fault::stray, xml_fault::none, xml_fault::stray});
    CHECK(read.given[0].text == "<group>");
    CHECK(read.given[0].marked == lines{2});
    CHECK(read.given[2].marked == lines{3});
}

TEST_CASE("a report too long is named, its later groups are strays, and the next is read") {
    const read::xml_bounds small{.longest = 4096, .piece = 512};
    const std::string filler(5000, 'x');
    const std::string lengthy =
        "<report><group/>" + filler + "<group/>" + filler + "<group/></report>";
    const split read(in_root(lengthy + two), 1 << 20, small);
    CHECK(read.faults() ==
          std::vector{xml_fault::too_long, xml_fault::stray, xml_fault::stray, xml_fault::none});
    CHECK(read.given.back().text == two);
    CHECK(read.whole);
}

TEST_CASE("elements too deep inside each other are refused, and the next report is read") {
    std::string open;
    std::string close;
    for (int i = 0; i < 10; ++i) {
        open += "<a>";
        close += "</a>";
    }
    const std::string deep = "<report>" + open + "<group/>" + close + "</report>";
    const read::xml_bounds ten{.deepest = 10};
    CHECK(split(in_root(deep), 1 << 20, ten).faults() == std::vector{xml_fault::none});
    const read::xml_bounds nine{.deepest = 9};
    const split read(in_root(deep + two), 1 << 20, nine);
    CHECK(read.faults() == std::vector{xml_fault::too_deep, xml_fault::none});
    CHECK(read.given[0].marked == lines{2});
}

TEST_CASE("more elements than a report can have are refused, and the next report is read") {
    const std::string many = "<report><group/><a></a><a/>x</report>";
    const read::xml_bounds three{.most_elements = 3};
    CHECK(split(in_root(many + two), 1 << 20, three).faults() ==
          std::vector{xml_fault::none, xml_fault::none});
    const read::xml_bounds one_less{.most_elements = 2};
    const split read(in_root(many + one), 1 << 20, one_less);
    CHECK(read.faults() == std::vector{xml_fault::too_many, xml_fault::none});
    CHECK(read.given[0].marked == lines{2});
}

TEST_CASE("a tag without an end is passed over in bounded time and memory") {
    const read::xml_bounds small{.longest = 1 << 20, .longest_tag = 1024, .piece = 512};
    CHECK(split("<all><x y=\"" + std::string(100'000, '>') + two, 1 << 20, small).all() ==
          texts{two});
    CHECK(split("<all><x " + std::string(100'000, 'y') + two, 1 << 20, small).all() == texts{two});
    // Takes minutes where each angle bracket looks through all that follow.
    CHECK(split("<all>" + std::string(std::size_t{8} << 20, '<') + two).all() == texts{two});
    CHECK(split("<all>" + std::string(std::size_t{8} << 20, '"') + two).all() == texts{two});
}

TEST_CASE("where the pieces of a stream end does not matter") {
    const std::string text =
        "<?xml version='1.0'?>" +
        in_root("<!-- a - b -- -->" + one + "<![CDATA[]] ><report>]]>\n" + two +
                "<group a='>'/><report><x y='</'></report><?p ?p?>" + one);
    const split whole(text);
    REQUIRE(whole.given.size() == 5);
    const read::xml_bounds small{.piece = 16};
    for (std::size_t step = 1; step <= 40; ++step) {
        CAPTURE(step);
        CHECK(split(text, step).given == whole.given);
        CHECK(split(text, step, small).given == whole.given);
    }
}

TEST_CASE("bytes of any kind are split to their end, every group named at most once") {
    std::mt19937_64 chance(20260301);
    const std::vector<std::string> words{
        "<report>", "</report>", "<group>", "<group/>", "<!--", "-->", "<![CDATA[",
        "]]>",      "<?",        "?>",      "<",        ">",    "\"",  "'",
        "x=",       "\n",        "</all>",  "<all>",    "é",    "\0"s};
    std::size_t pieces = 0;
    for (int i = 0; i < 2000; ++i) {
        std::string text;
        for (int word = 0; word < 60; ++word) {
            text += words[chance() % words.size()];
        }
        const split read(text, 1 + chance() % 64);
        CHECK(read.given == split(text).given);
        std::uint64_t last = 0;
        for (const kept_piece& piece : read.given) {
            CHECK(piece.line >= last);
            last = piece.line;
        }
        pieces += read.given.size();
    }
    CHECK(pieces > 1000);
}

TEST_CASE("a source that fails is told from one that ends") {
    const std::string both = two + two;
    halting_source source(both, 1 << 20, two.size() + 3);
    read::xml_splitter pieces(source, "report", "group");
    read::xml_piece piece;
    CHECK(pieces.next(piece));
    CHECK(piece.fault == xml_fault::none);
    CHECK_FALSE(pieces.next(piece));
    CHECK(pieces.trouble() == "the line went dead");
}

namespace {

// The elements of the first piece, each with what lies in it: name(text), name[elements].
struct outline {
    explicit outline(std::string_view text, std::size_t step = 1 << 20,
                     const read::xml_bounds& bounds = {}) {
        halting_source source(text, step);
        read::xml_splitter pieces(source, "report", "group", bounds);
        read::xml_piece piece;
        if (pieces.next(piece) && piece.is_plain) {
            is_plain = true;
            say(piece, 0, static_cast<std::uint32_t>(piece.elements.size()));
        }
    }

    void say(const read::xml_piece& piece, std::uint32_t from, std::uint32_t to) {
        for (std::uint32_t at = from; at < to; at = piece.elements[at].behind) {
            const read::xml_element& e = piece.elements[at];
            said += (*piece.tags)[e.tag].qualified_name();
            const bool is_leaf = e.behind == at + 1;
            said += is_leaf ? '(' : '[';
            if (is_leaf) {
                said +=
                    std::string_view(piece.text.data() + e.text_begin, e.text_end - e.text_begin);
            }
            say(piece, at + 1, e.behind);
            said += is_leaf ? ')' : ']';
        }
    }

    bool is_plain = false;
    std::string said{};
};

}  // namespace

TEST_CASE("what lies in a plain report is given with it") {
    const std::string text = in_root(
        "<report id=\"1\">\n<group a='1' b = \"2\">x > y</group>\n"
        "<n:v><w/>\n<w >&amp;</w></n:v><v></v></report>");
    CHECK_FALSE(outline(text).is_plain);  // of an attribute written so, a parser is asked
    const std::string plain = in_root(
        "<report id=\"1\">\n<group a='1' b=\"2\">x > y</group>\n"
        "<n:v><w/>\n<w >&amp;</w><w q='>'/></n:v><v></v></report>");
    CHECK_FALSE(outline(plain).is_plain);
    const std::string plainer = in_root(
        "<report id=\"1\">\n<group a='1' b=\"2\">x > y</group>\n"
        "<n:v><w/>\n<w >&amp;</w><w q='\"'/></n:v><v></v></report>");
    const std::string said = "group(x > y)n:v[w()w(&amp;)w()]v()";
    CHECK(outline(plainer).said == said);
    const read::xml_bounds small{.piece = 16};
    for (std::size_t step = 1; step <= 40; ++step) {
        CAPTURE(step);
        CHECK(outline(plainer, step).said == said);
        CHECK(outline(plainer, step, small).said == said);
    }
}

TEST_CASE("a report is not plain where a parser might see something else in it") {
    CHECK(outline(in_root("<report><v>1</v></report>")).is_plain);
    for (const std::string& odd :
         {"<!-- \0 -->"s, "<?p?>"s, "<v>1</w>"s, "<v>1"s, "</v>"s, "<v>1</v >"s, "<v a=1/>"s,
          "<v a/>"s, "<v a=\"1\"b=\"2\"/>"s, "<v a=\"&amp;\"/>"s, "<v a=\"\n\"/>"s, "<1/>"s,
          "<\xC3\xA9/>"s, "<a:b:c/>"s, "a < b"s, "<v//>"s, "\0"s, "<all/>"s}) {
        CAPTURE(odd);
        CHECK_FALSE(outline(in_root("<report><v>1</v>" + odd + "</report>")).is_plain);
        CHECK_FALSE(outline(in_root("<report>" + odd + "<v>1</v></report>")).is_plain);
        // The next one is plain again.
        std::string apart = "<report>" + odd + "</report>";
        apart.append(1 << 14, ' ').append(two);
        const split both(in_root(apart));
        REQUIRE(both.given.size() == 2);
        CHECK_FALSE(both.is_plain[0]);
        CHECK(both.is_plain[1]);
    }
    CHECK_FALSE(outline("<all><report a=\"&amp;\"><v>1</v></report></all>").is_plain);
    CHECK_FALSE(outline("<all><report><v>1</v></report >").is_plain);
}

TEST_CASE("comments and CDATA are passed over in a plain report") {
    const std::string text = in_root(
        "<report><!-- </report> a > b -->\n<v>1<!---->2</v><![CDATA[<w>]]><v><![CDATA[</v>]]></v>"
        "<!--" +
        std::string(20'000, '<') + "--><w/></report>");
    const std::string said = "v(1<!---->2)v(<![CDATA[</v>]]>)w()";
    CHECK(outline(text).said == said);
    CHECK(split(text).all().at(0).size() == text.size() - in_root("").size());
    CHECK(outline(in_root("<report><!--></v>--><v>1</v></report>")).said == "v(1)");
}

TEST_CASE("more tags than are remembered, and longer ones, change nothing but the speed") {
    std::string lengthy = "<report>";
    std::string said;
    for (int i = 0; i < 5000; ++i) {
        lengthy += "<v a=\"" + std::to_string(i) + "\"/>";
    }
    lengthy += "</report>";
    std::string many;
    for (int i = 0; i < 500; ++i) {
        many += "<report id=\"" + std::to_string(i) + "\">";
        for (int tag = 0; tag < 7; ++tag) {
            many += "<v a=\"" + std::to_string(7 * i + tag) + "\">" + std::to_string(tag) + "</v>";
        }
        many += "</report>";
    }
    const split read(in_root(lengthy + many));
    REQUIRE(read.given.size() == 501);
    CHECK_FALSE(read.is_plain[0]);
    CHECK(read.given[0].text == lengthy);
    CHECK(std::count(read.is_plain.begin(), read.is_plain.end(), true) == 500);
    CHECK(outline(in_root(many)).said == "v(0)v(1)v(2)v(3)v(4)v(5)v(6)");
    const std::string wide = "<" + std::string(70, 'v') + ">";
    CHECK_FALSE(outline(in_root("<report>" + wide + "</report>")).is_plain);
    // A text longer than is looked at in one go.
    const std::string text(100'000, 'x');
    CHECK(outline(in_root("<report><v>" + text + "</v><w/></report>")).said ==
          "v(" + text + ")w()");
}
