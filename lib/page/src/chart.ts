// A report's vital signs through time: panels under each other on one time axis.
import { scaleLinear } from "d3-scale";
import { line } from "d3-shape";
import { callTimes, Finding, Reading, readingOf, Report, Sign, State, VitalSet } from "./data";
import { svg } from "./dom";
import { clock, shortNumber, shown } from "./words";

/** A finding and the number it bears in its report. */
export interface Numbered {
    finding: Finding;
    number: number;
}

interface Panel {
    title: string;
    signs: string[];
    height: number;
}

const panels: Panel[] = [
    { title: "Pressure", signs: ["systolic", "diastolic", "mean_pressure"], height: 132 },
    { title: "Heart", signs: ["pulse", "ecg_rate"], height: 92 },
    { title: "Breathing", signs: ["respiratory_rate"], height: 72 },
    { title: "Saturation", signs: ["saturation"], height: 72 },
    { title: "Exhaled CO2", signs: ["exhaled_co2"], height: 72 },
    { title: "Glucose", signs: ["glucose"], height: 72 },
    { title: "Temperature", signs: ["temperature"], height: 64 },
    { title: "Coma score", signs: ["coma_total"], height: 56 },
];

const left = 112;
const right = 30;
const gap = 14;
const shortReasons: Record<string, string> = {
    "not recorded": "n/r",
    "not applicable": "n/a",
    refused: "ref.",
    "unable to complete": "unable",
    "not present": "none",
};

/** Facts drawn as spans over the sets they hold for. */
const spans: [string, string][] = [
    ["arrest", "Arrest"],
    ["compressions", "Compressions"],
    ["airway_tube", "Tube"],
    ["ventilated", "Ventilated"],
    ["paced", "Paced"],
    ["treated", "Treated"],
];

type Scale = (value: number) => number;

class Drawing {
    private readonly root: SVGSVGElement;
    private readonly x: Scale;
    private readonly from: number;
    private readonly to: number;
    private readonly timed: boolean;
    private y = 0;

    constructor(
        private readonly report: Report,
        private readonly signs: Sign[],
        private readonly numbered: Numbered[],
        private readonly width: number,
    ) {
        this.timed = report.sets.every((set) => set[1] !== null);
        const at = report.sets.map((set) => this.place(set));
        const moments = this.timed ? this.moments().map(([, seconds]) => seconds) : [];
        this.from = Math.min(...at, ...moments);
        this.to = Math.max(...at, ...moments);
        const room = Math.max((this.to - this.from) * 0.03, this.timed ? 30 : 0.5);
        this.x = scaleLinear([this.from - room, this.to + room], [left, width - right]);
        this.root = svg("svg", { class: "chart", role: "img", "aria-label": this.inWords() });
    }

    private inWords(): string {
        const sets = this.report.sets.length;
        return (
            `Vital signs of report ${this.report.id} through time, ${sets} sets. ` +
            `Numbers 1 to ${this.numbered.length} mark the readings asked about; ` +
            "the table after it holds every value."
        );
    }

    private place(set: VitalSet): number {
        return this.timed ? (set[1] as number) : set[0];
    }

    /** Call times and events near the sets: a far one would squeeze the picture. */
    private moments(): [string, number][] {
        const at = this.report.sets.map((set) => set[1] as number);
        const near = Math.max(900, (Math.max(...at) - Math.min(...at)) / 2);
        const [low, high] = [Math.min(...at) - near, Math.max(...at) + near];
        const times = (this.report.times ?? []).map((seconds, i) => [callTimes[i], seconds]);
        return [...times, ...(this.report.events ?? [])].filter(
            ([, s]) => typeof s === "number" && s >= low && s <= high,
        ) as [string, number][];
    }

    draw(): SVGSVGElement {
        this.drawMoments();
        this.drawSpans();
        const axis = svg("g", { class: "grid" });
        this.root.append(axis);
        const top = this.y;
        for (const panel of panels) {
            const signs = panel.signs
                .map((name) => this.signs.findIndex((sign) => sign.name === name))
                .filter((sign) => this.report.sets.some((set) => readingOf(set, sign)));
            if (signs.length > 0) {
                this.drawPanel(panel, signs);
            }
        }
        this.drawAxis(axis, top);
        this.root.setAttribute("viewBox", `0 0 ${this.width} ${this.y}`);
        this.root.setAttribute("width", String(this.width));
        this.root.setAttribute("height", String(this.y));
        return this.root;
    }

    private text(to: Element, x: number, y: number, text: string, more = {}): void {
        to.append(svg("text", { x, y, ...more }, text));
    }

