// Puts the page together: the first screen, the queue with its filters, the report, the decisions.
import { Finding, findingsOf, Written } from "./data";
import { Decisions } from "./decisions";
import { button, el, say } from "./dom";
import { Choice, chosen, nothingChosen } from "./filter";
import { mark } from "./marks";
import { messageTo } from "./message";
import { overview } from "./overview";
import { Queue } from "./queue";
import { ReportView } from "./report";
import { counted, grouped } from "./words";

const printedMost = 300;

class Page {
    private readonly findings: Finding[];
    private readonly ofReport: Finding[][];
    private readonly decisions: Decisions;
    private readonly queue: Queue;
    private readonly report: ReportView;
    private choice: Choice = { ...nothingChosen };
    private list: Finding[] = [];
    private readonly first = el("section", { id: "overview", "aria-label": "Overview" });
    private readonly review = el("section", { id: "review", "aria-label": "Findings to review" });
    private readonly pane = el("div", { class: "pane" });
    private readonly filters = el("form", { class: "filters", "aria-label": "Filters" });
    private readonly number = el("p", { class: "number-shown quiet" });
    private readonly save = button("Save decisions", () => this.saveDecisions());
    private readonly tabs: [HTMLElement, HTMLElement];
    private readonly printed = el("section", { class: "printed" });
    private readonly messages = el("div", { class: "messages" });

    constructor(private readonly data: Written) {
        this.findings = findingsOf(data);
        this.ofReport = data.reports.map(() => []);
        for (const finding of this.findings) {
            this.ofReport[finding.report].push(finding);
        }
        this.decisions = new Decisions(data.decisions);
        const crewName = (crew: number) => this.crewName(crew);
        this.queue = new Queue(data.reports, crewName, this.decisions, (finding, byHand) =>
            this.open(finding, byHand),
        );
        this.report = new ReportView(data, crewName, this.decisions, {
            copy: (text, what) => void this.copy(text, what),
            decided: () => this.decided(),
            back: () => this.back(),
        });
        this.tabs = [
            button("Overview", () => this.view(this.first)),
            button("Findings", () => this.view(this.review)),
        ];
        this.build();
    }

    private crewName(crew: number): string {
        return crew < 0 ? "crew not charted" : this.data.crews[crew].name;
    }

    private build(): void {
        const load = el("input", { type: "file", accept: ".json,application/json", id: "load" });
        load.addEventListener("change", () => void this.loadDecisions(load));
        document.getElementById("top")?.append(
            el(
                "div",
                { class: "name" },
                el("h1", {}, "Vital signs to review"),
                el("p", { class: "quiet" }, el("bdi", {}, this.filesShown()), ` · ${this.data.as_of.slice(0, 10)}`),
            ),
            el("nav", { "aria-label": "Parts of this page" }, ...this.tabs),
            el(
                "div",
                { class: "saving", role: "group", "aria-label": "Decisions" },
                el("label", { class: "file", for: "load" }, load, "Load decisions"),
                this.save,
            ),
        );
        this.first.append(overview(this.data, (choice) => this.filterTo(choice)));
        this.pane.append(el("p", { class: "none" }, "Choose a finding to see its report."));
        const start = el("div", { class: "list" }, this.filters, this.messages, this.number, this.queue.root);
        this.review.append(start, this.pane);
        document.getElementById("main")?.replaceChildren(this.first, this.review, this.printed);
        this.view(this.first);
        this.buildFilters();
        this.apply();
        this.showUnsaved();
        window.addEventListener("beforeunload", (event) => {
            if (this.decisions.unsaved) {
                event.preventDefault();
            }
        });
        window.addEventListener("beforeprint", () => this.print());
        window.addEventListener("resize", () => this.queue.refresh());
    }

    private filesShown(): string {
        const { files } = this.data;
        return files.length > 2 ? `${files.length} files` : files.join(", ");
    }

    private view(which: HTMLElement): void {
        [this.first, this.review].forEach((part, i) => {
            part.hidden = part !== which;
            if (part === which) {
                this.tabs[i].setAttribute("aria-current", "page");
            } else {
                this.tabs[i].removeAttribute("aria-current");
            }
        });
        document.body.dataset.view = which.id;
        this.queue.refresh();
    }

    private select(label: string, key: keyof Choice, options: [string, string][]): HTMLElement {
        const made = el("select", { name: key }, ...options.map(([value, text]) => el("option", { value }, text)));
        made.value = this.choice[key];
        made.addEventListener("change", () => {
            this.choice = { ...this.choice, [key]: made.value };
            this.apply();
        });
        return el("label", {}, label, made);
    }

    private buildFilters(): void {
        const { data } = this;
        const used = new Set(this.findings.map((f) => f.check));
        const signs = new Set([...used].map((check) => check.sign));
        const any: [string, string] = ["", "Any"];
        const named = (list: string[]): [string, string][] => list.map((name) => [name, name]);
        const report = el("input", { type: "search", name: "report", autocomplete: "off" });
        report.value = this.choice.report;
        report.addEventListener("input", () => {
            this.choice = { ...this.choice, report: report.value };
            this.apply();
        });
        const kinds = [...new Set([...used].map((check) => check.kind))];
        this.filters.replaceChildren(
            this.select("Show", "show", [["open", "Open"], ["settled", "Settled"], ["all", "All"]]),
            this.select("Asks", "asks", [any, ["question", "questions"], ...named(["reject", "query", "notice"])]),
            this.select("Kind", "kind", [any, ...named(kinds)]),
            this.select("Crew", "crew", [any, ...data.crews.map((c, i): [string, string] => [String(i), c.name])]),
            this.select("Sign", "sign", [
                any,
                ...data.signs
                    .map((s, i): [string, string] => [String(i), s.label])
                    .filter(([i]) => signs.has(Number(i))),
            ]),
            this.select("Check", "check", [any, ...[...used].map((c): [string, string] => [c.code, c.title])]),
            el("label", {}, "Report", report),
            button("Clear", () => this.filterTo({})),
        );
        this.filters.addEventListener("submit", (event) => event.preventDefault());
    }

