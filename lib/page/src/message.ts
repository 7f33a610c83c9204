// Questions put together for sending.
import { Finding, Report } from "./data";

/** Questions of the first priority are about a tube, pacing or care: for medical direction first. */
export function forDirectionFirst(finding: Finding): boolean {
    return finding.check.priority === 1;
}

/** Whether a finding may be a question to a crew at all. */
export function isQuestion(finding: Finding): boolean {
    return finding.check.asks !== "notice" && finding.check.kind !== "clinical";
}

export interface Message {
    text: string;
    asked: Finding[];
    /** Left out since they are for medical direction first. */
    withheld: number;
}

/** One question a reading, the gravest; none that a whole column explains. */
export function messageTo(crew: string, open: Finding[], reports: Report[]): Message {
    const questions = open.filter((f) => isQuestion(f) && f.whole < 0);
    const asked = questions.filter((f) => !forDirectionFirst(f));
    const byReport = new Map<number, Finding[]>();
    const seen = new Set<string>();
    for (const f of asked) {
        const reading = `${f.report}/${f.set}/${f.check.sign < 0 ? f.check.code : f.check.sign}`;
        if (!seen.has(reading)) {
            seen.add(reading);
            byReport.set(f.report, [...(byReport.get(f.report) ?? []), f]);
        }
    }
    const parts = [...byReport].map(
        ([report, list]) =>
            `Report ${reports[report].id}\n` +
            list
                .sort((a, b) => a.set - b.set)
                .map((f) => `- ${f.question}\n`)
                .join(""),
    );
    const text =
        `To ${crew}\n\n` +
        "Thank you for your reports. In a routine review some vital signs raised a question. " +
        "Could you please check them against the monitor record? If a value stands as charted, " +
        "just say so; corrections go in as a dated addendum.\n\n" +
        parts.join("\n") +
        "\nWe ask about what was charted, not about the care given. Thank you.\n";
    return { text, asked, withheld: questions.length - asked.length };
}
