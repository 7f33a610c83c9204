// The page as its reviewer meets it.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { account, audit, demo, expect, findingLines, folder, rows, shownCount, test, toFindings, written } from "./support";

test("the first screen says what raises no question, as audit.json does", async ({ open }) => {
    const into = audit(demo);
    const page = await open(into);
    const { sets, sets_rejected, sets_queried, by_check } = account(into);
    const share = ((100 * (sets - sets_rejected - sets_queried)) / sets).toFixed(1);
    await expect(page.getByRole("heading", { name: "raise no question" })).toHaveText(
        `${share} % of sets raise no question`,
    );
    const row = page.getByRole("row", { name: "Low systolic" });
    await expect(row.getByRole("cell").nth(1)).toHaveText(String(by_check["clinical.systolic_low"]));
});

test("filters leave what the findings file has", async ({ open }) => {
    const into = audit(demo);
    const page = await open(into);
    await toFindings(page);
    const lines = findingLines(into);
    const count = (keep: (line: Record<string, unknown>) => boolean) => lines.filter(keep).length;
    expect(await shownCount(page)).toBe(count((line) => line.asks !== "notice"));
    await page.getByLabel("Asks").selectOption("reject");
    expect(await shownCount(page)).toBe(count((line) => line.asks === "reject"));
    await page.getByLabel("Asks").selectOption("");
    await page.getByLabel("Kind").selectOption("clinical");
    expect(await shownCount(page)).toBe(count((line) => line.kind === "clinical"));
    await page.locator("select[name=sign]").selectOption({ label: "systolic" });
    expect(await shownCount(page)).toBe(
        count((line) => line.kind === "clinical" && line.sign === "systolic"),
    );
    await page.getByRole("button", { name: "Clear" }).click();
    await page.getByRole("searchbox", { name: "Report" }).fill("0015");
    expect(await shownCount(page)).toBe(
        count((line) => line.asks !== "notice" && String(line.report).includes("0015")),
    );
});

test("crews bear numbers unless their names are asked for", async ({ open }) => {
    const page = await open(audit(demo));
    expect(await page.locator("#data").textContent()).not.toMatch(/"M[1-9]"/);
    const named = await open(audit(demo, "--show-crews"));
    await expect(named.getByRole("button", { name: "M1", exact: true })).toBeVisible();
});

test("of many files the number is told, and their names below", async ({ open }) => {
    const [one, two, three] = ["a", "b", "c"].map((name) => written("report,SBP\n1,120\n", `${name}.csv`));
    const page = await open(audit(one, two, three));
    await expect(page.getByRole("banner")).toContainText("3 files");
    await page.getByText("3 files").last().click();
    await expect(page.getByText(three)).toBeVisible();
});

test("a crew of few sets has no rate", async ({ open }) => {
    const page = await open(audit(written("report,crew,SBP\n1,Few,120\n2,Few,121\n")));
    await expect(page.getByText("no rate under 30 sets")).toBeVisible();
});

test("a report shows its vitals, the doubtful one ringed and numbered", async ({ open }) => {
    const page = await open(audit(demo));
    await toFindings(page);
    await page.getByRole("searchbox", { name: "Report" }).fill("FH25-0015");
    await rows(page).first().click();
    await expect(page.getByRole("heading", { name: "FH25-0015" })).toBeFocused();
    await expect(page.locator(".chart .ring.reject.chosen")).toHaveCount(1);
    await expect(page.locator(".chart .value").getByText("1139")).toBeVisible();
    await page.getByText("All values as a table").click();
    await expect(page.locator(".values td", { hasText: "1139" })).toBeVisible();
});

