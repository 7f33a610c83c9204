// The page's parts without a browser.
import { expect, test } from "@playwright/test";
import { Check, Finding, Report } from "../../lib/page/src/data";
import { Decisions } from "../../lib/page/src/decisions";
import { chosen, nothingChosen } from "../../lib/page/src/filter";
import { messageTo } from "../../lib/page/src/message";
import { interval } from "../../lib/page/src/overview";
import { clock, grouped, share, shown } from "../../lib/page/src/words";

const check = (more: Partial<Check> = {}): Check => ({
    code: "impossible.systolic",
    title: "Impossible systolic",
    asks: "reject",
    priority: 2,
    kind: "plausibility",
    sign: 0,
    why: "",
    source: "",
    count: 1,
    ...more,
});
const finding = (more: Partial<Finding> = {}): Finding => ({
    report: 0,
    whole: -1,
    set: 1,
    check: check(),
    charted: "1139 mmHg",
    expected: "",
    question: "Set 1: What was the reading?",
    fingerprint: "0123456789abcdef0123",
    rests: [],
    numbers: [],
    moments: [],
    line: 2,
    element: "",
    perhaps: "",
    ...more,
});
const report: Report = { id: "7", file: "week.csv", crew: 0, sets: [[1, 3600, [], []]] };

test("a share short of all never says all", () => {
    expect(share(9999, 10_000)).toBe("99.9 %");
    expect(share(5, 5)).toBe("100.0 %");
    expect(share(0, 0)).toBe("no set");
});

test("numbers and times are written as people do", () => {
    expect(grouped(1234567)).toBe("1,234,567");
    expect(clock(3660)).toBe("01:01");
    expect(clock(26 * 3600 + 60, true)).toBe("26:01");
});

test("a reading that is no number is not shown as one", () => {
    const glucose = { name: "glucose", label: "", unit: "", usual: [0, 1], readings: 0, reject: 0, query: 0, notice: 0 } as const;
    const sign = { ...glucose, usual: [0, 1] as [number, number] };
    expect(shown([7, 2, null], sign)).toBe("HI");
    expect(shown([7, 3, null, "LO"], sign)).toBe("LO");
    expect(shown([7, 0, null, "refused"], sign)).toBe("refused");
    expect(shown([7, 4, null, "12O"], sign)).toContain("12O");
});

test("the interval of a rate holds it, and narrows with more sets", () => {
    const [low, high] = interval(5, 50);
    expect(low).toBeLessThan(0.1);
    expect(high).toBeGreaterThan(0.1);
    const [nearer, farther] = interval(50, 500);
    expect(farther - nearer).toBeLessThan(high - low);
    expect(interval(0, 30)[0]).toBe(0);
});

test("a message leaves out the first priority, notices, and what a column explains", () => {
    const left = [
        finding({ check: check({ priority: 1 }), question: "tube" }),
        finding({ check: check({ asks: "notice" }), question: "notice" }),
        finding({ check: check({ kind: "clinical" }), question: "clinical" }),
        finding({ whole: 0, question: "column" }),
    ];
    const { text, asked, withheld } = messageTo("Crew 1", [...left, finding()], [report]);
    expect(asked).toHaveLength(1);
    expect(withheld).toBe(1);
    expect(text).toContain("Set 1: What was the reading?");
    expect(text).not.toMatch(/tube|notice|clinical|column/);
});

test("a message asks once a reading, by the gravest", () => {
    const { text } = messageTo("Crew 1", [finding({ question: "graver" }), finding({ question: "lighter" })], [report]);
    expect(text).toContain("graver");
    expect(text).not.toContain("lighter");
});

test("what is settled leaves the open ones, what was asked does not", () => {
    const decisions = new Decisions([]);
    const one = finding();
    const count = () => chosen([one], nothingChosen, [report], decisions).length;
    expect(count()).toBe(1);
    decisions.decide(one, report, "asked", "");
    expect(count()).toBe(1);
    decisions.decide(one, report, "no_concern", "");
    expect(count()).toBe(0);
    decisions.decide(one, report, undefined, "");
    expect(count()).toBe(1);
});

test("what was saved loads again to the same, and other evidence is noticed", () => {
    const decisions = new Decisions([]);
    decisions.decide(finding(), report, "stands", "so be it");
    const again = new Decisions([]);
    expect(again.load(decisions.saved())).toBe(1);
    expect(again.of(finding())).toMatchObject({ decision: "stands", note: "so be it", when: "1970-01-01 01:00" });
    expect(again.overtaken(finding(), report)).toBeUndefined();
    const changed = finding({ fingerprint: "ffffffffffffffffffff" });
    expect(again.of(changed)).toBeUndefined();
    expect(again.overtaken(changed, report)).toMatchObject({ note: "so be it" });
});

for (const [what, text] of [
    ["no JSON", "decisions"],
    ["a list", "[]"],
    ["a newer schema", '{"schema": 2, "decisions": []}'],
    ["an unknown decision", '{"schema": 1, "decisions": [{"fingerprint": "0123456789abcdef0123", "decision": "gone"}]}'],
    ["a broken fingerprint", '{"schema": 1, "decisions": [{"fingerprint": "<b>", "decision": "stands"}]}'],
]) {
    test(`a file that is ${what} is refused`, () => {
        expect(() => new Decisions([]).load(text)).toThrow();
    });
}
