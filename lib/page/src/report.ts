// One report: its picture, its findings with a place to decide, and all values as a table.
import { chartOf, Numbered } from "./chart";
import { Decided, Finding, Report, readingOf, setOf, Sign, State, Written } from "./data";
import { decidedNames, Decisions, nameOf } from "./decisions";
import { button, el } from "./dom";
import { asksNames, mark, weight } from "./marks";
import { forDirectionFirst, isQuestion } from "./message";
import { clock, dayOf, shown } from "./words";

export interface Doing {
    copy: (text: string, what: string) => void;
    decided: (finding: Finding) => void;
    back: () => void;
}

const most = 60;

export class ReportView {
    readonly root = el("article", { class: "report", "aria-labelledby": "report-title" });
    private report?: Report;
    private numbered: Numbered[] = [];
    private readonly chart = el("div", { class: "picture" });

    constructor(
        private readonly data: Written,
        private readonly crewName: (crew: number) => string,
        private readonly decisions: Decisions,
        private readonly doing: Doing,
    ) {
        new ResizeObserver(() => this.drawChart()).observe(this.chart);
    }

    show(report: Report, findings: Finding[], chosen: Finding): void {
        const isSame = report === this.report;
        this.report = report;
        const ordered = [...findings].sort(
            (a, b) =>
                a.check.priority - b.check.priority ||
                weight[a.check.asks] - weight[b.check.asks] ||
                a.set - b.set,
        );
        this.numbered = ordered.map((finding, i) => ({ finding, number: i + 1 }));
        if (!isSame) {
            this.draw(report);
        }
        this.point(chosen);
    }

    /** Draws again after decisions changed from outside. */
    refresh(): void {
        if (this.report) {
            this.draw(this.report);
        }
    }

    /** Moves to the head of the report, from where the picture is in sight. */
    focus(): void {
        document.getElementById("report-title")?.focus({ preventScroll: true });
        this.root.scrollIntoView({ block: "start" });
    }

    private point(chosen: Finding): void {
        for (const { finding, number } of this.numbered) {
            const item = document.getElementById(`finding-${number}`);
            item?.classList.toggle("chosen", finding === chosen);
            if (finding === chosen) {
                item?.parentElement?.prepend(item);
            }
        }
        const number = this.numbered.find(({ finding }) => finding === chosen)?.number;
        for (const ring of this.chart.querySelectorAll("[data-numbers]")) {
            const numbers = (ring.getAttribute("data-numbers") ?? "").split(" ");
            ring.classList.toggle("chosen", numbers.includes(String(number)));
        }
    }

    private draw(report: Report): void {
        const crew = this.crewName(report.crew);
        const facts = [dayOf(report), crew, report.ended ?? ""].filter((text) => text !== "");
        const shownFindings = this.numbered.slice(0, most);
        const rest = this.numbered.length - shownFindings.length;
        this.root.replaceChildren(
            button("Back to the list", () => this.doing.back(), { class: "back" }),
            el(
                "header",
                {},
                el("h2", { id: "report-title", tabindex: -1 }, "Report ", el("bdi", {}, report.id || "without identifier")),
                el("p", { class: "quiet" }, ...facts.map((text) => el("bdi", { class: "fact" }, text))),
            ),
            this.chart,
            this.legend(report),
            el("h3", {}, this.numbered.length === 1 ? "1 finding" : `${this.numbered.length} findings`),
            el("ol", { class: "findings" }, ...shownFindings.map((one) => this.item(one, report))),
            rest > 0 ? el("p", { class: "quiet" }, `${rest} more findings of this report are in the list.`) : "",
            this.values(report),
        );
        this.drawChart();
    }

    private drawChart(): void {
        const width = Math.floor(this.chart.clientWidth);
        if (this.report && width > 0) {
            const seen = this.chart.querySelector("svg");
            if (seen?.getAttribute("width") !== String(width) || seen.dataset.of !== this.key()) {
                const drawn = chartOf(this.report, this.data.signs, this.numbered, width);
                drawn.dataset.of = this.key();
                this.chart.replaceChildren(drawn);
            }
        }
    }

    private key(): string {
        return this.report ? String(this.data.reports.indexOf(this.report)) : "";
    }

    private legend(report: Report): HTMLElement {
        const band = report.bands
            ? "usual at this age"
            : report.adult
              ? "usual in adults"
              : "usual in adults; the age is not charted";
        return el(
            "p",
            { class: "legend quiet" },
            el("span", {}, mark("reject"), " cannot stand"),
            el("span", {}, mark("query"), " to ask"),
            el("span", {}, mark("notice"), " for you"),
            el("span", {}, el("i", { class: "swatch" }), ` ${band}`),
            el("span", {}, "Heart: dots pulse, squares ECG"),
            el("span", {}, "HI, LO beyond the meter; P palpated; n/r not recorded; ? unreadable"),
        );
    }