    private filterTo(choice: Partial<Choice>): void {
        this.choice = { ...nothingChosen, ...choice };
        this.buildFilters();
        this.apply();
        this.view(this.review);
        this.queue.root.focus();
    }

    private apply(): void {
        this.list = chosen(this.findings, this.choice, this.data.reports, this.decisions);
        this.queue.show(this.list);
        const shown = counted(this.list.length, "finding");
        this.number.textContent = `${shown} of ${grouped(this.findings.length)}, the gravest first`;
        say(`${shown} shown`);
        this.tabs[1].textContent = `Findings (${grouped(this.list.length)})`;
        const crew = this.choice.crew;
        this.messages.replaceChildren(
            ...(crew === "" ? [] : [button("Message to this crew", () => this.message(Number(crew)))]),
        );
    }

    private open(finding: Finding, byHand: boolean): void {
        const report = this.data.reports[finding.report];
        this.pane.replaceChildren(this.report.root);
        document.body.classList.toggle("reading", byHand || document.body.classList.contains("reading"));
        this.report.show(report, this.ofReport[finding.report], finding);
        this.pane.scrollTop = 0;
        if (byHand) {
            this.report.focus();
        }
    }

    private back(): void {
        document.body.classList.remove("reading");
        this.queue.refresh();
        this.queue.root.focus();
    }

    private decided(): void {
        this.queue.refresh();
        this.showUnsaved();
        say("Decision noted, not yet saved");
    }

    private showUnsaved(): void {
        const { unsaved, size } = this.decisions;
        this.save.textContent = unsaved ? "Save decisions (not saved yet)" : `Save decisions (${size})`;
        this.save.classList.toggle("wanted", unsaved);
    }

    private saveDecisions(): void {
        const file = new Blob([this.decisions.saved()], { type: "application/json" });
        const link = el("a", { href: URL.createObjectURL(file), download: "decisions.json" });
        link.click();
        setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
        this.showUnsaved();
        say("Decisions saved to decisions.json");
    }

    private async loadDecisions(input: HTMLInputElement): Promise<void> {
        const file = input.files?.[0];
        if (!file) {
            return;
        }
        try {
            const loaded = this.decisions.load(await file.text());
            this.apply();
            this.report.refresh();
            this.showUnsaved();
            this.tell("Decisions loaded", `${counted(loaded, "decision")} read from ${file.name}.`);
        } catch (error) {
            this.tell("Not loaded", (error as Error).message);
        }
        input.value = "";
    }

    private message(crew: number): void {
        const open = this.findings.filter(
            (f) => this.data.reports[f.report].crew === crew && !this.decisions.of(f),
        );
        const { text, asked, withheld } = messageTo(this.crewName(crew), open, this.data.reports);
        const note =
            (asked.length === 0 ? "No open question may go to this crew in one message. " : "") +
            (withheld > 0 ? `${counted(withheld, "question")} left out: for medical direction first.` : "");
        const markAsked = () => {
            for (const f of asked) {
                this.decisions.decide(f, this.data.reports[f.report], "asked", "");
            }
            this.apply();
            this.report.refresh();
            this.decided();
        };
        this.tell(
            `Message to ${this.crewName(crew)}`,
            note,
            asked.length > 0 ? text : undefined,
            asked.length > 0 ? ["Mark these as asked", markAsked] : undefined,
        );
    }

    private async copy(text: string, what: string): Promise<void> {
        try {
            await navigator.clipboard.writeText(text);
            say(`${what} copied`);
        } catch {
            this.tell(`${what} to copy`, "This browser lets no page copy; select the text.", text);
        }
    }

    private tell(title: string, note: string, text?: string, more?: [string, () => void]): void {
        const box = el("dialog", { "aria-labelledby": "told" }, el("h2", { id: "told" }, title));
        const close = () => box.close();
        box.append(el("p", {}, note));
        const buttons = el("div", { class: "buttons" });
        if (text !== undefined) {
            const area = el("textarea", { readonly: true, rows: 14, "aria-label": title });
            area.value = text;
            box.append(area);
            buttons.append(button("Copy", () => void this.copy(text, "The message")));
        }
        if (more) {
            const [name, press] = more;
            buttons.append(button(name, () => (press(), close())));
        }
        buttons.append(button("Close", close));
        box.append(buttons);
        box.addEventListener("close", () => box.remove());
        document.body.append(box);
        box.showModal();
    }

    /** On paper there is no scrolling: the list as it is filtered, in full up to a bound. */
    private print(): void {
        const shown = this.list.slice(0, printedMost);
        const rest = this.list.length - shown.length;
        const items = shown.map((f) =>
            el("li", {}, mark(f.check.asks), el("b", {}, ` ${f.check.asks} · `), el("bdi", {}, this.data.reports[f.report].id), ` · ${f.question}`),
        );
        this.printed.replaceChildren(
            el("h2", {}, counted(this.list.length, "finding")),
            el("ol", {}, ...items),
            rest > 0 ? el("p", {}, `${grouped(rest)} more are not printed.`) : "",
        );
    }
}

const text = document.getElementById("data")?.textContent ?? "";
new Page(JSON.parse(text) as Written);
document.documentElement.dataset.ready = "yes";
