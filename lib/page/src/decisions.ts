// What the reviewer decided: kept in memory, saved to a file and read again.
import { Decided, Decision, Finding, Report, setOf } from "./data";
import { clock, day } from "./words";

export const schema = 1;

export const decidedNames: [Decided, string][] = [
    ["stands", "Stands as charted"],
    ["asked", "Crew asked to review"],
    ["answered", "Answered"],
    ["no_concern", "Not a concern"],
];

/** Whether nobody waits for anything any more. */
export function settles(what: Decided): boolean {
    return what !== "asked";
}

export function nameOf(what: Decided): string {
    return decidedNames.find(([key]) => key === what)?.[1] ?? what;
}

/** When a finding's set was taken, as decisions tell it; its number where it has no time. */
export function whenOf(finding: Finding, report: Report): string {
    const at = setOf(report, finding.set)?.[1];
    if (at === null || at === undefined) {
        return `set ${finding.set}`;
    }
    return report.elapsed ? clock(at, true) : `${day(at)} ${clock(at)}`;
}

const about = (report: string, check: string, when: string): string =>
    JSON.stringify([report, check, when]);

export class Decisions {
    private readonly byFingerprint = new Map<string, Decision>();
    private readonly bySubject = new Map<string, Decision>();
    unsaved = false;

    constructor(carried: Decision[]) {
        this.carry(carried);
    }

    private carry(list: Decision[]): void {
        for (const decision of list) {
            this.byFingerprint.set(decision.fingerprint, decision);
            this.bySubject.set(about(decision.report, decision.check, decision.when), decision);
        }
    }

    of(finding: Finding): Decision | undefined {
        return this.byFingerprint.get(finding.fingerprint);
    }

    isOpen(finding: Finding): boolean {
        const decision = this.of(finding);
        return !decision || !settles(decision.decision);
    }

    /** An earlier decision about the same check of the same set, on other evidence. */
    overtaken(finding: Finding, report: Report): Decision | undefined {
        if (this.of(finding)) {
            return undefined;
        }
        return this.bySubject.get(about(report.id, finding.check.code, whenOf(finding, report)));
    }

    decide(finding: Finding, report: Report, what: Decided | undefined, note: string): void {
        this.unsaved = true;
        if (!what) {
            this.byFingerprint.delete(finding.fingerprint);
            return;
        }
        this.carry([
            {
                fingerprint: finding.fingerprint,
                decision: what,
                note,
                decided_at: `${new Date().toISOString().slice(0, 19)}Z`,
                report: report.id,
                check: finding.check.code,
                when: whenOf(finding, report),
                charted: finding.charted,
            },
        ]);
    }

    get size(): number {
        return this.byFingerprint.size;
    }

    saved(): string {
        this.unsaved = false;
        const file = { schema, decisions: [...this.byFingerprint.values()] };
        return `${JSON.stringify(file, null, 1)}\n`;
    }

    /** Adds a file's decisions over those there; answers how many, or throws what is wrong. */
    load(text: string): number {
        const list = parse(text);
        this.carry(list);
        return list.length;
    }
}

function parse(text: string): Decision[] {
    let file: unknown;
    try {
        file = JSON.parse(text);
    } catch {
        throw new Error("This is no file of decisions: it is not JSON.");
    }
    const { schema: its, decisions } = (file ?? {}) as { schema?: unknown; decisions?: unknown };
    if (typeof its === "number" && its > schema) {
        throw new Error(`Its schema is ${its}; this page reads ${schema}.`);
    }
    if (its !== schema || !Array.isArray(decisions)) {
        throw new Error("This is no file of decisions of this page.");
    }
    return decisions.map(entry);
}

function entry(given: unknown, index: number): Decision {
    const from = (given ?? {}) as Record<string, unknown>;
    const text = (key: string): string => (typeof from[key] === "string" ? from[key] : "");
    const what = decidedNames.find(([key]) => key === from.decision)?.[0];
    if (!what || !/^[0-9a-f]{20}$/.test(text("fingerprint"))) {
        throw new Error(`Entry ${index + 1} is no decision.`);
    }
    return {
        fingerprint: text("fingerprint"),
        decision: what,
        note: text("note"),
        decided_at: text("decided_at"),
        report: text("report"),
        check: text("check"),
        when: text("when"),
        charted: text("charted"),
    };
}