    private drawMoments(): void {
        const moments = this.timed ? this.moments().sort((a, b) => a[1] - b[1]) : [];
        const ends: number[] = [];
        for (const [name, at] of moments) {
            const x = this.x(at);
            const wide = name.length * 5.8 + 12;
            const anchored = x + wide > this.width;
            const start = anchored ? x - wide : x;
            let row = ends.findIndex((end) => end < start);
            row = row < 0 ? ends.length : row;
            ends[row] = start + wide;
            const y = 12 + row * 14;
            const g = svg("g", { class: "moment" });
            g.append(svg("path", { d: `M${x - 3.5} ${y - 7}h7l-3.5 6z` }));
            const anchor = anchored ? "end" : "start";
            this.text(g, anchored ? x - 6 : x + 6, y, name, { "text-anchor": anchor });
            this.root.append(g);
        }
        this.y += ends.length * 14 + (ends.length > 0 ? 6 : 0);
    }

    private drawSpans(): void {
        const { sets } = this.report;
        for (const [fact, name] of spans) {
            const held = sets.map((set) => set[2].includes(fact));
            if (!held.includes(true)) {
                continue;
            }
            const g = svg("g", { class: "span" });
            this.text(g, left - 8, this.y + 10, name, { "text-anchor": "end" });
            held.forEach((holds, i) => {
                if (holds) {
                    const x = this.x(this.place(sets[i])) - 4;
                    const next = held[i + 1] ? this.x(this.place(sets[i + 1])) : x + 8;
                    const width = Math.max(next - x, 8);
                    g.append(svg("rect", { x, y: this.y + 3, width, height: 7 }));
                }
            });
            this.root.append(g);
            this.y += 16;
        }
        this.y += 6;
    }

    private band(sign: number): [number, number, string] {
        const child = this.report.bands?.find(([of]) => of === sign);
        if (child) {
            return [child[1], child[2], "usual at this age"];
        }
        return [...this.signs[sign].usual, this.report.adult ? "usual" : "usual, adult"];
    }

    /** Whether a band is known to be of this patient's age. */
    private hasBand(sign: number): boolean {
        return !this.report.bands || this.report.bands.some(([of]) => of === sign);
    }

    private drawPanel(panel: Panel, signs: number[]): void {
        const [top, bottom] = [this.y, this.y + panel.height];
        const y = this.scaleOf(signs, bottom - 10, top + 10);
        const g = svg("g", { class: "panel" });
        g.append(svg("line", { class: "rule", x1: left, x2: this.width - 6, y1: bottom, y2: bottom }));
        this.text(g, 0, top + 16, panel.title, { class: "title" });
        this.text(g, 0, top + 30, this.signs[signs[0]].unit, { class: "unit" });
        this.drawBands(g, signs, y);
        for (const tick of y.ticks(panel.height > 80 ? 4 : 2)) {
            this.text(g, left - 8, y(tick) + 3.5, shortNumber(tick), { "text-anchor": "end" });
        }
        if (signs.some((sign) => this.signs[sign].name === "systolic")) {
            this.drawPressures(g, signs, y);
        } else {
            signs.forEach((sign, i) => this.drawSeries(g, sign, i, y));
        }
        for (const sign of signs) {
            this.drawStates(g, sign, top, bottom);
            this.drawRings(g, sign, y, top, bottom);
        }
        this.root.append(g);
        this.y = bottom + gap;
    }

    private drawBands(g: Element, signs: number[], y: Scale): void {
        const banded = signs.filter((s) => this.signs[s].name !== "mean_pressure" && this.hasBand(s));
        for (const sign of new Set(banded.map((s) => (this.signs[s].name === "ecg_rate" ? signs[0] : s)))) {
            const [low, high, name] = this.band(sign);
            const height = Math.max(y(low) - y(high), 2);
            const rect = { class: "band", x: left, y: y(high), width: this.width - left - 6, height };
            g.append(svg("rect", rect, svg("title", {}, `${this.signs[sign].label}, ${name}`)));
        }
    }

    /** Rejected values do not stretch the scale; they stand at its edge with their number. */
    private scaleOf(signs: number[], low: number, high: number) {
        const values = signs.flatMap((sign) => (this.hasBand(sign) ? this.band(sign).slice(0, 2) : []));
        if (this.signs[signs[0]].name === "coma_total") {
            values.push(3, 15);
        }
        for (const set of this.report.sets) {
            for (const sign of signs) {
                const value = readingOf(set, sign)?.[2];
                if (typeof value === "number" && !this.isRejected(set[0], sign)) {
                    values.push(value);
                }
            }
        }
        const numbers = values as number[];
        const [least, most] = [Math.min(...numbers), Math.max(...numbers)];
        const room = Math.max((most - least) * 0.08, 1);
        return scaleLinear([least - room, most + room], [low, high]).clamp(true);
    }

