// The first screen: what raises no question, and what was asked, by check, sign and crew.
import { Crew, OfBatch, Written } from "./data";
import { button, el, svg } from "./dom";
import { Choice } from "./filter";
import { mark, weight } from "./marks";
import { counted, grouped, share } from "./words";

const leastSets = 30;

/** A bar of parts, told apart by pattern as well as colour. */
function bar(parts: [string, number][], whole: number, width = 160): SVGSVGElement {
    let x = 0;
    const made = svg("svg", { class: "bar", viewBox: `0 0 ${width} 12`, preserveAspectRatio: "none", "aria-hidden": "true" });
    made.append(svg("rect", { class: "ground", x: 0, y: 0, width, height: 12 }));
    for (const [kind, part] of parts) {
        const wide = whole > 0 ? (part / whole) * width : 0;
        if (part > 0) {
            made.append(svg("rect", { class: kind, x, y: 0, width: Math.max(wide, 1.5), height: 12 }));
        }
        x += wide;
    }
    return made;
}

function table(caption: string, heads: string[], rows: (Node | string)[][]): HTMLElement {
    const head = el("tr", {}, ...heads.map((text) => el("th", { scope: "col" }, text)));
    const body = rows.map(([first, ...cells]) =>
        el("tr", {}, el("th", { scope: "row" }, first), ...cells.map((cell) => el("td", {}, cell))),
    );
    return el(
        "div",
        { class: "scroll", tabindex: 0, role: "region", "aria-label": caption },
        el("table", {}, el("caption", {}, caption), el("thead", {}, head), el("tbody", {}, ...body)),
    );
}

/** The range that a rate of so few sets leaves open: Wilson's 95 % interval. */
export function interval(part: number, whole: number): [number, number] {
    const z = 1.96;
    const p = part / whole;
    const middle = p + (z * z) / (2 * whole);
    const reach = z * Math.sqrt((p * (1 - p)) / whole + (z * z) / (4 * whole * whole));
    const scale = 1 + (z * z) / whole;
    return [Math.max(0, (middle - reach) / scale), Math.min(1, (middle + reach) / scale)];
}

function crewRate(crew: Crew, most: number): (Node | string)[] {
    if (crew.sets < leastSets) {
        return [`no rate under ${leastSets} sets`, ""];
    }
    const asked = crew.rejected + crew.queried;
    const [low, high] = interval(asked, crew.sets);
    const at = (rate: number) => (rate / most) * 160;
    const picture = svg("svg", { class: "bar", viewBox: "0 0 160 12", "aria-hidden": "true" });
    picture.append(
        svg("line", { class: "whisker", x1: at(low), x2: at(high), y1: 6, y2: 6 }),
        svg("circle", { class: "rate", cx: at(asked / crew.sets), cy: 6, r: 3.5 }),
    );
    const percent = (rate: number) => `${(100 * rate).toFixed(1)} %`;
    return [`${percent(asked / crew.sets)} (${percent(low)} to ${percent(high)})`, picture];
}

function headline(data: Written): HTMLElement {
    const { counts } = data;
    const asked = counts.sets_rejected + counts.sets_queried + counts.sets_part_of_batch;
    const parts: [string, number][] = [
        ["reject", counts.sets_rejected],
        ["query", counts.sets_queried],
        ["whole", counts.sets_part_of_batch],
    ];
    const ofColumns = counts.sets_part_of_batch;
    return el(
        "section",
        { class: "headline", "aria-labelledby": "share" },
        el(
            "h2",
            { id: "share" },
            el("span", { class: "figure" }, share(counts.sets - asked, counts.sets)),
            " of sets raise no question",
        ),
        bar(parts, counts.sets, 640),
        el(
            "p",
            {},
            `${counted(counts.sets, "set")} in ${counted(counts.reports, "report")}: `,
            mark("reject"),
            ` ${grouped(counts.sets_rejected)} with a value that cannot stand as charted, `,
            mark("query"),
            ` ${grouped(counts.sets_queried)} with one to ask about`,
            ofColumns > 0 ? `, ${grouped(ofColumns)} by a whole column alone.` : ".",
        ),
        el(
            "p",
            { class: "quiet" },
            `${grouped(counts.rows_read)} rows read = ${grouped(counts.rows_examined)} examined + ` +
                `${grouped(counts.rows_unread)} unread + ${grouped(counts.rows_other)} other. ` +
                `${counted(counts.notice, "notice")} for the reviewer alone.`,
        ),
        data.files.length > 2
            ? el(
                  "details",
                  {},
                  el("summary", {}, `${data.files.length} files`),
                  el("ul", {}, ...data.files.map((name) => el("li", {}, el("bdi", {}, name)))),
              )
            : undefined,
        data.interrupted
            ? el("p", { class: "warning" }, "This audit was interrupted: not all was read.")
            : undefined,
        data.left_out > 0
            ? el(
                  "p",
                  { class: "warning" },
                  `This page shows the gravest ${grouped(data.findings.length)} findings; ` +
                      `${grouped(data.left_out)} more stand in findings.csv.`,
              )
            : undefined,
    );
}