test("states that are no number are shown as such", async ({ open }) => {
    const csv =
        "report,time,age,SBP,DBP,BP Method,SpO2,BGL\n" +
        "7,2026-03-01T10:00,9,90,,palpated,97,HI\n7,2026-03-01T10:05,9,92,50,,refused,LO\n" +
        "7,2026-03-01T10:10,9,192,250,,97,x1\n";
    const page = await open(audit(written(csv)));
    await toFindings(page);
    await page.getByLabel("Asks").selectOption("");
    await rows(page).first().click();
    const states = await page.locator(".chart .state").allTextContents();
    for (const said of ["P", "HI", "LO", "ref."]) {
        expect(states.some((text) => text.startsWith(said)), said).toBe(true);
    }
    await expect(page.locator(".legend")).toContainText("usual at this age");
});

test("a decision is saved, loaded again, and carried into the next audit", async ({ open }) => {
    const into = audit(demo);
    const page = await open(into);
    await toFindings(page);
    const open_before = await shownCount(page);
    await page.getByRole("searchbox", { name: "Report" }).fill("FH25-0015");
    await rows(page).first().click();
    const finding = page.locator(".finding.chosen");
    await finding.getByLabel("Stands as charted").check();
    await finding.getByLabel("Note").fill("read off the strip");
    await finding.getByLabel("Note").blur();
    const [download] = await Promise.all([
        page.waitForEvent("download"),
        page.getByRole("button", { name: /Save decisions/ }).click(),
    ]);
    const file = join(folder(), "decisions.json");
    await download.saveAs(file);
    const saved = JSON.parse(readFileSync(file, "utf8"));
    expect(saved.schema).toBe(1);
    expect(saved.decisions).toHaveLength(1);
    expect(saved.decisions[0]).toMatchObject({ decision: "stands", note: "read off the strip", report: "FH25-0015" });
    expect(findingLines(into).map((line) => line.fingerprint)).toContain(saved.decisions[0].fingerprint);

    await page.reload();
    await toFindings(page);
    expect(await shownCount(page)).toBe(open_before);
    await page.locator("#load").setInputFiles(file);
    await expect(page.getByRole("dialog")).toContainText("1 decision read");
    await page.getByRole("button", { name: "Close" }).click();
    expect(await shownCount(page)).toBe(open_before - 1);

    const next = await open(audit(demo, "--decisions", file));
    await toFindings(next);
    expect(await shownCount(next)).toBe(open_before - 1);
    await next.getByLabel("Show").selectOption("settled");
    expect(await shownCount(next)).toBe(1);
    await expect(rows(next).first()).toContainText("Stands as charted");
});

test("changed evidence opens a decision again", async ({ open }) => {
    const csv = (systolic: number) => `report,time,SBP,DBP\n1,2026-03-01T10:00,${systolic},80\n`;
    const first = audit(written(csv(1139)));
    const about = findingLines(first).find((line) => line.check === "impossible.systolic");
    const decision = { fingerprint: about?.fingerprint, decision: "stands", report: "1", check: "impossible.systolic", when: "2026-03-01 10:00", charted: "1139 mmHg" };
    const file = join(folder(), "decisions.json");
    writeFileSync(file, JSON.stringify({ schema: 1, decisions: [decision] }));
    const page = await open(audit(written(csv(1140)), "--decisions", file));
    await toFindings(page);
    await rows(page).first().click();
    await expect(page.locator(".finding.chosen")).toContainText("1139 mmHg was charted");
});

test("a file that holds no decisions is refused and changes nothing", async ({ open }) => {
    const page = await open(audit(demo));
    await toFindings(page);
    const before = await shownCount(page);
    await page.locator("#load").setInputFiles(written('{"schema": 2, "decisions": []}', "d.json"));
    await expect(page.getByRole("dialog")).toContainText("Its schema is 2");
    await page.getByRole("button", { name: "Close" }).click();
    expect(await shownCount(page)).toBe(before);
});