    private isRejected(set: number, sign: number): boolean {
        return this.numbered.some(
            ({ finding: f }) => f.set === set && f.check.asks === "reject" && f.check.sign === sign,
        );
    }

    private points(sign: number): [VitalSet, Reading, number][] {
        return this.report.sets.flatMap((set) => {
            const reading = readingOf(set, sign);
            return reading?.[1] === State.number ? [[set, reading, this.x(this.place(set))]] : [];
        }) as [VitalSet, Reading, number][];
    }

    private drawSeries(g: Element, sign: number, nth: number, y: Scale): void {
        const points = this.points(sign);
        const path = line<[VitalSet, Reading, number]>(
            ([, , x]) => x,
            ([, reading]) => y(reading[2] as number),
        )(points.filter(([set]) => !this.isRejected(set[0], sign)));
        g.append(svg("path", { class: nth === 0 ? "trace" : "trace second", d: path ?? "" }));
        for (const [, reading, x] of points) {
            const at = y(reading[2] as number);
            const dot =
                nth === 0
                    ? svg("circle", { cx: x, cy: at, r: 3, class: "dot" })
                    : svg("rect", { x: x - 3, y: at - 3, width: 6, height: 6, class: "dot open" });
            g.append(dot);
            this.drawBeyond(g, reading, x, at, y);
        }
    }

    /** A value beyond the scale: an arrow at its edge and the number. */
    private drawBeyond(g: Element, reading: Reading, x: number, at: number, y: Scale): void {
        const value = reading[2] as number;
        const { domain } = y as unknown as { domain: () => [number, number] };
        const [low, high] = domain.call(y);
        if (value >= low && value <= high) {
            return;
        }
        const tip = value > high ? `M${x - 4} ${at - 5}h8l-4-6z` : `M${x - 4} ${at + 5}h8l-4 6z`;
        g.append(svg("path", { d: tip, class: "beyond" }));
        const beside = { class: "value", "text-anchor": x > this.width - 90 ? "end" : "start" };
        this.text(g, x > this.width - 90 ? x - 12 : x + 12, at + 13, shortNumber(value), beside);
    }

    /** Systolic to diastolic as a bar with its ends, the mean as a tick; `P` where palpated. */
    private drawPressures(g: Element, signs: number[], y: Scale): void {
        const [high, low, mean] = ["systolic", "diastolic", "mean_pressure"].map((name) =>
            this.signs.findIndex((sign) => sign.name === name),
        );
        for (const set of this.report.sets) {
            const x = this.x(this.place(set));
            const at = (sign: number): number | undefined => {
                const reading = signs.includes(sign) ? readingOf(set, sign) : undefined;
                return reading?.[1] === State.number ? y(reading[2] as number) : undefined;
            };
            const [s, d, m] = [at(high), at(low), at(mean)];
            if (s !== undefined && d !== undefined) {
                g.append(svg("line", { class: "range", x1: x, x2: x, y1: s, y2: d }));
            }
            if (s !== undefined) {
                g.append(svg("path", { class: "dot", d: `M${x - 4.5} ${s - 5}h9l-4.5 6z` }));
            }
            if (d !== undefined) {
                g.append(svg("path", { class: "dot", d: `M${x - 4.5} ${d + 5}h9l-4.5 -6z` }));
            }
            if (m !== undefined) {
                g.append(svg("line", { class: "mean", x1: x - 5, x2: x + 5, y1: m, y2: m }));
            }
            const systolic = readingOf(set, high);
            if (systolic?.[4] === "palpated" && s !== undefined) {
                this.text(g, x, s + 14, "P", { class: "state", "text-anchor": "middle" });
            }
            for (const sign of [high, low]) {
                const reading = readingOf(set, sign);
                if (reading?.[1] === State.number) {
                    this.drawBeyond(g, reading, x, y(reading[2] as number), y);
                }
            }
        }
    }

