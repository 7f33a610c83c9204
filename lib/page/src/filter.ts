// Which findings the queue shows.
import { Finding, Report } from "./data";
import { Decisions } from "./decisions";

export interface Choice {
    show: "open" | "settled" | "all";
    asks: string;
    kind: string;
    crew: string;
    sign: string;
    check: string;
    report: string;
}

/** What asks something and is not settled: the queue as it is met. */
export const nothingChosen: Choice = {
    show: "open",
    asks: "question",
    kind: "",
    crew: "",
    sign: "",
    check: "",
    report: "",
};

export function chosen(
    findings: Finding[],
    choice: Choice,
    reports: Report[],
    decisions: Decisions,
): Finding[] {
    const wanted = choice.report.trim().toLowerCase();
    return findings.filter(
        (f) =>
            (choice.asks === "" ||
                f.check.asks === choice.asks ||
                (choice.asks === "question" && f.check.asks !== "notice")) &&
            (choice.kind === "" || f.check.kind === choice.kind) &&
            (choice.crew === "" || reports[f.report].crew === Number(choice.crew)) &&
            (choice.sign === "" || f.check.sign === Number(choice.sign)) &&
            (choice.check === "" || f.check.code === choice.check) &&
            (wanted === "" || reports[f.report].id.toLowerCase().includes(wanted)) &&
            (choice.show === "all" || decisions.isOpen(f) === (choice.show === "open")),
    );
}
