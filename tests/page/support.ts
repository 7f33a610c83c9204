// A page made by the program, opened in a browser that tells what it asked for.
import { expect, Page, test as base } from "@playwright/test";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = fileURLToPath(new URL("../..", import.meta.url));
export const demo = join(root, "fixtures/batches/demo.csv");
const program = process.env.VITALPROOF_PROGRAM ?? join(root, "build/release/bin/vitalproof");

export function folder(): string {
    return mkdtempSync(join(tmpdir(), "vitalproof-"));
}

export function written(text: string, name = "week.csv"): string {
    const path = join(folder(), name);
    writeFileSync(path, text);
    return path;
}

/** Audits a file and answers the folder of results. */
export function audit(file: string, ...options: string[]): string {
    const into = join(folder(), "out");
    const as = ["--as-of", "2026-03-01T12:00Z", "--quiet"];
    execFileSync(program, ["audit", file, "--into", into, ...as, ...options], { cwd: root });
    return into;
}

export function account(into: string) {
    return JSON.parse(readFileSync(join(into, "audit.json"), "utf8"));
}

export function findingLines(into: string): Record<string, unknown>[] {
    const lines = readFileSync(join(into, "findings.jsonl"), "utf8").trim().split("\n");
    return lines.map((line) => JSON.parse(line));
}

export interface Watched {
    requests: string[];
    troubles: string[];
}

/** Every test opens pages this way: what a page asks for or complains of fails it. */
export const test = base.extend<{ watched: Watched; open: (into: string) => Promise<Page> }>({
    watched: async ({ page }, use) => {
        const watched: Watched = { requests: [], troubles: [] };
        page.on("request", (request) => watched.requests.push(request.url()));
        page.on("pageerror", (error) => watched.troubles.push(String(error)));
        page.on("console", (message) => watched.troubles.push(message.text()));
        page.on("dialog", (dialog) => void dialog.dismiss().catch(() => undefined));
        await use(watched);
        expect(watched.troubles).toEqual([]);
        const others = watched.requests.filter(
            (url) => !/^file:.*\/audit\.html$/.test(url) && !url.startsWith("blob:null/"),
        );
        expect(others).toEqual([]);
    },
    open: async ({ page, watched }, use) => {
        await use(async (into) => {
            await page.goto(`file://${into}/audit.html`);
            await expect(page.locator("html")).toHaveAttribute("data-ready", "yes");
            expect(watched.requests.length).toBeGreaterThan(0);
            return page;
        });
    },
});

export { expect };

export async function toFindings(page: Page): Promise<void> {
    await page.getByRole("navigation").getByRole("button", { name: /^Findings/ }).click();
}

export function rows(page: Page) {
    return page.locator("#queue [role=option]");
}

export async function shownCount(page: Page): Promise<number> {
    const text = await page.locator(".number-shown").innerText();
    return Number(text.split(" ")[0].replaceAll(",", ""));
}