    /** What is no number: HI and LO at the edges, an absence by its reason at the foot. */
    private drawStates(g: Element, sign: number, top: number, bottom: number): void {
        for (const set of this.report.sets) {
            const reading = readingOf(set, sign);
            if (!reading || reading[1] === State.number) {
                continue;
            }
            const said =
                reading[1] === State.absent
                    ? (shortReasons[reading[3] ?? ""] ?? "–")
                    : reading[1] === State.unreadable
                      ? "?"
                      : shown(reading, this.signs[sign]);
            const y = reading[1] === State.above ? top + 12 : bottom - 4;
            const x = this.x(this.place(set));
            const more = { class: "state", "text-anchor": "middle" };
            const full = svg("title", {}, `${this.signs[sign].label}: ${shown(reading, this.signs[sign])}`);
            g.append(svg("text", { x, y, ...more }, said, full));
        }
    }

    private drawRings(g: Element, sign: number, y: Scale, top: number, bottom: number): void {
        for (const set of this.report.sets) {
            const about = this.numbered.filter(
                ({ finding: f }) => f.set === set[0] && f.check.sign === sign,
            );
            if (about.length === 0) {
                continue;
            }
            const reading = readingOf(set, sign);
            const x = this.x(this.place(set));
            const edge = reading?.[1] === State.above ? top + 9 : bottom - 8;
            const at = reading?.[1] === State.number ? y(reading[2] as number) : edge;
            this.drawRing(g, x, at, about);
        }
    }

    private drawRing(g: Element, x: number, y: number, about: Numbered[]): void {
        const has = (asks: string) => about.some(({ finding }) => finding.check.asks === asks);
        const asks = has("reject") ? "reject" : has("query") ? "query" : "notice";
        const r = 9;
        const shape =
            asks === "reject"
                ? svg("path", { d: `M${x} ${y - 12}l12 12-12 12-12-12z` })
                : asks === "query"
                  ? svg("circle", { cx: x, cy: y, r })
                  : svg("rect", { x: x - 8, y: y - 8, width: 16, height: 16 });
        const ring = svg("g", { class: `ring ${asks}` }, shape);
        ring.setAttribute("data-numbers", about.map(({ number }) => number).join(" "));
        const numbers = about.map(({ number }) => number);
        const label = numbers.length > 3 ? `${numbers.slice(0, 3).join(",")}…` : numbers.join(",");
        const atEnd = x > this.width - 44;
        this.text(ring, atEnd ? x - 14 : x + 13, y - 6, label, { "text-anchor": atEnd ? "end" : "start" });
        g.append(ring);
    }

    private drawAxis(to: Element, top: number): void {
        const bottom = this.y;
        const ticks = this.timed ? this.timeTicks() : this.report.sets.map((set) => set[0]);
        const every = Math.ceil(ticks.length / Math.max(2, Math.floor((this.width - left) / 60)));
        ticks.forEach((tick, i) => {
            if (i % every === 0) {
                const x = this.x(tick);
                to.append(svg("line", { x1: x, x2: x, y1: top, y2: bottom }));
                const said = this.timed ? clock(tick, this.report.elapsed) : `set ${tick}`;
                this.text(to, x, bottom + 12, said, { "text-anchor": "middle" });
            }
        });
        // What is about a whole set stands under its time.
        this.y = bottom + 20;
        const whole = this.report.sets.filter((set) =>
            this.numbered.some(({ finding: f }) => f.set === set[0] && !this.isDrawn(f)),
        );
        for (const set of whole) {
            const about = this.numbered.filter(
                ({ finding: f }) => f.set === set[0] && !this.isDrawn(f),
            );
            this.drawRing(to, this.x(this.place(set)), this.y + 14, about);
        }
        this.y += whole.length > 0 ? 32 : 0;
    }

    /** Whether a finding has a ring in a panel. */
    private isDrawn(f: Finding): boolean {
        const name = this.signs[f.check.sign]?.name;
        return (
            panels.some((panel) => panel.signs.includes(name)) &&
            this.report.sets.some((set) => readingOf(set, f.check.sign))
        );
    }

    private timeTicks(): number[] {
        const steps = [60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200, 86400];
        const room = Math.max(3, Math.floor((this.width - left) / 90));
        const span = this.to - this.from;
        const step = steps.find((s) => span / s <= room) ?? Math.ceil(span / room / 86400) * 86400;
        const ticks = [];
        for (let at = Math.ceil(this.from / step) * step; at <= this.to; at += step) {
            ticks.push(at);
        }
        return ticks.length > 0 ? ticks : [this.from];
    }
}

export function chartOf(
    report: Report,
    signs: Sign[],
    numbered: Numbered[],
    width: number,
): SVGSVGElement {
    return new Drawing(report, signs, numbered, Math.max(width, 300)).draw();
}