test("a crew's message asks once a reading and holds no question for medical direction", async ({ open }) => {
    const into = audit(demo);
    const page = await open(into);
    const first = findingLines(into).find((line) => line.check === "rate.paced_no_pulse" || (line.priority === 1 && line.asks !== "notice"));
    expect(first).toBeDefined();
    await toFindings(page);
    await page.getByRole("searchbox", { name: "Report" }).fill(String(first?.report));
    const crew = await rows(page).first().locator(".crew").innerText();
    await page.getByRole("button", { name: "Clear" }).click();
    await page.locator("select[name=crew]").selectOption({ label: crew });
    await page.getByRole("button", { name: "Message to this crew" }).click();
    const dialog = page.getByRole("dialog");
    await expect(dialog).toContainText("left out: for medical direction first");
    const text = await dialog.locator("textarea").inputValue();
    expect(text).toContain("Thank you for your reports");
    expect(text).toMatch(/- Set \d+/);
    expect(text).not.toContain(String(first?.question));
    const questions = text.split("\n").filter((line) => line.startsWith("- "));
    expect(new Set(questions).size).toBe(questions.length);
    await dialog.getByRole("button", { name: "Mark these as asked" }).click();
    await expect(rows(page).filter({ hasText: "Crew asked to review" }).first()).toBeVisible();
});

test("all of it by keyboard", async ({ open }) => {
    const page = await open(audit(demo));
    const press = async (key: string, until: () => Promise<boolean>) => {
        for (let i = 0; i < 60; ++i) {
            await page.keyboard.press(key);
            if (await until()) {
                return;
            }
        }
        throw new Error(`${key} never came there`);
    };
    const focused = (selector: string) => page.evaluate((s) => document.activeElement?.matches(s) ?? false, selector);
    await press("Tab", () => focused("nav button:not([aria-current])"));
    await page.keyboard.press("Enter");
    await press("Tab", () => focused("#queue"));
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("ArrowDown");
    await expect(page.locator("#queue")).toHaveAttribute("aria-activedescendant", "row-1");
    await page.keyboard.press("Enter");
    expect(await focused("#report-title")).toBe(true);
    await press("Tab", () => focused(".finding.chosen input[type=radio]"));
    await page.keyboard.press("ArrowDown");
    await expect(page.locator(".finding.chosen input:checked")).toHaveValue("stands");
    await expect(page.locator("#said")).toHaveText("Decision noted, not yet saved");
    await press("Shift+Tab", () => focused("#queue"));
    await page.keyboard.press("End");
    await expect(page.locator("#queue [aria-selected=true]")).toHaveCount(1);
});

test("nothing of a hostile file becomes markup or code", async ({ open, watched }) => {
    const bad = [
        "<script>document.title='x'</script>",
        "</script><script>document.title='x'</script>",
        "<img src=x onerror=document.title='x'>",
        "\u202eabc\u2066\u2028 & &lt;b&gt;",
        `"'><svg onload=document.title='x'>`,
        "a".repeat(10_000),
        "<!--<script>",
    ];
    const cell = (text: string) => `"${text.replaceAll('"', '""')}"`;
    const lines = bad.map((text) => Array(6).fill(cell(text)).join(",") + ",1139,80");
    const head = `report,crew,device,incident,complaint,${cell(bad[2])},SBP,DBP`;
    const into = audit(written([head, ...lines].join("\n"), "<img src=x>.csv"));
    const page = await open(into);
    await toFindings(page);
    await expect(rows(page)).toHaveCount(bad.length, { timeout: 5000 });
    for (let i = 0; i < bad.length; ++i) {
        await rows(page).nth(i).click();
        await expect(page.locator(".report")).toBeVisible();
    }
    await expect(page).toHaveTitle("Vital signs to review");
    await expect(page.locator("script")).toHaveCount(2);
    await expect(page.locator("img, iframe, object, [onerror], [onload]")).toHaveCount(0);
    expect(watched.troubles).toEqual([]);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth);
    expect(wide).toBe(false);
});

test("the policy in the file stops a script that is not the page's own", async ({ page }) => {
    const into = audit(demo);
    const html = readFileSync(join(into, "audit.html"), "utf8");
    const path = written(html.replace("</body>", "<script>document.title = 'x'</script></body>"), "audit.html");
    await page.goto(`file://${path}`);
    await expect(page.locator("html")).toHaveAttribute("data-ready", "yes");
    await expect(page).toHaveTitle("Vital signs to review");
});
