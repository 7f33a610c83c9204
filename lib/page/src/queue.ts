// The list of findings. Of however many, only those in sight are in the document.
import { Finding, Report } from "./data";
import { Decisions, nameOf } from "./decisions";
import { el } from "./dom";
import { asksNames, mark } from "./marks";
import { grouped } from "./words";

const spare = 4;

export class Queue {
    readonly root: HTMLElement;
    private readonly inner = el("div", { class: "rows", role: "presentation" });
    private list: Finding[] = [];
    private active = -1;

    constructor(
        private readonly reports: Report[],
        private readonly crewName: (crew: number) => string,
        private readonly decisions: Decisions,
        private readonly chose: (finding: Finding, byHand: boolean) => void,
    ) {
        this.root = el("div", {
            class: "queue",
            role: "listbox",
            tabindex: 0,
            id: "queue",
            "aria-label": "Findings, the gravest first",
        });
        this.root.append(this.inner);
        this.root.addEventListener("scroll", () => this.draw());
        this.root.addEventListener("keydown", (event) => this.key(event));
        this.root.addEventListener("click", (event) => {
            const row = (event.target as Element).closest("[data-row]");
            if (row) {
                this.go(Number(row.getAttribute("data-row")), true);
            }
        });
    }

    show(list: Finding[]): void {
        const before = this.list[this.active];
        this.list = list;
        this.active = before ? list.indexOf(before) : -1;
        this.root.scrollTop = this.active < 0 ? 0 : this.root.scrollTop;
        this.inner.style.height = `${list.length * this.rowHeight()}px`;
        this.draw();
    }

    /** Marks the finding as the one shown. */
    select(finding: Finding): void {
        this.active = this.list.indexOf(finding);
        this.reveal();
    }

    refresh(): void {
        this.draw();
    }

    next(): Finding | undefined {
        return this.list[this.active + 1];
    }

    private rowHeight(): number {
        return parseFloat(getComputedStyle(document.documentElement).fontSize) * 6.25;
    }

    private key(event: KeyboardEvent): void {
        const page = Math.max(1, Math.floor(this.root.clientHeight / this.rowHeight()) - 1);
        const steps: Record<string, number> = {
            ArrowDown: this.active + 1,
            ArrowUp: this.active - 1,
            PageDown: this.active + page,
            PageUp: this.active - page,
            Home: 0,
            End: this.list.length - 1,
        };
        if (event.key === "Enter" || event.key === " ") {
            event.preventDefault();
            this.go(Math.max(this.active, 0), true);
        } else if (event.key in steps) {
            event.preventDefault();
            this.go(Math.min(Math.max(steps[event.key], 0), this.list.length - 1), false);
        }
    }

    private go(row: number, byHand: boolean): void {
        const finding = this.list[row];
        if (finding) {
            this.active = row;
            this.reveal();
            this.chose(finding, byHand);
        }
    }

    private reveal(): void {
        const height = this.rowHeight();
        if (this.active >= 0) {
            const top = this.active * height;
            const { scrollTop, clientHeight } = this.root;
            if (top < scrollTop) {
                this.root.scrollTop = top;
            } else if (top + height > scrollTop + clientHeight) {
                this.root.scrollTop = top + height - clientHeight;
            }
        }
        this.draw();
    }

    private draw(): void {
        const height = this.rowHeight();
        const first = Math.max(0, Math.floor(this.root.scrollTop / height) - spare);
        // Out of sight it has no height of its own, and unbounded it has that of all its rows.
        const seen = Math.ceil(Math.min(this.root.clientHeight, innerHeight) / height) + 2 * spare;
        const rows = this.list.slice(first, first + seen).map((finding, i) => {
            const row = this.row(finding, first + i);
            row.style.transform = `translateY(${(first + i) * height}px)`;
            return row;
        });
        this.inner.replaceChildren(...rows);
        if (this.list.length === 0) {
            this.inner.append(el("p", { class: "none" }, "Nothing here. Other filters may show more."));
        }
        const id = document.getElementById(`row-${this.active}`) ? `row-${this.active}` : "";
        this.root.setAttribute("aria-activedescendant", id);
    }

    private row(finding: Finding, at: number): HTMLElement {
        const report = this.reports[finding.report];
        const decision = this.decisions.of(finding);
        const crew = this.crewName(report.crew);
        const state = decision ? nameOf(decision.decision) : "";
        return el(
            "div",
            {
                class: decision ? "row decided" : "row",
                role: "option",
                id: `row-${at}`,
                "data-row": at,
                "aria-selected": at === this.active ? "true" : "false",
                "aria-setsize": this.list.length,
                "aria-posinset": at + 1,
            },
            el(
                "div",
                { class: "rowhead" },
                mark(finding.check.asks),
                el("span", { class: "asks" }, asksNames[finding.check.asks]),
                el("bdi", { class: "id" }, report.id || "no identifier"),
                el("bdi", { class: "quiet crew" }, crew),
                state !== "" && el("span", { class: "state" }, state),
            ),
            el("div", { class: "question" }, finding.question),
        );
    }

    get count(): string {
        return grouped(this.list.length);
    }
}