/** More of one kind than anybody reads here stand in findings.csv. */
const mostOfBatch = 50;

function ofBatch(found: OfBatch[], heading: string): HTMLElement {
    const items = found.slice(0, mostOfBatch).map((f) => {
        const parts = f.parts > 0 ? `; ${counted(f.parts, "finding")} part of this.` : ".";
        return el(
            "li",
            {},
            mark(f.asks),
            ` ${f.question} `,
            el("span", { class: "quiet" }, f.place + parts),
        );
    });
    const more = found.length - items.length;
    return el(
        "section",
        { class: "card" },
        el("h2", {}, heading),
        el("ul", { class: "plain" }, ...items),
        more > 0 && el("p", { class: "quiet" }, `${grouped(more)} more stand in findings.csv.`),
    );
}

function batch(data: Written): HTMLElement[] {
    const headings = [...new Set(data.batch.map((f) => f.heading))];
    return headings.map((heading) =>
        ofBatch(
            data.batch.filter((f) => f.heading === heading),
            heading,
        ),
    );
}

export function overview(data: Written, open: (choice: Partial<Choice>) => void): HTMLElement {
    const checks = data.checks
        .filter((check) => check.count > 0)
        .sort((a, b) => weight[a.asks] - weight[b.asks] || b.count - a.count);
    const mostOfCheck = Math.max(...checks.map((check) => check.count), 1);
    const byCheck = checks.map((check) => [
        button(check.title, () => open({ check: check.code, asks: "", show: "all" }), { class: "link" }),
        el("span", { class: "nobreak" }, mark(check.asks), ` ${check.asks}`),
        grouped(check.count),
        bar([[check.asks, check.count]], mostOfCheck),
    ]);
    const signs = data.signs.filter((sign) => sign.readings > 0);
    const mostOfSign = Math.max(...signs.map((sign) => sign.reject + sign.query), 1);
    const bySign = signs.map((sign) => [
        button(
            sign.label,
            () => open({ sign: String(data.signs.indexOf(sign)), show: "all" }),
            { class: "link" },
        ),
        grouped(sign.readings),
        grouped(sign.reject + sign.query),
        bar([["reject", sign.reject], ["query", sign.query]], mostOfSign),
    ]);
    const rates = data.crews
        .filter((crew) => crew.sets >= leastSets)
        .map((crew) => interval(crew.rejected + crew.queried, crew.sets)[1]);
    const mostRate = Math.max(...rates, 0.01);
    const byCrew = data.crews.map((crew, i) => [
        button(crew.name, () => open({ crew: String(i), show: "all" }), { class: "link" }),
        grouped(crew.sets),
        grouped(crew.rejected + crew.queried),
        ...crewRate(crew, mostRate),
    ]);
    const crewNote = data.crews_named
        ? "A crew with sicker patients is not a worse charter."
        : "Crews bear numbers here. A crew with sicker patients is not a worse charter.";
    return el(
        "div",
        { class: "overview" },
        headline(data),
        ...batch(data),
        el(
            "div",
            { class: "cards" },
            el("section", { class: "card" }, table("What was found, by check", ["Check", "Asks", "Findings", ""], byCheck)),
            el(
                "div",
                {},
                el("section", { class: "card" }, table("What was asked, by sign", ["Sign", "Readings", "Asked", ""], bySign)),
                el(
                    "section",
                    { class: "card" },
                    table("What was asked, by crew", ["Crew", "Sets", "Asked", "Share of sets (95 % interval)", ""], byCrew),
                    el("p", { class: "quiet" }, crewNote),
                ),
            ),
        ),
    );
}