    private item({ finding, number }: Numbered, report: Report): HTMLElement {
        const { check } = finding;
        const whole = this.data.batch[finding.whole];
        const overtaken = this.decisions.overtaken(finding, report);
        return el(
            "li",
            { class: `finding ${check.asks}`, id: `finding-${number}`, tabindex: -1 },
            el(
                "div",
                { class: "findinghead" },
                el("span", { class: "number" }, String(number)),
                mark(check.asks),
                el("strong", {}, asksNames[check.asks]),
                el("span", { class: "quiet" }, `${check.title} (${check.kind}, priority ${check.priority})`),
            ),
            el("p", { class: "question" }, finding.question),
            overtaken &&
                el(
                    "p",
                    { class: "warning" },
                    `Decided before as “${nameOf(overtaken.decision)}”, when ${overtaken.charted} ` +
                        "was charted. The evidence has changed since, so it is open again.",
                ),
            forDirectionFirst(finding) &&
                el("p", { class: "warning" }, "For medical direction first; never part of a message to a crew."),
            whole && el("p", { class: "warning" }, `Part of a whole column: ${whole.question}`),
            this.evidence(finding, report),
            this.decide(finding, report),
        );
    }

    private evidence(finding: Finding, report: Report): HTMLElement {
        const readings = finding.rests.map(([sign, set]) => {
            const reading = readingOf(setOf(report, set), sign);
            const its = this.data.signs[sign];
            const unit = reading?.[1] === State.number ? ` ${its.unit}` : "";
            const where = set === finding.set ? "" : ` (set ${set})`;
            return `${its.label} ${reading ? shown(reading, its) + unit : "not charted"}${where}`;
        });
        const more = [
            ...finding.numbers.map(([name, value]) => `${name}: ${value}`),
            ...finding.moments.map(([name, at]) => `${name}: ${at === null ? "no time" : clock(at, report.elapsed)}`),
        ];
        const place = `${report.file}${finding.line > 0 ? `, line ${finding.line}` : ""}`;
        const row = (term: string, text: string) => [el("dt", {}, term), el("dd", {}, text)];
        return el(
            "dl",
            {},
            ...row("Charted", finding.charted),
            ...row("Expected", finding.expected),
            ...(finding.perhaps === "" ? [] : row("Perhaps", finding.perhaps)),
            ...(readings.length > 0 ? row("Rests on", readings.join("; ")) : []),
            ...(more.length > 0 ? row("Worked out", more.join("; ")) : []),
            ...row("Why", finding.check.why),
            ...row("Source", finding.check.source),
            ...row("Place", finding.element === "" ? place : `${place}, ${finding.element}`),
        );
    }

    private decide(finding: Finding, report: Report): HTMLElement {
        const now = this.decisions.of(finding);
        const name = `decision-${finding.fingerprint}`;
        const note = el("textarea", { id: `${name}-note`, rows: 1, maxlength: 2000 });
        note.value = now?.note ?? "";
        const choices: [Decided | "", string][] = [["", "Not decided"], ...decidedNames];
        const radios = choices.map(([value, text]) => {
            const input = el("input", { type: "radio", name, value });
            input.checked = (now?.decision ?? "") === value;
            return el("label", {}, input, ` ${text}`);
        });
        const box = el("fieldset", { class: "decide" }, el("legend", {}, "Decision"), ...radios);
        const take = () => {
            const value = box.querySelector<HTMLInputElement>("input:checked")?.value ?? "";
            const what = value === "" ? undefined : (value as Decided);
            this.decisions.decide(finding, report, what, note.value);
            this.doing.decided(finding);
        };
        box.addEventListener("change", take);
        note.addEventListener("change", () => this.decisions.of(finding) && take());
        return el(
            "div",
            { class: "deciding" },
            box,
            el("label", { class: "note", for: `${name}-note` }, "Note", note),
            isQuestion(finding) &&
                button("Copy the question", () =>
                    this.doing.copy(`Report ${report.id}\n${finding.question}\n`, "The question"),
                ),
        );
    }

    private values(report: Report): HTMLElement {
        const used = this.data.signs
            .map((sign, i): [Sign, number] => [sign, i])
            .filter(([, i]) => report.sets.some((set) => readingOf(set, i)));
        const head = used.map(([sign]) =>
            el("th", { scope: "col" }, sign.label, sign.unit !== "" && el("small", {}, ` ${sign.unit}`)),
        );
        const rows = report.sets.map((set) => {
            const at = set[1] === null ? "" : ` ${clock(set[1], report.elapsed)}`;
            const cells = used.map(([sign, i]) => {
                const reading = readingOf(set, i);
                const about = this.numbered.filter(
                    ({ finding: f }) => f.set === set[0] && f.check.sign === i,
                );
                const how = reading?.[4] === "palpated" ? " P" : "";
                return el(
                    "td",
                    {},
                    reading ? shown(reading, sign) + how : "",
                    ...about.slice(0, 1).map(({ finding }) => mark(finding.check.asks)),
                    about.length > 0 && el("small", {}, ` ${about.map(({ number }) => number).join(",")}`),
                );
            });
            return el("tr", {}, el("th", { scope: "row" }, `${set[0]}${at}`), ...cells);
        });
        return el(
            "details",
            { class: "values" },
            el("summary", {}, "All values as a table"),
            el(
                "div",
                { class: "scroll", tabindex: 0, role: "region", "aria-label": "All values" },
                el(
                    "table",
                    {},
                    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Set"), ...head)),
                    el("tbody", {}, ...rows),
                ),
            ),
        );
    }
}
