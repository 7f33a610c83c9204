// What an audit put into the page, as the program wrote it.

export type Asks = "reject" | "query" | "notice";

export interface Check {
    code: string;
    title: string;
    asks: Asks;
    priority: number;
    kind: string;
    /** Its place in the list of signs; -1 where it is about no single reading. */
    sign: number;
    why: string;
    source: string;
    count: number;
}

export interface Sign {
    name: string;
    label: string;
    unit: string;
    usual: [number, number];
    readings: number;
    reject: number;
    query: number;
    notice: number;
}

export interface Crew {
    name: string;
    sets: number;
    rejected: number;
    queried: number;
}

/** What was found of a column, a device or two reports; findings of sets may be part of it. */
export interface OfBatch {
    asks: Asks;
    title: string;
    heading: string;
    place: string;
    question: string;
    why: string;
    parts: number;
}

/** Sign, state, value, then the text charted or the reason for an absence, and the method. */
export type Reading = [number, number, number | null, string?, string?];

export const enum State {
    absent = 0,
    number = 1,
    above = 2,
    below = 3,
    unreadable = 4,
}

/** Number from 1, seconds by the wall clock, what was so at the time, readings. */
export type VitalSet = [number, number | null, string[], Reading[]];

export interface Report {
    id: string;
    file: string;
    crew: number;
    elapsed?: boolean;
    adult?: boolean;
    /** Of a child: sign, low, high. */
    bands?: [number, number, number][];
    /** Moments of the call, in the order of `callTimes`. */
    times?: (number | null)[];
    ended?: string;
    events?: [string, number | null][];
    sets: VitalSet[];
}

export const callTimes = [
    "notified",
    "en route",
    "on scene",
    "at patient",
    "left scene",
    "at destination",
    "handed over",
    "back in service",
];

/** Report, whole column (-1: none), set, check, charted, expected, question, fingerprint, readings
 * it rests on (sign, set), numbers worked out, moments, line, element, what was probably meant. */
export type WrittenFinding = [
    number,
    number,
    number,
    number,
    string,
    string,
    string,
    string,
    [number, number][],
    [string, string][],
    [string, number | null][],
    number,
    string,
    string,
];

export type Decided = "stands" | "asked" | "answered" | "no_concern";

export interface Decision {
    fingerprint: string;
    decision: Decided;
    note: string;
    decided_at: string;
    report: string;
    check: string;
    when: string;
    charted: string;
}

export interface Counts {
    rows_read: number;
    rows_examined: number;
    rows_unread: number;
    rows_other: number;
    reports: number;
    sets: number;
    readings: number;
    sets_rejected: number;
    sets_queried: number;
    sets_part_of_batch: number;
    reject: number;
    query: number;
    notice: number;
}

export interface Written {
    schema: number;
    version: string;
    as_of: string;
    interrupted: boolean;
    files: string[];
    counts: Counts;
    checks: Check[];
    signs: Sign[];
    crews: Crew[];
    crews_named: boolean;
    batch: OfBatch[];
    left_out: number;
    decisions: Decision[];
    reports: Report[];
    findings: WrittenFinding[];
}

/** A finding with what it points at. */
export interface Finding {
    report: number;
    whole: number;
    set: number;
    check: Check;
    charted: string;
    expected: string;
    question: string;
    fingerprint: string;
    rests: [number, number][];
    numbers: [string, string][];
    moments: [string, number | null][];
    line: number;
    element: string;
    /** For the reviewer; never part of the question to a crew. Empty as a rule. */
    perhaps: string;
}

export function findingsOf(written: Written): Finding[] {
    return written.findings.map((f) => ({
        report: f[0],
        whole: f[1],
        set: f[2],
        check: written.checks[f[3]],
        charted: f[4],
        expected: f[5],
        question: f[6],
        fingerprint: f[7],
        rests: f[8],
        numbers: f[9],
        moments: f[10],
        line: f[11],
        element: f[12],
        perhaps: f[13],
    }));
}

export function setOf(report: Report, number: number): VitalSet | undefined {
    // Mostly the first sets are all there, in order.
    const there = report.sets[number - 1];
    return there?.[0] === number ? there : report.sets.find((set) => set[0] === number);
}

export function readingOf(set: VitalSet | undefined, sign: number): Reading | undefined {
    return set?.[3].find((reading) => reading[0] === sign);
}
