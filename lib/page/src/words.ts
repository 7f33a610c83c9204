// How times, numbers and readings are written.
import { Reading, Report, Sign, State } from "./data";

const two = (n: number): string => String(n).padStart(2, "0");

export function clock(seconds: number, elapsed = false): string {
    if (elapsed) {
        return `${two(Math.floor(seconds / 3600))}:${two(Math.floor(seconds / 60) % 60)}`;
    }
    const at = new Date(seconds * 1000);
    return `${two(at.getUTCHours())}:${two(at.getUTCMinutes())}`;
}

export function day(seconds: number): string {
    return new Date(seconds * 1000).toISOString().slice(0, 10);
}

export function dayOf(report: Report): string {
    const timed = report.sets.find((set) => set[1] !== null);
    return timed && !report.elapsed ? day(timed[1] as number) : "";
}

export function grouped(n: number): string {
    return String(n).replace(/\B(?=(\d{3})+$)/g, ",");
}

export function counted(n: number, what: string): string {
    return `${grouped(n)} ${what}${n === 1 ? "" : "s"}`;
}

/** Short of a hundred it never says a hundred: that would claim that nothing is asked. */
export function share(part: number, whole: number): string {
    if (whole === 0) {
        return "no set";
    }
    const percent = (100 * part) / whole;
    return `${(part === whole ? 100 : Math.min(percent, 99.9)).toFixed(1)} %`;
}

export function shortNumber(value: number): string {
    return String(Math.round(value * 100) / 100);
}

const responsiveness = ["", "alert", "verbal", "painful", "unresponsive"];

/** What stands in the chart, without its unit. */
export function shown(reading: Reading, sign: Sign): string {
    const [, state, value, text] = reading;
    switch (state) {
        case State.number:
            return sign.name === "responsiveness"
                ? (responsiveness[value as number] ?? String(value))
                : shortNumber(value as number);
        case State.above:
            return "HI";
        case State.below:
            return "LO";
        case State.unreadable:
            return text ? `“${text}”` : "unreadable";
        default:
            return text ?? "";
    }
}
